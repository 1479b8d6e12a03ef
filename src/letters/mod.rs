//! Letters that are owed, written into a folder as they would be sent.
//!
//! A letter is a job in the database, left by the transaction that causes it, with keys and
//! nothing else. What it says is read when it is written. Any number of copies may write: a
//! job is leased by one at a time, and a letter that is written again is the same file with
//! the same Message-ID.

mod compose;
mod folder;

pub use folder::LetterFolder;

use crate::clock;
use crate::desk::letters::letter_for;
use crate::desk::{Desk, DeskError};
use crate::store::jobs::JobRow;
use crate::work;
use chrono::{DateTime, Utc};
use std::time::Duration;

/// The kind of these jobs.
const KINDS: &[&str] = &["letter"];
/// What letters that can be written are about, those whose links end soon before the others,
/// of which a list of people owes thousands. Further ones wait until somebody can write them.
const ABOUT: [&[&str]; 2] = [&["reset", "sign_in"], &["invitation"]];
/// How often a copy looks for letters: somebody waits for each.
const LOOKS_EVERY: Duration = Duration::from_secs(3);
/// Every so many looks, about once an hour, old letters are deleted.
const LOOKS_TO_FORGET: u64 = 1_200;

/// Writes what is owed until the surrounding task is dropped; a letter that is under way
/// then is written again by another copy.
pub async fn keep_writing(desk: Desk, folder: LetterFolder) {
    let mut ticks = tokio::time::interval(LOOKS_EVERY);
    ticks.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    for looks in 0_u64.. {
        ticks.tick().await;
        let now = clock::wall();
        if let Err(error) = write_once(&desk, &folder, now).await {
            tracing::warn!(code = error.code(), "letters are left for later");
        }
        if looks % LOOKS_TO_FORGET == 0
            && let Err(error) = folder.forget_old(now).await
        {
            tracing::warn!(kind = ?error.kind(), "old letters cannot be deleted");
        }
    }
}

/// Writes every letter that is owed at `now`, the machine's time; says how many were written.
/// One whose link was used, revoked or has expired is closed without being written.
///
/// # Errors
/// When the database cannot be reached.
pub async fn write_once(
    desk: &Desk,
    folder: &LetterFolder,
    now: DateTime<Utc>,
) -> Result<usize, DeskError> {
    let mut written = 0;
    loop {
        let mut leased = Vec::new();
        for about in ABOUT {
            if leased.is_empty() {
                leased = work::lease(desk, KINDS, Some(about), now).await?;
            }
        }
        if leased.is_empty() {
            return Ok(written);
        }
        for job in leased {
            let outcome = write(desk, folder, &job, now).await;
            written += usize::from(matches!(outcome, Ok(Done::Written)));
            work::settle(desk, &job, now, outcome.map(|_| ())).await?;
        }
    }
}

/// What became of a letter that was owed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Done {
    Written,
    NotWantedAnyMore,
}

/// Fails with a code for the job.
async fn write(
    desk: &Desk,
    folder: &LetterFolder,
    job: &JobRow,
    now: DateTime<Utc>,
) -> Result<Done, &'static str> {
    let found = letter_for(desk, &job.payload, now).await;
    let Some(letter) = found.map_err(|error| error.code())? else {
        return Ok(Done::NotWantedAnyMore);
    };
    // The error may hold the address, which stands in no log.
    let message = compose::message(&letter, job.id, job.created_at, folder.settings())
        .map_err(|_| "letter_not_built")?;
    folder.put(job.id, message).await.map_err(|error| {
        tracing::warn!(kind = ?error.kind(), "a letter cannot be written into its folder");
        "letter_not_written"
    })?;
    Ok(Done::Written)
}
