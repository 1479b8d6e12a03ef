//! Notices: what a caretaker has to know.

use super::schema::notices;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, NoticeId, SiteId};

/// A notice as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = notices)]
pub struct NoticeRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin it is about.
    pub bin_id: Uuid,
    /// The event that caused it.
    pub event_id: Option<Uuid>,
    /// What it says, as a code.
    pub kind: String,
    /// Since when it stands.
    pub created_at: DateTime<Utc>,
    /// When somebody ticked it off.
    pub seen_at: Option<DateTime<Utc>>,
    /// Who ticked it off.
    pub seen_by: Option<Uuid>,
}

/// Puts up notices.
pub async fn insert(conn: &mut Conn, rows: &[NoticeRow]) -> Result<(), StoreError> {
    diesel::insert_into(notices::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// Notices of a site, newest first, before one; with `left_since`, only those that nobody
/// has ticked off and that stand at least since then.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    left_since: Option<DateTime<Utc>>,
    before: Option<Uuid>,
    limit: i64,
) -> Result<Vec<NoticeRow>, StoreError> {
    let mut query = notices::table
        .filter(notices::site_id.eq(site.0))
        .select(NoticeRow::as_select())
        .order(notices::id.desc())
        .limit(limit)
        .into_boxed();
    if let Some(since) = left_since {
        query = query
            .filter(notices::seen_at.is_null())
            .filter(notices::created_at.le(since));
    }
    if let Some(before) = before {
        query = query.filter(notices::id.lt(before));
    }
    Ok(query.load(conn).await?)
}

/// Notices of a site that were put up since an instant, ticked off or not.
pub async fn since(
    conn: &mut Conn,
    site: SiteId,
    since: DateTime<Utc>,
) -> Result<Vec<NoticeRow>, StoreError> {
    Ok(notices::table
        .filter(notices::site_id.eq(site.0))
        .filter(notices::created_at.gt(since))
        .select(NoticeRow::as_select())
        .load(conn)
        .await?)
}

/// One notice of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: NoticeId,
) -> Result<Option<NoticeRow>, StoreError> {
    Ok(notices::table
        .find((site.0, id.0))
        .select(NoticeRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Ticks a notice off, unless somebody did already: the first one stays.
pub async fn tick_off(
    conn: &mut Conn,
    site: SiteId,
    id: NoticeId,
    by: MemberId,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(
        notices::table
            .find((site.0, id.0))
            .filter(notices::seen_at.is_null()),
    )
    .set((notices::seen_at.eq(at), notices::seen_by.eq(by.0)))
    .execute(conn)
    .await?;
    Ok(())
}
