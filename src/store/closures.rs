//! Days on which a site is shut.

use super::schema::closures;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClosureId, SiteId};

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

/// Adds a closure. The table lets no two of a site share a day.
pub async fn insert(conn: &mut Conn, row: &ClosureRow) -> Result<(), StoreError> {
    diesel::insert_into(closures::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Takes a closure away.
pub async fn delete(conn: &mut Conn, site: SiteId, closure: ClosureId) -> Result<(), StoreError> {
    diesel::delete(closures::table.find((site.0, closure.0)))
        .execute(conn)
        .await?;
    Ok(())
}

/// Gives a closure other days. The table lets no two of a site share a day.
pub async fn move_to(
    conn: &mut Conn,
    site: SiteId,
    closure: ClosureId,
    (first_day, last_day): (NaiveDate, NaiveDate),
) -> Result<(), StoreError> {
    diesel::update(closures::table.find((site.0, closure.0)))
        .set((
            closures::first_day.eq(first_day),
            closures::last_day.eq(last_day),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// A closure of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    closure: ClosureId,
) -> Result<Option<ClosureRow>, StoreError> {
    Ok(closures::table
        .find((site.0, closure.0))
        .select(ClosureRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Closures of a site that are not over on a day, in order of their first day, after one.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    today: NaiveDate,
    after: Option<(NaiveDate, Uuid)>,
    limit: i64,
) -> Result<Vec<ClosureRow>, StoreError> {
    let mut query = closures::table
        .filter(closures::site_id.eq(site.0))
        .filter(closures::last_day.ge(today))
        .select(ClosureRow::as_select())
        .order((closures::first_day, closures::id))
        .limit(limit)
        .into_boxed();
    if let Some((day, id)) = after {
        let later = closures::first_day.gt(day);
        query = query.filter(later.or(closures::first_day.eq(day).and(closures::id.gt(id))));
    }
    Ok(query.load(conn).await?)
}

/// How many closures of a site are not over on a day.
pub async fn count_from(
    conn: &mut Conn,
    site: SiteId,
    today: NaiveDate,
) -> Result<i64, StoreError> {
    Ok(closures::table
        .filter(closures::site_id.eq(site.0))
        .filter(closures::last_day.ge(today))
        .count()
        .get_result(conn)
        .await?)
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
