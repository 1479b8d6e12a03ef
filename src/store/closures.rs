//! Days on which a site is shut.

use super::schema::closures;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// A closure as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = closures)]
pub struct ClosureRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day.
    pub last_day: NaiveDate,
    /// Since when it is known.
    pub created_at: DateTime<Utc>,
}

/// The closures of a site that touch a span of days, both included, in order.
pub async fn of_days(
    conn: &mut Conn,
    site: SiteId,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<ClosureRow>, StoreError> {
    Ok(closures::table
        .filter(closures::site_id.eq(site.0))
        .filter(closures::first_day.le(to))
        .filter(closures::last_day.ge(from))
        .select(ClosureRow::as_select())
        .order(closures::first_day)
        .load(conn)
        .await?)
}
