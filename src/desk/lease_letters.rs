//! Leasing letters that are owed, and settling what became of them: several at once, since each
//! commit waits for the disk.
//!
//! No transaction is open while a letter is handed over: if the copy dies then, the lease runs
//! out and another one sends the letter again, under the same Message-ID.

use super::allowances::{self, Allowance, LETTERS_SENT};
use super::keepers;
use super::letters::of_bounce;
use super::{Desk, DeskError};
use crate::store::Conn;
use crate::store::letter_leases::{self, Lease, Settled};
use crate::store::letters::{self, LetterRow};
use crate::store::letters_together;
use crate::store::members::{self, Bounced};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};
use wormrota_domain::letters::{Reason, Tried};

/// How long a copy may take for a letter before another one takes it over: longer than an
/// attempt lasts, and short beside the ten minutes of a sign-in link.
pub const LEASE: TimeDelta = TimeDelta::minutes(2);

/// Leases up to `most` letters that are due, those first that are to go first. Each must be
/// settled or given back.
///
/// # Errors
/// When the database cannot be reached.
pub async fn claim(
    desk: &Desk,
    now: DateTime<Utc>,
    most: u32,
) -> Result<Vec<LetterRow>, DeskError> {
    desk.store()
        .transact("claim letters", (), move |conn, ()| {
            async move { Ok(letter_leases::claim(conn, now, now + LEASE, most).await?) }.boxed()
        })
        .await
}

/// One of the letters that a receiver gets in an hour, counted by all copies together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted {
    allowance: Allowance,
    whom: [u8; 32],
    at: DateTime<Utc>,
}

/// Counts a letter to each of these addresses, of which `most` go to one in an hour; 0 sets no
/// limit. What is not sent afterwards is given back by [`settle`] or [`give_back`].
///
/// # Errors
/// For a letter, how it ends when the hour is full: it waits. For all, when the database cannot
/// be reached.
pub async fn count(
    desk: &Desk,
    addresses: &[&str],
    most: u32,
    now: DateTime<Utc>,
) -> Result<Vec<Result<Option<Counted>, Tried>>, DeskError> {
    let Some(allowance) = Allowance::of(LETTERS_SENT, most) else {
        return Ok(addresses.iter().map(|_| Ok(None)).collect());
    };
    let hidden = &desk.credentials().hidden;
    let whom: Vec<[u8; 32]> = addresses
        .iter()
        .map(|address| hidden.typed_email(address))
        .collect();
    let mut wanted: BTreeMap<[u8; 32], u32> = BTreeMap::new();
    for whom in &whom {
        *wanted.entry(*whom).or_default() += 1;
    }
    let mut granted = desk
        .store()
        .transact("count letters", wanted, move |conn, wanted| {
            allowances::take_each(conn, allowance, wanted, now).boxed()
        })
        .await?;
    let until = allowance.next_span(now);
    let counted = |whom: [u8; 32]| match granted.get_mut(&whom) {
        Some(left) if *left > 0 => {
            *left -= 1;
            let at = now;
            Ok(Some(Counted {
                allowance,
                whom,
                at,
            }))
        }
        _ => Err(Tried::Waits(Reason::ManyThisHour, until)),
    };
    Ok(whom.into_iter().map(counted).collect())
}

/// How the lease of a letter ends.
#[derive(Debug, Clone)]
pub struct Ended {
    /// The letter as it was leased.
    pub letter: LetterRow,
    /// What the attempt came to.
    pub tried: Tried,
    /// What was counted for it.
    pub counted: Option<Counted>,
    /// Other owed letters that it spoke for, if it was sent.
    pub speaks_for: Vec<Uuid>,
    /// When.
    pub at: DateTime<Utc>,
    /// From 0 to 1; spreads letters that failed together.
    pub chance: f64,
}

