//! Secret addresses at which calendar programs fetch turns. The secret stands nowhere: it is a
//! signature of the row's key.

use super::schema::calendar_addresses as addresses;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{CalendarAddressId, MemberId, SiteId};

/// An address as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = addresses)]
pub struct CalendarAddressRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site, and everywhere.
    pub id: Uuid,
    /// Whose it is.
    pub member_id: Uuid,
    /// Of which bin; none for the member's own turns.
    pub bin_id: Option<Uuid>,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// When it was taken back.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// Adds an address.
pub async fn insert(conn: &mut Conn, row: &CalendarAddressRow) -> Result<(), StoreError> {
    diesel::insert_into(addresses::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// The addresses of a member that work, in the order of their keys, after one.
pub async fn of_member(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<CalendarAddressRow>, StoreError> {
    let mut query = addresses::table
        .filter(addresses::site_id.eq(site.0))
        .filter(addresses::member_id.eq(member.0))
        .filter(addresses::revoked_at.is_null())
        .select(CalendarAddressRow::as_select())
        .order(addresses::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(addresses::id.gt(after));
    }
    Ok(query.load(conn).await?)
}

/// The address that a link is for, while it works.
pub async fn by_link(conn: &mut Conn, id: Uuid) -> Result<Option<CalendarAddressRow>, StoreError> {
    Ok(addresses::table
        .filter(addresses::id.eq(id))
        .filter(addresses::revoked_at.is_null())
        .select(CalendarAddressRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Takes an address of a member back; says whether it worked until now.
pub async fn revoke(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    id: CalendarAddressId,
    now: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let working = addresses::table
        .find((site.0, id.0))
        .filter(addresses::member_id.eq(member.0))
        .filter(addresses::revoked_at.is_null());
    let changed = diesel::update(working)
        .set(addresses::revoked_at.eq(now))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}
