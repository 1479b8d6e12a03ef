//! Accounts: who can sign in.

use super::schema::accounts;
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
    /// Wrong passwords in a row.
    pub failures: i32,
    /// When the last of them came.
    pub failed_at: Option<DateTime<Utc>>,
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
