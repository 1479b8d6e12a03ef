//! Sessions: devices that are signed in.
//!
//! An access token is good for minutes and is worth nothing once its session has ended. A
//! refresh token gets the next one, and another refresh token with it. One that is used twice
//! was in two hands, and nobody can tell whose: the whole session ends.

use super::credentials::{AccessToken, Bearer, RefreshToken};
use super::fields::Check;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::settings::SignIn;
use crate::store::sessions::{self, RefreshTokenRow, SessionRow};
use crate::store::{Conn, accounts};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use wormrota_domain::ids::{AccountId, SessionId};

/// Characters of a device's name at most.
pub const LONGEST_DEVICE: usize = 60;
/// Sessions that an account has at most: one more ends the one that was not used for longest.
pub const MOST_SESSIONS: usize = 50;

/// How long sessions last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terms {
    /// How long a refresh token is good for.
    refresh: TimeDelta,
    /// How long a session lasts at most.
    session: TimeDelta,
}

impl Terms {
    /// As the settings say.
    #[must_use]
    pub fn of(settings: &SignIn) -> Self {
        Self {
            refresh: TimeDelta::days(settings.refresh_token_days.into()),
            session: TimeDelta::days(settings.session_days.into()),
        }
    }
}

/// A session that begins or goes on within a transaction.
#[derive(Debug)]
pub struct Begun {
    /// Whose it is.
    pub account: AccountId,
    /// Its key.
    pub session: SessionId,
    is_educator: bool,
    refresh_token: RefreshToken,
    refresh_expires_at: DateTime<Utc>,
}

/// Somebody who is signed in.
#[derive(Debug)]
pub struct Session {
    /// The account.
    pub account: AccountId,
    /// The session.
    pub id: SessionId,
    /// Whether the account may open sites.
    pub is_educator: bool,
    /// What to send with further requests.
    pub token: AccessToken,
    /// What to get the next token with.
    pub refresh_token: RefreshToken,
    /// When that stops being good.
    pub refresh_expires_at: DateTime<Utc>,
}

/// What somebody calls their device, checked.
pub(super) fn device(device: Option<&str>) -> Result<Option<String>, DeskError> {
    let mut check = Check::default();
    let device = device.map(|device| check.name("/device", device, LONGEST_DEVICE));
    check.done()?;
    Ok(device)
}

impl Desk {
    /// How long sessions last here.
    #[must_use]
    pub fn terms(&self) -> Terms {
        Terms::of(&self.credentials.settings)
    }
}

/// Begins a session within a transaction: inserts it with its first refresh token.
/// `began_with` is `password`, `link`, `slip`, `invitation` or `reset`; `wall` is the
/// machine's time. Holds the account, so that a password that changes at this moment ends
/// this session too.
///
/// # Errors
/// [`DeskError::SignInFailed`] when the account is gone.
pub(super) async fn begin(
    conn: &mut Conn,
    terms: Terms,
    account: AccountId,
    began_with: &'static str,
    device: Option<&str>,
    wall: DateTime<Utc>,
) -> Result<Begun, DeskError> {
    let held = accounts::hold(conn, account).await?;
    let held = held.ok_or(DeskError::SignInFailed)?;
    let row = SessionRow {
        id: clock::fresh_id(),
        account_id: account.0,
        began_with: began_with.to_owned(),
        device: device.map(str::to_owned),
        created_at: wall,
        last_used_at: wall,
        ends_at: wall + terms.session,
        revoked_at: None,
    };
    sessions::insert(conn, &row).await?;
    let live = sessions::live_of(conn, account, wall, DateTime::UNIX_EPOCH).await?;
    for surplus in live.iter().skip(MOST_SESSIONS) {
        sessions::revoke(conn, account, SessionId(surplus.id), wall).await?;
    }
    hand_token(conn, terms, &row, held.is_educator, wall).await
}

async fn hand_token(
    conn: &mut Conn,
    terms: Terms,
    session: &SessionRow,
    is_educator: bool,
    wall: DateTime<Utc>,
) -> Result<Begun, DeskError> {
    let refresh_token = RefreshToken::fresh();
    let refresh_expires_at = session.ends_at.min(wall + terms.refresh);
    let row = RefreshTokenRow {
        token_hash: refresh_token.hash().to_vec(),
        session_id: session.id,
        issued_at: wall,
        expires_at: refresh_expires_at,
        used_at: None,
    };
    sessions::insert_token(conn, &row).await?;
    Ok(Begun {
        account: AccountId(session.account_id),
        session: SessionId(session.id),
        is_educator,
        refresh_token,
        refresh_expires_at,
    })
}

/// Adds the access token to a session whose transaction is done.
///
/// # Errors
/// [`DeskError::Broken`] when signing fails.
pub fn finish(desk: &Desk, begun: Begun) -> Result<Session, DeskError> {
    let bearer = Bearer {
        account: begun.account,
        session: begun.session,
    };
    let token = desk.credentials().tokens.issue(bearer, clock::wall())?;
    Ok(Session {
        account: begun.account,
        id: begun.session,
        is_educator: begun.is_educator,
        token,
        refresh_token: begun.refresh_token,
        refresh_expires_at: begun.refresh_expires_at,
    })
}

