//! Letters that this copy has leased and made ready, for whichever of its senders comes next: a
//! sender that hangs holds up none but its own.

use super::compose::{self, Composed, Form};
use super::ledger::{self, ended};
use super::{Post, Way};
use crate::desk::lease_letters::{self, Counted};
use crate::desk::letters::{Found, letters_for};
use crate::desk::{Desk, DeskError};
use crate::store::letters::LetterRow;
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, PoisonError};
use uuid::Uuid;
use wormrota_domain::letters::{Reason, Tried};

/// Letters that are leased at once for each sender, so that a commit serves several; and as
/// many may be sent by one and not settled yet.
pub(super) const FOR_EACH_SENDER: u32 = 8;
/// A letter that lay here for longer goes back: an attempt that begins later, with the pauses
/// before it is settled, could outlast the lease.
const FRESH: TimeDelta = TimeDelta::seconds(5);

/// A letter that can be handed over at once.
pub(super) struct Ready {
    pub(super) row: LetterRow,
    pub(super) composed: Composed,
    pub(super) counted: Option<Counted>,
    /// Other letters that need not go once it was sent.
    pub(super) speaks_for: Vec<Uuid>,
    leased_at: DateTime<Utc>,
}

/// What lies ready.
pub(super) struct Tray {
    ready: Mutex<VecDeque<Ready>>,
    /// How many letters are leased next time; held by whoever is about it.
    handful: tokio::sync::Mutex<u32>,
    senders: u32,
}

impl Tray {
    pub(super) fn new(senders: u32) -> Self {
        Self {
            ready: Mutex::default(),
            handful: tokio::sync::Mutex::new(1),
            senders,
        }
    }

    /// The letter that goes next, unless somebody should bring more first: while one sender does,
    /// the others have some to go on with.
    pub(super) fn at_hand(&self, time: impl Fn() -> DateTime<Utc>) -> Option<Ready> {
        let is_being_filled = self.handful.try_lock().is_err();
        (is_being_filled || !self.is_low())
            .then(|| self.fresh(time))
            .flatten()
    }

    /// The letter that goes next, if there is one; brings more where few are left.
    ///
    /// # Errors
    /// Only when the database is away: the leases then run out.
    pub(super) async fn next(
        &self,
        desk: &Desk,
        post: &Post,
        time: impl Fn() -> DateTime<Utc>,
    ) -> Result<Option<Ready>, DeskError> {
        loop {
            if let Some(ready) = self.at_hand(&time) {
                return Ok(Some(ready));
            }
            let is_stale = |first: &Ready| time() - first.leased_at > FRESH;
            let stale = self.ready().front().is_some_and(is_stale);
            if stale {
                self.give_back(desk).await?;
            }
            let mut handful = self.handful.lock().await;
            // Somebody else may have brought letters meanwhile.
            if self.is_low() {
                let rows = lease_letters::claim(desk, time(), *handful).await?;
                if rows.is_empty() {
                    return Ok(self.fresh(time));
                }
                let next_time = (*handful * 2).min(self.senders * FOR_EACH_SENDER);
                // What cannot be read together in time can be one by one.
                *handful = 1;
                self.prepare(desk, post, rows, time()).await?;
                *handful = next_time;
            }
        }
    }

    fn is_low(&self) -> bool {
        self.ready().len() < usize::try_from(self.senders).unwrap_or(1)
    }

    fn fresh(&self, time: impl Fn() -> DateTime<Utc>) -> Option<Ready> {
        let mut ready = self.ready();
        let is_fresh = |first: &Ready| time() - first.leased_at <= FRESH;
        if ready.front().is_some_and(is_fresh) {
            ready.pop_front()
        } else {
            None
        }
    }

    /// Gives back what lies here. The next time begins with a single letter: a mail server that
    /// is slow, or cannot be reached, is not worth leasing many for.
    ///
    /// # Errors
    /// When the database is away: the leases then run out.
    pub(super) async fn give_back(&self, desk: &Desk) -> Result<(), DeskError> {
        let left = std::mem::take(&mut *self.ready());
        *self.handful.lock().await = 1;
        if left.is_empty() {
            return Ok(());
        }
        let left = left.into_iter().map(|ready| (ready.row, ready.counted));
        lease_letters::give_back(desk, left.collect()).await
    }

