//! Asking for a letter with a link: to set a new password, or to sign in without one.
//!
//! Whether the address has an account nobody learns: the answer is the same, and so are the
//! statements. For nobody's address a link is written that is nobody's, and a letter that
//! nobody sends. What little time a row lock more takes is hidden by a pause.

use super::credentials::LinkFor;
use super::letters::of_link;
use super::{Desk, DeskError, fields, throttle};
use crate::clock;
use crate::store::account_links::{self, LinkRow};
use crate::store::{Conn, accounts, letters};
use chrono::TimeDelta;
use futures_util::FutureExt;
use std::net::IpAddr;
use std::time::Duration;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, LinkId};
use wormrota_domain::letters::LetterKind;

/// Links of one kind that an account has open at most: one more revokes the oldest. More than
/// one, since a letter may be late and somebody else may have asked.
const MOST_OPEN: usize = 3;
/// No answer comes earlier: several times what the statements take.
const AT_LEAST: Duration = Duration::from_millis(50);

/// What a link of an account does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinkKind {
    /// Sets a new password.
    Reset,
    /// Signs in.
    SignIn,
}

impl LinkKind {
    /// The word that stands in the database.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Reset => "reset",
            Self::SignIn => "sign_in",
        }
    }

    /// Where its pages stand: the one that is asked on, and with a secret behind it the one of
    /// the link.
    #[must_use]
    pub const fn path(self) -> &'static str {
        match self {
            Self::Reset => "/password",
            Self::SignIn => "/sign_in",
        }
    }

    /// What its letter is about.
    const fn letter(self) -> LetterKind {
        match self {
            Self::Reset => LetterKind::Reset,
            Self::SignIn => LetterKind::SignIn,
        }
    }

    /// What its secret is signed for.
    #[must_use]
    pub const fn purpose(self) -> LinkFor {
        match self {
            Self::Reset => LinkFor::Reset,
            Self::SignIn => LinkFor::SignIn,
        }
    }
}

/// Owes a letter with a link to the account of an address, if there is one. Returns the
/// minutes that the link is good for.
///
/// # Errors
/// [`DeskError::TooOften`], whether or not there is an account.
pub async fn ask_for_link(
    desk: &Desk,
    kind: LinkKind,
    typed: &str,
    from: IpAddr,
) -> Result<u32, DeskError> {
    throttle::letter(desk, kind.code(), typed, from).await?;
    let settings = &desk.credentials().settings;
    let minutes = match kind {
        LinkKind::Reset => settings.reset_minutes,
        LinkKind::SignIn => settings.link_minutes,
    };
    // Nobody's address holds a control character.
    let email = fields::email(typed).unwrap_or_else(|| "\n".to_owned());
    let owing = desk
        .store()
        .transact("owe a link", email, move |conn, email| {
            async move { owe(conn, kind, email, minutes).await }.boxed()
        });
    let (owed, ()) = tokio::join!(owing, tokio::time::sleep(AT_LEAST));
    owed?;
    Ok(minutes)
}

async fn owe(conn: &mut Conn, kind: LinkKind, email: &str, minutes: u32) -> Result<(), DeskError> {
    let wall = clock::wall();
    let account = accounts::hold_by_email(conn, email).await?;
    let id = AccountId(account.as_ref().map_or(Uuid::nil(), |account| account.id));
    let open = account_links::open_of(conn, id, kind.code(), wall).await?;
    let surplus = open.get(MOST_OPEN - 1..).unwrap_or_default();
    account_links::revoke(conn, id, surplus, wall).await?;
    let link = LinkRow {
        id: clock::fresh_id(),
        account_id: account.as_ref().map(|account| account.id),
        kind: kind.code().to_owned(),
        created_at: wall,
        expires_at: wall + TimeDelta::minutes(minutes.into()),
        used_at: None,
        revoked_at: None,
    };
    account_links::insert(conn, &link).await?;
    let account = account.map(|account| AccountId(account.id));
    let letter = of_link(
        kind.letter(),
        account,
        LinkId(link.id),
        link.expires_at,
        wall,
    );
    letters::owe(conn, &[letter]).await?;
    Ok(())
}
