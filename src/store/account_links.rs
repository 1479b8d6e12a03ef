//! Links that do one thing for an account, once.

use super::schema::account_links as links;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, LinkId};

/// A link as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = links)]
pub struct LinkRow {
    /// The key.
    pub id: Uuid,
    /// Whose it is; nobody's when the typed address has no account.
    pub account_id: Option<Uuid>,
    /// `reset` or `sign_in`.
    pub kind: String,
    /// When it was asked for.
    pub created_at: DateTime<Utc>,
    /// When it stops being good.
    pub expires_at: DateTime<Utc>,
    /// When it was used.
    pub used_at: Option<DateTime<Utc>>,
    /// When it was revoked.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// Adds a link.
pub async fn insert(conn: &mut Conn, row: &LinkRow) -> Result<(), StoreError> {
    diesel::insert_into(links::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// A link.
pub async fn by_id(conn: &mut Conn, id: LinkId) -> Result<Option<LinkRow>, StoreError> {
    Ok(links::table
        .find(id.0)
        .select(LinkRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Open links of an account of one kind, the newest first.
pub async fn open_of(
    conn: &mut Conn,
    account: AccountId,
    kind: &str,
    wall: DateTime<Utc>,
) -> Result<Vec<LinkId>, StoreError> {
    let ids: Vec<Uuid> = links::table
        .filter(links::account_id.eq(account.0))
        .filter(links::kind.eq(kind))
        .filter(links::used_at.is_null())
        .filter(links::revoked_at.is_null())
        .filter(links::expires_at.gt(wall))
        .select(links::id)
        .order((links::created_at.desc(), links::id.desc()))
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(LinkId).collect())
}

/// The newest links of an account.
pub async fn newest_of(
    conn: &mut Conn,
    account: AccountId,
    limit: i64,
) -> Result<Vec<LinkRow>, StoreError> {
    Ok(links::table
        .filter(links::account_id.eq(account.0))
        .select(LinkRow::as_select())
        .order((links::created_at.desc(), links::id.desc()))
        .limit(limit)
        .load(conn)
        .await?)
}

/// Uses a link up; false when it is not open any more.
pub async fn use_up(conn: &mut Conn, id: LinkId, wall: DateTime<Utc>) -> Result<bool, StoreError> {
    let open = links::table
        .find(id.0)
        .filter(links::used_at.is_null())
        .filter(links::revoked_at.is_null())
        .filter(links::expires_at.gt(wall));
    let changed = diesel::update(open)
        .set(links::used_at.eq(wall))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Revokes those of some links that an account still has open; says how many.
pub async fn revoke(
    conn: &mut Conn,
    account: AccountId,
    ids: &[LinkId],
    wall: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    Ok(diesel::update(
        links::table
            .filter(links::account_id.eq(account.0))
            .filter(links::id.eq_any(ids))
            .filter(links::used_at.is_null())
            .filter(links::revoked_at.is_null())
            .filter(links::expires_at.gt(wall)),
    )
    .set(links::revoked_at.eq(wall))
    .execute(conn)
    .await?)
}

/// Revokes all links that an account has open; says how many.
pub async fn revoke_all(
    conn: &mut Conn,
    account: AccountId,
    wall: DateTime<Utc>,
) -> Result<usize, StoreError> {
    Ok(diesel::update(
        links::table
            .filter(links::account_id.eq(account.0))
            .filter(links::used_at.is_null())
            .filter(links::revoked_at.is_null()),
    )
    .set(links::revoked_at.eq(wall))
    .execute(conn)
    .await?)
}

/// Forgets links that were asked for before an instant; says how many.
pub async fn forget_before(conn: &mut Conn, before: DateTime<Utc>) -> Result<usize, StoreError> {
    Ok(
        diesel::delete(links::table.filter(links::created_at.lt(before)))
            .execute(conn)
            .await?,
    )
}
