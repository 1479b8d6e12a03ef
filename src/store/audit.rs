//! Who changed what: rows that are added and read, never changed.

use super::schema::audit;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// One change.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable)]
#[diesel(table_name = audit)]
pub struct AuditRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// When.
    pub at: DateTime<Utc>,
    /// Who; none when the service did it by itself.
    pub member_id: Option<Uuid>,
    /// What was done, a code.
    pub deed: String,
    /// What it was done to, a code.
    pub subject_kind: String,
    /// The key of that.
    pub subject_id: Uuid,
    /// Codes, keys and numbers.
    pub detail: serde_json::Value,
}

/// Adds a line.
pub async fn insert(conn: &mut Conn, row: &AuditRow) -> Result<(), StoreError> {
    diesel::insert_into(audit::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// The lines of a site, newest first, after one.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    after: Option<(DateTime<Utc>, Uuid)>,
    limit: i64,
) -> Result<Vec<AuditRow>, StoreError> {
    let mut query = audit::table
        .filter(audit::site_id.eq(site.0))
        .select(AuditRow::as_select())
        .order((audit::at.desc(), audit::id.desc()))
        .limit(limit)
        .into_boxed();
    if let Some((at, id)) = after {
        query = query.filter(audit::at.lt(at).or(audit::at.eq(at).and(audit::id.lt(id))));
    }
    Ok(query.load(conn).await?)
}
