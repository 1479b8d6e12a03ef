//! Letters that this copy has leased and made ready, for whichever of its senders comes next: a
//! sender that hangs holds up none but its own.

use super::compose::{self, Composed, Form};
use super::ledger;
use super::{Post, Way};
use crate::desk::lease_letters::{self, Counted, Ended};
use crate::desk::letters::{Found, letter_for};
use crate::desk::{Desk, DeskError};
use crate::store::letters::LetterRow;
use crate::store::{Failure, StoreError};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::{FutureExt, StreamExt, stream};
use std::collections::VecDeque;
use std::panic::AssertUnwindSafe;
use std::sync::{Mutex, PoisonError};
use wormrota_domain::letters::{Reason, Tried};

/// Letters that are leased at once for each sender, so that a commit serves several.
const FOR_EACH_SENDER: u32 = 4;
/// A letter that lay here for longer goes back: an attempt that begins later, with the pauses
/// before it is settled, could outlast the lease.
const FRESH: TimeDelta = TimeDelta::seconds(5);

/// A letter that can be handed over at once.
pub(super) struct Ready {
    pub(super) row: LetterRow,
    pub(super) composed: Composed,
    pub(super) counted: Option<Counted>,
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

    /// The letter that goes next, if there is one.
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
            let first = self.ready().pop_front();
            match first {
                Some(ready) if time() - ready.leased_at <= FRESH => return Ok(Some(ready)),
                Some(stale) => {
                    self.ready().push_front(stale);
                    self.give_back(desk).await?;
                }
                None => {}
            }
            let mut handful = self.handful.lock().await;
            // Somebody else may have brought letters meanwhile.
            if self.ready().is_empty() {
                let rows = lease_letters::claim(desk, time(), *handful).await?;
                if rows.is_empty() {
                    return Ok(None);
                }
                let most = self.senders * FOR_EACH_SENDER;
                *handful = (*handful * 2).min(most);
                self.prepare(desk, post, rows, time()).await?;
            }
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
        let wording = rows.into_iter().map(|row| async move {
            // Whatever it is about this letter, it must not stop the others.
            let words = AssertUnwindSafe(worded(desk, post, &row, now)).catch_unwind();
            (words.await, row)
        });
        let at_once = usize::try_from(self.senders).unwrap_or(1);
        let mut wording = stream::iter(wording).buffered(at_once);
        let (mut worded, mut ended) = (Vec::new(), Vec::new());
        while let Some((words, row)) = wording.next().await {
            let Ok(words) = words else {
                tracing::error!(
                    letter = %row.id,
                    "a letter breaks its sender down; it is left until its lease ends"
                );
                continue;
            };
            match words? {
                Ok(words) => worded.push((row, words)),
                Err(tried) => ended.push(unsent(row, tried, now)),
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
                    leased_at: now,
                }),
                Err(waits) => ended.push(unsent(row, waits, now)),
            }
        }
        if ended.is_empty() {
            return Ok(());
        }
        for ended in &ended {
            super::log(&ended.letter, ended.tried, None);
        }
        ledger::write(desk, ended).await
    }
}

fn unsent(letter: LetterRow, tried: Tried, at: DateTime<Utc>) -> Ended {
    Ended {
        letter,
        tried,
        counted: None,
        at,
        chance: rand::random_range(0.0..=1.0),
    }
}

struct Worded {
    address: String,
    composed: Composed,
}

/// The letter in words; or how it ends without having been sent. Fails only when the database
/// is away.
async fn worded(
    desk: &Desk,
    post: &Post,
    row: &LetterRow,
    now: DateTime<Utc>,
) -> Result<Result<Worded, Tried>, DeskError> {
    if now >= row.too_late_at {
        return Ok(Err(Tried::TooLate));
    }
    let letter = match letter_for(desk, row, now).await {
        Ok(Found::Letter(letter)) => letter,
        Ok(Found::Settled) => return Ok(Err(Tried::NotWanted)),
        Ok(Found::Unwanted(reason)) => return Ok(Err(Tried::Unwanted(reason))),
        Err(error) if is_unreadable(&error) => {
            return Ok(Err(Tried::Unfit(Reason::Unreadable)));
        }
        Err(error) => return Err(error),
    };
    if let Some(until) = letter.not_before {
        return Ok(Err(Tried::Waits(Reason::QuietHours, until)));
    }
    if letter.address.parse::<lettre::Address>().is_err() {
        return Ok(Err(Tried::Refused(Reason::AddressUnusable)));
    }
    let form = match post.way {
        Way::Folder(_) => Form::Readable,
        Way::Smtp(_) => Form::Portable,
    };
    let composed = compose::message(&letter, row.id, row.created_at, &post.common, form);
    // The error may hold the address, which stands in no log.
    Ok(composed
        .map(|composed| Worded {
            address: letter.address,
            composed,
        })
        .map_err(|_| Tried::Unfit(Reason::NotBuilt)))
}

fn is_unreadable(error: &DeskError) -> bool {
    matches!(
        error.store_error(),
        Some(StoreError::Unreadable { .. } | StoreError::Broken(_))
    )
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
