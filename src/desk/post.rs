//! Owing letters, leasing what is owed, and settling what became of it.
//!
//! A letter is owed in the transaction of its cause, and sent by whichever copy leases it. No
//! transaction is open while it is handed over: if the copy dies then, the lease runs out and
//! another one sends the letter again, under the same Message-ID.

use super::allowances::{self, Allowance, LETTERS_SENT};
use super::keepers;
use super::letters::of_bounce;
use super::{Desk, DeskError};
use crate::clock;
use crate::store::Conn;
use crate::store::letters::{self, LetterRow};
use crate::store::members::{self, Bounced};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde::Serialize;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};
use wormrota_domain::letters::{LetterKind, LetterState, Reason, Tried};

/// How long a copy may take for a letter before another one takes it over: longer than an
/// attempt lasts, and short beside the ten minutes of a sign-in link.
pub const LEASE: TimeDelta = TimeDelta::minutes(2);

/// Whom a letter is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum For {
    /// Somebody at a site.
    Member(SiteId, MemberId),
    /// An account; none when an address has none, and then nobody gets it.
    Account(Option<AccountId>),
}

/// A letter that is owed from now on.
#[derive(Debug, Clone)]
pub(super) struct Owing {
    /// What it is about.
    pub kind: LetterKind,
    /// In keys that the program composes: owing the same letter twice is one row.
    pub purpose: String,
    /// Whom it is for.
    pub whom: For,
    /// From then on it helps nobody, by the machine's clock.
    pub too_late_at: DateTime<Utc>,
    /// Until when its links do something, by the machine's clock; none where it has no links.
    pub links_until: Option<DateTime<Utc>>,
}

impl Owing {
    /// Its row, with the keys and numbers that it is read by. `wall` is the machine's time.
    pub(super) fn row(self, keys: &impl Serialize, wall: DateTime<Utc>) -> LetterRow {
        let (site, member, account) = match self.whom {
            For::Member(site, member) => (Some(site.0), Some(member.0), None),
            For::Account(account) => (None, None, account.map(|account| account.0)),
        };
        let nobodys = self.whom == For::Account(None);
        let state = if nobodys {
            LetterState::NotWanted
        } else {
            LetterState::Owed
        };
        LetterRow {
            id: clock::fresh_id(),
            site_id: site,
            kind: self.kind.code().to_owned(),
            purpose: self.purpose,
            account_id: account,
            member_id: member,
            // What cannot be written as JSON is told when it is to be read.
            payload: serde_json::to_value(keys).unwrap_or_default(),
            goes_first: self.kind.manner().goes_first,
            state: state.code().to_owned(),
            due_at: wall,
            too_late_at: self.too_late_at,
            attempts: 0,
            leased_until: None,
            reason: None,
            created_at: wall,
            closed_at: nobodys.then_some(wall),
            links_until: self.links_until,
            answer: None,
            answered_at: None,
            links_revoked_at: None,
        }
    }
}

/// Leases the letter that is due next, if there is one. It must be settled.
///
/// # Errors
/// When the database cannot be reached.
pub async fn claim(desk: &Desk, now: DateTime<Utc>) -> Result<Option<LetterRow>, DeskError> {
    desk.store()
        .transact("claim a letter", (), move |conn, ()| {
            async move { Ok(letters::claim(conn, now, now + LEASE).await?) }.boxed()
        })
        .await
}

/// One of the letters that a receiver gets in an hour, counted by all copies together.
#[derive(Debug, Clone, Copy)]
pub struct Counted {
    allowance: Allowance,
    whom: [u8; 32],
    at: DateTime<Utc>,
}