    fn ready(&self) -> std::sync::MutexGuard<'_, VecDeque<Ready>> {
        self.ready.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Has letters worded and counted; settles those that do not go.
    async fn prepare(
        &self,
        desk: &Desk,
        post: &Post,
        rows: Vec<LetterRow>,
        now: DateTime<Utc>,
    ) -> Result<(), DeskError> {
        let (mut worded, mut unsent) = (Vec::new(), Vec::new());
        let mut leave = |row, tried| unsent.push(ended(row, tried, None, now));
        let (late, rows): (Vec<_>, Vec<_>) =
            rows.into_iter().partition(|row| now >= row.too_late_at);
        for row in late {
            leave(row, Tried::TooLate);
        }
        let found = letters_for(desk, rows.clone(), now).await?;
        for (row, found) in rows.into_iter().zip(found) {
            // Whatever it is about this letter, it must not stop the others.
            let Ok(words) = catch_unwind(AssertUnwindSafe(|| in_words(post, &row, found))) else {
                tracing::error!(
                    letter = %row.id,
                    "a letter breaks its sender down; it is left until its lease ends"
                );
                continue;
            };
            match words {
                Ok(words) => worded.push((row, words)),
                Err(tried) => leave(row, tried),
            }
        }
        let addresses: Vec<&str> = worded
            .iter()
            .map(|(_, words)| words.address.as_str())
            .collect();
        let most = post.to_one_address_per_hour;
        let counted = lease_letters::count(desk, &addresses, most, now).await?;
        for ((row, words), counted) in worded.into_iter().zip(counted) {
            match counted {
                Ok(counted) => self.ready().push_back(Ready {
                    row,
                    composed: words.composed,
                    counted,
                    speaks_for: words.speaks_for,
                    leased_at: now,
                }),
                Err(waits) => leave(row, waits),
            }
        }
        if unsent.is_empty() {
            return Ok(());
        }
        for ended in &unsent {
            super::log(&ended.letter, ended.tried, None);
        }
        ledger::write(desk, unsent).await
    }
}

struct Worded {
    address: String,
    composed: Composed,
    speaks_for: Vec<Uuid>,
}

/// The letter in words; or how it ends without having been sent.
fn in_words(post: &Post, row: &LetterRow, found: Found) -> Result<Worded, Tried> {
    let letter = match found {
        Found::Letter(letter) => letter,
        Found::Settled => return Err(Tried::NotWanted),
        Found::Unwanted(reason) => return Err(Tried::Unwanted(reason)),
        Found::Waits(until) => return Err(Tried::Waits(Reason::ToldTogether, until)),
        Found::Unreadable => return Err(Tried::Unfit(Reason::Unreadable)),
    };
    if let Some(until) = letter.not_before {
        return Err(Tried::Waits(Reason::QuietHours, until));
    }
    if letter.address.parse::<lettre::Address>().is_err() {
        return Err(Tried::Refused(Reason::AddressUnusable));
    }
    let form = match post.way {
        Way::Folder(_) => Form::Readable,
        Way::Smtp(_) => Form::Portable,
    };
    // The error may hold the address, which stands in no log.
    let composed = compose::message(&letter, row.id, row.created_at, &post.common, form)
        .map_err(|_| Tried::Unfit(Reason::NotBuilt))?;
    Ok(Worded {
        address: letter.address,
        composed,
        speaks_for: letter.speaks_for,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::letters::ledger::AGAIN_AFTER_S;
    use crate::letters::smtp::ATTEMPT;

    /// Protects receivers from doubles: another copy takes a letter over when its lease ends.
    #[test]
    fn what_is_begun_in_time_is_settled_before_its_lease_ends() {
        let pauses: u64 = AGAIN_AFTER_S.iter().sum();
        let longest = ATTEMPT.as_secs() + pauses + FRESH.num_seconds().unsigned_abs();
        assert!(longest < lease_letters::LEASE.num_seconds().unsigned_abs());
    }
}
