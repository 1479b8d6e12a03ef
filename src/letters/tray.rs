//! Letters that this copy has leased and made ready, for whichever of its senders comes next: a
//! sender that hangs holds up none but its own.

use super::compose::{self, Composed, Form};
use super::ledger::{self, ended};
use super::{Post, Way};
use crate::desk::lease_letters::{self, Counted};
use crate::desk::letters::{Found, letters_for};
use crate::desk::{Desk, DeskError};
use crate::store::StoreError;
use crate::store::letters::LetterRow;
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::VecDeque;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::OwnedMutexGuard;
use uuid::Uuid;
use wormrota_domain::letters::{Reason, Tried};

/// Letters that are leased at once for each sender, so that a commit serves several.
const FOR_EACH_SENDER: u32 = 16;
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
    pub(super) desk: Desk,
    pub(super) post: Post,
    ready: Mutex<VecDeque<Ready>>,
    /// Held by whoever brings letters.
    filling: Arc<tokio::sync::Mutex<Filling>>,
}

/// How letters are brought.
struct Filling {
    /// How many are leased next time.
    handful: u32,
    /// Whether any came the last time, until a sender took note.
    came: Option<Result<bool, DeskError>>,
}

impl Tray {
    pub(super) fn of(desk: Desk, post: Post) -> Arc<Self> {
        let filling = Filling {
            handful: 1,
            came: None,
        };
        Arc::new(Self {
            desk,
            post,
            ready: Mutex::default(),
            filling: Arc::new(tokio::sync::Mutex::new(filling)),
        })
    }

    /// The letter that goes next, if there is one. While senders go on with what lies here, more
    /// is brought.
    ///
    /// # Errors
    /// Only when the database is away: the leases then run out.
    pub(super) async fn next(
        self: &Arc<Self>,
        time: impl Fn() -> DateTime<Utc>,
    ) -> Result<Option<Ready>, DeskError> {
        loop {
            if let Ok(filling) = Arc::clone(&self.filling).try_lock_owned()
                && self.is_low(&filling)
            {
                self.fill(filling, time());
            }
            if let Some(ready) = self.fresh(&time) {
                return Ok(Some(ready));
            }
            let is_stale = |first: &Ready| time() - first.leased_at > FRESH;
            let stale = self.ready().front().is_some_and(is_stale);
            if stale {
                self.give_back().await?;
            }
            let mut filling = Arc::clone(&self.filling).lock_owned().await;
            if let Some(ready) = self.fresh(&time) {
                return Ok(Some(ready));
            }
            match filling.came.take() {
                Some(Ok(false)) => return Ok(None),
                Some(Err(error)) => return Err(error),
                // Under this very lock: whoever lets go of it first may find it taken by one who
                // waits, for ever in turn.
                Some(Ok(true)) | None => self.fill(filling, time()),
            }
        }
    }

    /// Whether fewer lie here than were leased the last time. What came of that a sender must
    /// hear of first, unless it were letters.
    fn is_low(&self, filling: &Filling) -> bool {
        let few = usize::try_from(filling.handful / 2).unwrap_or(1).max(1);
        self.ready().len() < few && matches!(filling.came, None | Some(Ok(true)))
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

    fn fill(self: &Arc<Self>, mut filling: OwnedMutexGuard<Filling>, now: DateTime<Utc>) {
        let tray = Arc::clone(self);
        tokio::spawn(async move {
            let handful = filling.handful;
            // What cannot be read together in time can be one by one.
            filling.handful = 1;
            let broken = "bringing letters broke down".to_owned();
            filling.came = Some(Err(StoreError::Broken(broken).into()));
            let came = tray.bring(handful, now).await;
            match came {
                Ok(true) => filling.handful = (handful * 2).min(tray.most_at_once()),
                Ok(false) => filling.handful = handful,
                Err(_) => {}
            }
            filling.came = Some(came);
        });
    }

    fn most_at_once(&self) -> u32 {
        self.post.senders * FOR_EACH_SENDER
    }

    /// Leases letters and makes them ready; says whether there were any.
    async fn bring(&self, most: u32, now: DateTime<Utc>) -> Result<bool, DeskError> {
        let rows = lease_letters::claim(&self.desk, now, most).await?;
        let any = !rows.is_empty();
        if any {
            self.prepare(rows, now).await?;
        }
        Ok(any)
    }

    /// Gives back what lies here. The next time begins with a single letter: a mail server that
    /// is slow, or cannot be reached, is not worth leasing many for.
    ///
    /// # Errors
    /// When the database is away: the leases then run out.
    pub(super) async fn give_back(&self) -> Result<(), DeskError> {
        // What is being brought goes back too.
        let mut filling = self.filling.lock().await;
        let left = std::mem::take(&mut *self.ready());
        filling.handful = 1;
        if left.is_empty() {
            return Ok(());
        }
        let left = left.into_iter().map(|ready| (ready.row, ready.counted));
        lease_letters::give_back(&self.desk, left.collect()).await
    }

    fn ready(&self) -> std::sync::MutexGuard<'_, VecDeque<Ready>> {
        self.ready.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Has letters worded and counted; settles those that do not go.
    async fn prepare(&self, rows: Vec<LetterRow>, now: DateTime<Utc>) -> Result<(), DeskError> {
        let Self { desk, post, .. } = self;
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
