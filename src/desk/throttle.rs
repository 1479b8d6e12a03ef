//! Slowing down whoever guesses passwords, without shutting the owner out.
//!
//! Tries are counted by what was typed, so that an unknown address is treated as a known one.
//! Three allowances, of which only the first holds everywhere:
//!
//! 1. one typed address from one place (or one known device), a quarter of an hour;
//! 2. one place for all accounts that were never signed in to from there, an hour;
//! 3. one typed address from all places and devices that it was never signed in to from, a day.
//!
//! Strangers who use up the third cannot touch the first of the owner's own places and
//! devices, nor signing in by a link. A right password gives back what its try took.

use super::allowances::{
    self, Allowance, PASSWORD_CHANGES, PASSWORDS_ELSEWHERE, PASSWORDS_FROM_ADDRESS, PASSWORDS_HERE,
};
use super::credentials::{Credentials, both};
use super::{Desk, DeskError};
use crate::clock;
use crate::store::Conn;
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use std::net::IpAddr;
use wormrota_domain::ids::{AccountId, SessionId};

/// From where somebody tries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum From {
    /// A place that the account, if there is one, was never signed in to from.
    Elsewhere(IpAddr),
    /// A place that it was signed in to from before.
    Familiar(IpAddr),
    /// A device that showed that it was signed in once.
    Device(SessionId),
}

/// A try that was counted.
#[derive(Debug, Clone)]
pub(super) struct Try {
    taken: Vec<(Allowance, [u8; 32])>,
    at: DateTime<Utc>,
}

impl Try {
    /// Takes one of each; stops at the first that has none left.
    async fn count(
        desk: &Desk,
        wanted: Vec<(Option<Allowance>, [u8; 32])>,
    ) -> Result<Self, DeskError> {
        let taken: Vec<(Allowance, [u8; 32])> = wanted
            .into_iter()
            .filter_map(|(allowance, whom)| allowance.map(|allowance| (allowance, whom)))
            .collect();
        let counted = Self {
            taken,
            at: clock::wall(),
        };
        // An answer, not an error: what was taken stays taken.
        let wait_s = desk
            .store()
            .transact("count a try", counted.clone(), |conn, counted| {
                async move {
                    for (allowance, whom) in &counted.taken {
                        let verdict = allowances::take(conn, *allowance, whom, counted.at).await?;
                        if !verdict.allowed {
                            return Ok(Some(verdict.resets_in_s));
                        }
                    }
                    Ok::<_, DeskError>(None)
                }
                .boxed()
            })
            .await?;
        match wait_s {
            None => Ok(counted),
            Some(wait_s) => Err(DeskError::TooOften { wait_s }),
        }
    }

    /// Gives back what a right password took.
    pub(super) async fn give_back(&self, conn: &mut Conn) -> Result<(), DeskError> {
        for (allowance, whom) in &self.taken {
            allowances::give_back(conn, *allowance, whom, 1, self.at).await?;
        }
        Ok(())
    }
}

/// Counts a password that is tried for a typed address.
pub(super) async fn password_for(desk: &Desk, typed: &str, from: From) -> Result<Try, DeskError> {
    let Credentials {
        hidden, settings, ..
    } = desk.credentials();
    let typed = hidden.typed_email(typed);
    let place = match from {
        From::Elsewhere(address) | From::Familiar(address) => hidden.place(address),
        From::Device(session) => hidden.id(session.0),
    };
    let here = Allowance::of(PASSWORDS_HERE, settings.wrong_passwords_here);
    let mut wanted = vec![(here, both(typed, place))];
    if let From::Elsewhere(_) = from {
        let address = Allowance::of(
            PASSWORDS_FROM_ADDRESS,
            settings.wrong_passwords_from_address,
        );
        let elsewhere = Allowance::of(PASSWORDS_ELSEWHERE, settings.wrong_passwords_elsewhere);
        wanted.extend([(address, place), (elsewhere, typed)]);
    }
    Try::count(desk, wanted).await
}

/// Counts a current password that is tried by somebody who is signed in.
pub(super) async fn current_password(desk: &Desk, account: AccountId) -> Result<Try, DeskError> {
    let Credentials {
        hidden, settings, ..
    } = desk.credentials();
    let allowance = Allowance::of(PASSWORD_CHANGES, settings.wrong_passwords_here);
    Try::count(desk, vec![(allowance, hidden.id(account.0))]).await
}

/// Counts a letter that is asked for.
pub(super) async fn letter(
    desk: &Desk,
    kind: &str,
    typed: &str,
    from: IpAddr,
) -> Result<(), DeskError> {
    let Credentials {
        hidden, settings, ..
    } = desk.credentials();
    let from_here = Allowance::of(allowances::LETTERS_FROM, settings.letters_from_address);
    let to_them = Allowance::of(allowances::LETTERS_TO, settings.letters_to_address);
    // Each kind has its own: one cannot be used up for the other.
    let whom = both(hidden.typed_email(typed), hidden.typed_email(kind));
    let wanted = vec![(from_here, hidden.place(from)), (to_them, whom)];
    Try::count(desk, wanted).await.map(drop)
}