/// Insists that the session of a token goes on.
///
/// # Errors
/// [`DeskError::SessionEnded`].
pub async fn insist_on_session(desk: &Desk, bearer: Bearer) -> Result<(), DeskError> {
    let live = desk
        .store()
        .read("see whether a session goes on", bearer, |conn, bearer| {
            async move {
                let wall = clock::wall();
                let live = sessions::is_live(conn, bearer.account, bearer.session, wall).await?;
                Ok::<_, DeskError>(live)
            }
            .boxed()
        })
        .await?;
    live.then_some(()).ok_or(DeskError::SessionEnded)
}

/// How a refresh ended. A session that is ended because of it is one of its answers, so that
/// the end is kept and not rolled back.
enum Refreshed {
    Goes(Begun),
    Refused,
    Stolen(SessionId),
}

/// Turns a refresh token into the next one and an access token.
///
/// # Errors
/// [`DeskError::RefreshRefused`] for a token that is unknown, expired or was used before, and
/// then its session has ended.
pub async fn refresh(desk: &Desk, typed: &str) -> Result<Session, DeskError> {
    let token = RefreshToken::read(typed).ok_or(DeskError::RefreshRefused)?;
    let (hash, terms) = (token.hash(), desk.terms());
    let refreshed = desk
        .store()
        .transact("refresh a session", hash, move |conn, hash| {
            async move { rotate(conn, terms, hash).await }.boxed()
        })
        .await?;
    match refreshed {
        Refreshed::Goes(begun) => finish(desk, begun),
        Refreshed::Refused => Err(DeskError::RefreshRefused),
        Refreshed::Stolen(session) => {
            tracing::warn!(%session, "a refresh token came twice; its session was ended");
            Err(DeskError::RefreshRefused)
        }
    }
}

async fn rotate(conn: &mut Conn, terms: Terms, hash: &[u8; 32]) -> Result<Refreshed, DeskError> {
    let wall = clock::wall();
    let Some((token, session)) = sessions::hold_token(conn, hash).await? else {
        return Ok(Refreshed::Refused);
    };
    let (account, id) = (AccountId(session.account_id), SessionId(session.id));
    if token.used_at.is_some() {
        let ended = sessions::revoke(conn, account, id, wall).await?;
        return Ok(if ended {
            Refreshed::Stolen(id)
        } else {
            Refreshed::Refused
        });
    }
    let over = session.revoked_at.is_some() || session.ends_at <= wall || token.expires_at <= wall;
    let is_educator = accounts::is_educator(conn, account).await?;
    let (false, Some(is_educator)) = (over, is_educator) else {
        return Ok(Refreshed::Refused);
    };
    sessions::use_token(conn, &token, wall).await?;
    hand_token(conn, terms, &session, is_educator, wall)
        .await
        .map(Refreshed::Goes)
}

/// The caller's sessions that go on, the last used first.
pub async fn list_sessions(desk: &Desk, errand: Errand) -> Result<Page<SessionRow>, DeskError> {
    let terms = desk.terms();
    let account = errand.account;
    let items = desk
        .store()
        .read("list sessions", account, move |conn, account| {
            async move {
                let wall = clock::wall();
                // Without a good refresh token a session goes nowhere.
                let used_after = wall - terms.refresh;
                Ok::<_, DeskError>(sessions::live_of(conn, *account, wall, used_after).await?)
            }
            .boxed()
        })
        .await?;
    Ok(Page { items, more: false })
}

/// Ends one of the caller's sessions.
///
/// # Errors
/// [`DeskError::NotFound`] when the caller has no such session that goes on.
pub async fn end_session(desk: &Desk, errand: Errand, session: SessionId) -> Result<(), DeskError> {
    let account = errand.account;
    let ended = desk
        .store()
        .transact("end a session", account, move |conn, account| {
            async move {
                let wall = clock::wall();
                Ok::<_, DeskError>(sessions::revoke(conn, *account, session, wall).await?)
            }
            .boxed()
        })
        .await?;
    tracing::info!(%account, %session, ended, "signed out");
    ended
        .then_some(())
        .ok_or(DeskError::NotFound(Noun::Session))
}

/// Ends all of the caller's sessions, the one that asks included.
pub async fn end_all_sessions(desk: &Desk, errand: Errand) -> Result<(), DeskError> {
    let account = errand.account;
    let ended = desk
        .store()
        .transact("end all sessions", account, |conn, account| {
            async move {
                // So that no session begins beside this.
                accounts::hold_to_change(conn, *account).await?;
                let wall = clock::wall();
                Ok::<_, DeskError>(sessions::revoke_all(conn, *account, None, wall).await?)
            }
            .boxed()
        })
        .await?;
    tracing::info!(%account, ended, "signed out everywhere");
    Ok(())
}