/// Counts a letter to an address, of which `most` go there in an hour; 0 sets no limit. What
/// is not sent afterwards is given back by [`settle`].
///
/// # Errors
/// How it ends when the hour is full: it waits. Or when the database cannot be reached.
pub async fn count(
    desk: &Desk,
    address: &str,
    most: u32,
    now: DateTime<Utc>,
) -> Result<Result<Option<Counted>, Tried>, DeskError> {
    let Some(allowance) = Allowance::of(LETTERS_SENT, most) else {
        return Ok(Ok(None));
    };
    let whom = desk.credentials().hidden.typed_email(address);
    let verdict = desk
        .store()
        .transact("count a letter", whom, move |conn, whom| {
            async move { allowances::take(conn, allowance, whom, now).await }.boxed()
        })
        .await?;
    if verdict.allowed {
        let at = now;
        return Ok(Ok(Some(Counted {
            allowance,
            whom,
            at,
        })));
    }
    let wait_s = i64::try_from(verdict.resets_in_s).unwrap_or(i64::MAX);
    let until = now + TimeDelta::try_seconds(wait_s).unwrap_or(TimeDelta::hours(1));
    Ok(Err(Tried::Waits(Reason::ManyThisHour, until)))
}

/// Ends a lease with what the attempt came to, and notes whether letters to its receiver come
/// back. Whoever lost the lease changes nothing about the letter.
///
/// # Errors
/// When the database cannot be reached.
pub async fn settle(
    desk: &Desk,
    letter: &LetterRow,
    tried: Tried,
    counted: Option<Counted>,
    now: DateTime<Utc>,
    chance: f64,
) -> Result<(), DeskError> {
    let (id, attempt) = (letter.id, letter.attempts);
    let attempts = u32::try_from(attempt).unwrap_or(u32::MAX);
    let next = tried.next(attempts, now, letter.too_late_at, chance);
    // Of what was too late the last failure says more than nothing.
    let before = letter.reason.as_deref().and_then(Reason::from_code);
    let reason = match tried {
        Tried::TooLate => before,
        _ => tried.reason(),
    };
    let news = match tried {
        Tried::Sent => Some(None),
        Tried::Refused(reason) if reason.is_bounce() => Some(Some(now)),
        _ => None,
    };
    let unsent = counted.filter(|_| tried != Tried::Sent);
    let whose = bounced(letter);
    desk.store()
        .transact("settle a letter", unsent, move |conn, unsent| {
            async move {
                if let Some(counted) = unsent {
                    let Counted {
                        allowance,
                        whom,
                        at,
                    } = counted;
                    allowances::give_back(conn, *allowance, whom, *at).await?;
                }
                // Before the letter: who erases an account locks in this order too.
                if let (Some(whose), Some(since)) = (whose, news) {
                    let news = members::note_bounce(conn, whose, since).await?;
                    if let Some(since) = since {
                        owe_word_of_bounces(conn, &news, since).await?;
                    }
                }
                if !letters::settle(conn, id, attempt, next, reason, now).await? {
                    tracing::info!(letter = %id, "a lease ran out before its letter was settled");
                }
                Ok::<_, DeskError>(())
            }
            .boxed()
        })
        .await
}

/// Whoever looks after a site hears once of each member whose letters begin to come back.
async fn owe_word_of_bounces(
    conn: &mut Conn,
    whose: &[(SiteId, MemberId)],
    since: DateTime<Utc>,
) -> Result<(), DeskError> {
    for &(site, member) in whose {
        let owed: Vec<LetterRow> = keepers::told(conn, site, Some(member))
            .await?
            .into_iter()
            .map(|keeper| of_bounce(site, keeper, member, since))
            .collect();
        letters::owe(conn, &owed).await?;
    }
    Ok(())
}

fn bounced(letter: &LetterRow) -> Option<Bounced> {
    let site = letter.site_id.map(SiteId);
    let member = letter.member_id.map(|id: Uuid| MemberId(id));
    let account = letter.account_id.map(AccountId);
    match (site, member, account) {
        (Some(site), Some(member), _) => Some(Bounced::Member(site, member)),
        (_, _, Some(account)) => Some(Bounced::Account(account)),
        _ => None,
    }
}