impl Ended {
    fn settled(&self) -> Settled {
        let letter = &self.letter;
        let attempts = u32::try_from(letter.attempts).unwrap_or(u32::MAX);
        // Of what was too late the last failure says more than nothing.
        let before = letter.reason.as_deref().and_then(Reason::from_code);
        Settled {
            lease: Lease::of(letter),
            next: self
                .tried
                .next(attempts, self.at, letter.too_late_at, self.chance),
            reason: match self.tried {
                Tried::TooLate => before,
                _ => self.tried.reason(),
            },
            at: self.at,
        }
    }

    /// Whether letters to its receiver come back, if this says so: since when, or that they do
    /// not.
    fn news(&self) -> Option<(Bounced, Option<DateTime<Utc>>)> {
        let since = match self.tried {
            Tried::Sent => None,
            Tried::Refused(reason) if reason.is_bounce() => Some(self.at),
            _ => return None,
        };
        let site = self.letter.site_id.map(SiteId);
        let member = self.letter.member_id.map(MemberId);
        let account = self.letter.account_id.map(AccountId);
        let whose = match (site, member, account) {
            (Some(site), Some(member), _) => Bounced::Member(site, member),
            (_, _, Some(account)) => Bounced::Account(account),
            _ => return None,
        };
        Some((whose, since))
    }
}

/// Ends leases with what the attempts came to, and notes whether letters to their receivers
/// come back: all of it or nothing. Whoever lost a lease changes nothing about its letter.
///
/// # Errors
/// When the database cannot be reached.
pub async fn settle(desk: &Desk, all: Arc<[Ended]>) -> Result<(), DeskError> {
    desk.store()
        .transact("settle letters", all, move |conn, all| {
            async move {
                let unsent = all.iter().filter(|ended| ended.tried != Tried::Sent);
                let unsent: Vec<Counted> = unsent.filter_map(|ended| ended.counted).collect();
                uncount(conn, unsent).await?;
                // Before the letters: who erases an account locks in this order too.
                let news: Vec<_> = all.iter().filter_map(Ended::news).collect();
                let bounced = members::note_bounces(conn, &news).await?;
                owe_word_of_bounces(conn, &bounced, all.iter().map(|one| one.at).max()).await?;
                let settled: Vec<Settled> = all.iter().map(Ended::settled).collect();
                let changed = letter_leases::settle(conn, &settled).await?;
                for sent in all.iter().filter(|one| one.tried == Tried::Sent) {
                    if !sent.speaks_for.is_empty() {
                        letters_together::close_told(conn, &sent.speaks_for, sent.at).await?;
                    }
                }
                if changed < all.len() {
                    let lost = all.len() - changed;
                    tracing::info!(lost, "leases ran out before their letters were settled");
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
    at: Option<DateTime<Utc>>,
) -> Result<(), DeskError> {
    for &(site, member) in whose {
        let owed: Vec<LetterRow> = keepers::told(conn, site, Some(member))
            .await?
            .into_iter()
            .filter_map(|keeper| Some(of_bounce(site, keeper, member, at?)))
            .collect();
        letters::owe(conn, &owed).await?;
    }
    Ok(())
}

/// Gives letters back that were leased and not begun, as if they had not been.
///
/// # Errors
/// When the database cannot be reached.
pub async fn give_back(
    desk: &Desk,
    all: Vec<(LetterRow, Option<Counted>)>,
) -> Result<(), DeskError> {
    desk.store()
        .transact("give letters back", all, move |conn, all| {
            async move {
                uncount(
                    conn,
                    all.iter().filter_map(|(_, counted)| *counted).collect(),
                )
                .await?;
                let leases: Vec<Lease> = all.iter().map(|(row, _)| Lease::of(row)).collect();
                letter_leases::give_back(conn, &leases).await?;
                Ok::<_, DeskError>(())
            }
            .boxed()
        })
        .await
}

/// In one order, so that two copies never wait for each other.
async fn uncount(conn: &mut Conn, mut all: Vec<Counted>) -> Result<(), DeskError> {
    all.sort_by_key(|counted| (counted.whom, counted.at));
    for counted in all {
        let Counted {
            allowance,
            whom,
            at,
        } = counted;
        allowances::give_back(conn, allowance, &whom, 1, at).await?;
    }
    Ok(())
}
