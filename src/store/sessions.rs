//! Sessions: devices that are signed in, and the refresh tokens that keep them so.

use super::schema::{refresh_tokens, sessions};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, SessionId};

/// A session as it is stored. Its `Debug` output leaves out what people call their device.
#[derive(Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = sessions)]
pub struct SessionRow {
    /// The key.
    pub id: Uuid,
    /// Whose it is.
    pub account_id: Uuid,
    /// `password`, `link`, `slip`, `invitation` or `reset`.
    pub began_with: String,
    /// What the person calls the device.
    pub device: Option<String>,
    /// When it began.
    pub created_at: DateTime<Utc>,
    /// When its tokens were last made anew.
    pub last_used_at: DateTime<Utc>,
    /// When it ends, whatever happens.
    pub ends_at: DateTime<Utc>,
    /// When it was ended before that.
    pub revoked_at: Option<DateTime<Utc>>,
}

impl std::fmt::Debug for SessionRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "SessionRow({})", self.id)
    }
}

/// A refresh token as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = refresh_tokens)]
pub struct RefreshTokenRow {
    /// SHA-256 of the token.
    pub token_hash: Vec<u8>,
    /// The session that it keeps.
    pub session_id: Uuid,
    /// When it was given out.
    pub issued_at: DateTime<Utc>,
    /// When it stops being good.
    pub expires_at: DateTime<Utc>,
    /// When it was used.
    pub used_at: Option<DateTime<Utc>>,
}

/// Adds a session.
pub async fn insert(conn: &mut Conn, row: &SessionRow) -> Result<(), StoreError> {
    diesel::insert_into(sessions::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Adds a refresh token.
pub async fn insert_token(conn: &mut Conn, row: &RefreshTokenRow) -> Result<(), StoreError> {
    diesel::insert_into(refresh_tokens::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Whether a session of this account goes on: asked on every request.
pub async fn is_live(
    conn: &mut Conn,
    account: AccountId,
    session: SessionId,
    wall: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let live = sessions::table
        .find(session.0)
        .filter(sessions::account_id.eq(account.0))
        .filter(sessions::revoked_at.is_null())
        .filter(sessions::ends_at.gt(wall));
    Ok(diesel::select(diesel::dsl::exists(live))
        .get_result(conn)
        .await?)
}

/// A refresh token with its session, both held until the transaction ends.
pub async fn hold_token(
    conn: &mut Conn,
    token_hash: &[u8],
) -> Result<Option<(RefreshTokenRow, SessionRow)>, StoreError> {
    Ok(refresh_tokens::table
        .inner_join(sessions::table.on(sessions::id.eq(refresh_tokens::session_id)))
        .filter(refresh_tokens::token_hash.eq(token_hash))
        .select((RefreshTokenRow::as_select(), SessionRow::as_select()))
        .for_update()
        .first(conn)
        .await
        .optional()?)
}

/// The session of this account that was once given a refresh token, however it ended.
pub async fn once_given(
    conn: &mut Conn,
    account: AccountId,
    token_hash: &[u8],
) -> Result<Option<SessionId>, StoreError> {
    let id: Option<Uuid> = refresh_tokens::table
        .inner_join(sessions::table.on(sessions::id.eq(refresh_tokens::session_id)))
        .filter(refresh_tokens::token_hash.eq(token_hash))
        .filter(sessions::account_id.eq(account.0))
        .select(sessions::id)
        .first(conn)
        .await
        .optional()?;
    Ok(id.map(SessionId))
}

/// Notes that a refresh token was used, and with it its session.
pub async fn use_token(
    conn: &mut Conn,
    token: &RefreshTokenRow,
    wall: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(refresh_tokens::table.find(&token.token_hash))
        .set(refresh_tokens::used_at.eq(wall))
        .execute(conn)
        .await?;
    diesel::update(sessions::table.find(token.session_id))
        .set(sessions::last_used_at.eq(wall))
        .execute(conn)
        .await?;
    Ok(())
}

/// Sessions of an account that go on and were used after an instant, the last used first.
pub async fn live_of(
    conn: &mut Conn,
    account: AccountId,
    wall: DateTime<Utc>,
    used_after: DateTime<Utc>,
) -> Result<Vec<SessionRow>, StoreError> {
    Ok(sessions::table
        .filter(sessions::account_id.eq(account.0))
        .filter(sessions::revoked_at.is_null())
        .filter(sessions::ends_at.gt(wall))
        .filter(sessions::last_used_at.gt(used_after))
        .select(SessionRow::as_select())
        .order((sessions::last_used_at.desc(), sessions::id.desc()))
        .load(conn)
        .await?)
}

/// Ends a session of an account; false when there is none that goes on.
pub async fn revoke(
    conn: &mut Conn,
    account: AccountId,
    session: SessionId,
    wall: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let live = sessions::table
        .find(session.0)
        .filter(sessions::account_id.eq(account.0))
        .filter(sessions::revoked_at.is_null())
        .filter(sessions::ends_at.gt(wall));
    let changed = diesel::update(live)
        .set(sessions::revoked_at.eq(wall))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Ends all sessions of an account, except one if it is named; says how many.
pub async fn revoke_all(
    conn: &mut Conn,
    account: AccountId,
    except: Option<SessionId>,
    wall: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let kept = except.map_or(Uuid::nil(), |session| session.0);
    Ok(diesel::update(
        sessions::table
            .filter(sessions::account_id.eq(account.0))
            .filter(sessions::revoked_at.is_null())
            .filter(sessions::id.ne(kept)),
    )
    .set(sessions::revoked_at.eq(wall))
    .execute(conn)
    .await?)
}

/// Forgets sessions that ended before an instant, with their tokens, and says how many.
pub async fn forget_ended_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let ended = sessions::revoked_at
        .lt(before)
        .or(sessions::ends_at.lt(before));
    Ok(diesel::delete(sessions::table.filter(ended))
        .execute(conn)
        .await?)
}

/// Forgets refresh tokens that expired before an instant; says how many.
pub async fn forget_tokens_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let expired = refresh_tokens::table.filter(refresh_tokens::expires_at.lt(before));
    Ok(diesel::delete(expired).execute(conn).await?)
}
