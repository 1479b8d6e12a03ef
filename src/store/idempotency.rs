//! First answers to writes, kept for those who ask again.

use super::schema::idempotency_keys as keys;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use wormrota_domain::ids::AccountId;

/// What is known about a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptAnswer {
    /// SHA-256 of the request that came first.
    pub request_hash: Vec<u8>,
    /// Its answer.
    pub answer: Option<serde_json::Value>,
}

/// Claims a key; false when it is taken. Waits for a transaction that claims the same key
/// at this moment, and then tells the truth about how that one ended.
pub async fn claim(
    conn: &mut Conn,
    account: AccountId,
    key: &str,
    request_hash: &[u8],
    now: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let inserted = diesel::insert_into(keys::table)
        .values((
            keys::account_id.eq(account.0),
            keys::key.eq(key),
            keys::request_hash.eq(request_hash),
            keys::created_at.eq(now),
        ))
        .on_conflict_do_nothing()
        .execute(conn)
        .await?;
    Ok(inserted == 1)
}

/// What stands under a key that is taken.
pub async fn kept(
    conn: &mut Conn,
    account: AccountId,
    key: &str,
) -> Result<Option<KeptAnswer>, StoreError> {
    let row: Option<(Vec<u8>, Option<serde_json::Value>)> = keys::table
        .find((account.0, key))
        .select((keys::request_hash, keys::answer))
        .first(conn)
        .await
        .optional()?;
    Ok(row.map(|(request_hash, answer)| KeptAnswer {
        request_hash,
        answer,
    }))
}

/// Keeps the answer under a key claimed in the same transaction.
pub async fn keep(
    conn: &mut Conn,
    account: AccountId,
    key: &str,
    answer: &serde_json::Value,
) -> Result<(), StoreError> {
    diesel::update(keys::table.find((account.0, key)))
        .set(keys::answer.eq(answer))
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets keys older than an instant; says how many.
pub async fn forget_before(conn: &mut Conn, before: DateTime<Utc>) -> Result<usize, StoreError> {
    Ok(
        diesel::delete(keys::table.filter(keys::created_at.lt(before)))
            .execute(conn)
            .await?,
    )
}
