//! Accounts: who can sign in.

use super::schema::{accounts, familiar_addresses};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::AccountId;

/// An account as it is stored. Its `Debug` output holds neither address nor hash.
#[derive(Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = accounts)]
pub struct AccountRow {
    /// The key.
    pub id: Uuid,
    /// The address, in lower case; none for who signs in with a slip.
    pub email_lower: Option<String>,
    /// The password's hash, a PHC string; none for who signs in with links.
    pub password_hash: Option<String>,
    /// May open sites.
    pub is_educator: bool,
    /// When it was made.
    pub created_at: DateTime<Utc>,
}

impl std::fmt::Debug for AccountRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "AccountRow({})", self.id)
    }
}

/// Adds an account; a [`StoreError::Duplicate`] when the address is taken.
pub async fn insert(conn: &mut Conn, row: &AccountRow) -> Result<(), StoreError> {
    diesel::insert_into(accounts::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// The account with this address, given in lower case.
pub async fn by_email(
    conn: &mut Conn,
    email_lower: &str,
) -> Result<Option<AccountRow>, StoreError> {
    Ok(accounts::table
        .filter(accounts::email_lower.eq(email_lower))
        .select(AccountRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The account with this address, given in lower case, and whether it was signed in to from a
/// place before.
pub async fn by_email_and_place(
    conn: &mut Conn,
    email_lower: &str,
    address_mac: &[u8; 32],
) -> Result<Option<(AccountRow, bool)>, StoreError> {
    let familiar = familiar_addresses::table
        .filter(familiar_addresses::account_id.eq(accounts::id))
        .filter(familiar_addresses::address_mac.eq(address_mac.as_slice()));
    Ok(accounts::table
        .filter(accounts::email_lower.eq(email_lower))
        .select((AccountRow::as_select(), diesel::dsl::exists(familiar)))
        .first(conn)
        .await
        .optional()?)
}

/// An account.
pub async fn by_id(conn: &mut Conn, id: AccountId) -> Result<Option<AccountRow>, StoreError> {
    Ok(accounts::table
        .find(id.0)
        .select(AccountRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// An account that does not change until the transaction ends. Taken before its sessions and
/// links, so that a session cannot begin beside a change of the password.
pub async fn hold(conn: &mut Conn, id: AccountId) -> Result<Option<AccountRow>, StoreError> {
    Ok(accounts::table
        .find(id.0)
        .select(AccountRow::as_select())
        .for_share()
        .first(conn)
        .await
        .optional()?)
}

/// An account that nobody else changes or holds until the transaction ends.
pub async fn hold_to_change(
    conn: &mut Conn,
    id: AccountId,
) -> Result<Option<AccountRow>, StoreError> {
    Ok(accounts::table
        .find(id.0)
        .select(AccountRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// The same, found by its address.
pub async fn hold_by_email(
    conn: &mut Conn,
    email_lower: &str,
) -> Result<Option<AccountRow>, StoreError> {
    Ok(accounts::table
        .filter(accounts::email_lower.eq(email_lower))
        .select(AccountRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// Gives an account another password.
pub async fn set_password(
    conn: &mut Conn,
    id: AccountId,
    password_hash: &str,
) -> Result<(), StoreError> {
    diesel::update(accounts::table.find(id.0))
        .set(accounts::password_hash.eq(password_hash))
        .execute(conn)
        .await?;
    Ok(())
}

/// Notes that an account was signed in to from a place.
pub async fn remember_place(
    conn: &mut Conn,
    id: AccountId,
    address_mac: &[u8; 32],
    wall: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::insert_into(familiar_addresses::table)
        .values((
            familiar_addresses::account_id.eq(id.0),
            familiar_addresses::address_mac.eq(address_mac.as_slice()),
            familiar_addresses::seen_at.eq(wall),
        ))
        .on_conflict((
            familiar_addresses::account_id,
            familiar_addresses::address_mac,
        ))
        .do_update()
        .set(familiar_addresses::seen_at.eq(wall))
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets places that were not signed in from since an instant; says how many.
pub async fn forget_places_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let old = familiar_addresses::table.filter(familiar_addresses::seen_at.lt(before));
    Ok(diesel::delete(old).execute(conn).await?)
}

/// Whether an account exists, and whether it may open sites.
pub async fn is_educator(conn: &mut Conn, id: AccountId) -> Result<Option<bool>, StoreError> {
    Ok(accounts::table
        .find(id.0)
        .select(accounts::is_educator)
        .first(conn)
        .await
        .optional()?)
}

/// Whether there is any account at all.
pub async fn any(conn: &mut Conn) -> Result<bool, StoreError> {
    let one = accounts::table.select(accounts::id).limit(1);
    Ok(diesel::select(diesel::dsl::exists(one))
        .get_result(conn)
        .await?)
}
