//! Writing down what became of letters, several in one commit: each waits a moment for others.

use crate::desk::lease_letters::{self, Counted, Ended};
use crate::desk::{Desk, DeskError};
use crate::store::letters::LetterRow;
use crate::store::{Failure, StoreError};
use chrono::{DateTime, Utc};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::sync::oneshot;
use wormrota_domain::letters::Tried;

/// Pauses before letters are settled once more: together less than what their leases have
/// left.
pub(super) const AGAIN_AFTER_S: [u64; 5] = [1, 2, 4, 8, 8];

/// So many letters for each sender are written at once without waiting for more: half of what a
/// sender may leave unsettled, so that it goes on meanwhile.
const ENOUGH_FOR_EACH_SENDER: u32 = 4;
/// For how long fewer wait for others: far less than anybody who waits for a letter notices.
const GATHERING: Duration = Duration::from_millis(20);

/// What waits to be written, with whom to tell.
type Waiting = Vec<(Ended, oneshot::Sender<()>)>;

/// Settles the letters of all senders of this copy.
#[derive(Debug)]
pub(super) struct Ledger {
    waiting: Mutex<Waiting>,
    writing: tokio::sync::Mutex<()>,
    enough: usize,
}

impl Ledger {
    pub(super) fn of(senders: u32) -> Self {
        let enough = senders.saturating_mul(ENOUGH_FOR_EACH_SENDER);
        Self {
            waiting: Mutex::default(),
            writing: tokio::sync::Mutex::default(),
            enough: usize::try_from(enough).unwrap_or(usize::MAX),
        }
    }

    /// Returns when it is written, by this sender or by another.
    ///
    /// # Errors
    /// When the database stays away: the letter's lease then runs out.
    pub(super) async fn settle(&self, desk: &Desk, ended: Ended) -> Result<(), DeskError> {
        let (tell, mut told) = oneshot::channel();
        let gathered = {
            let mut waiting = self.waiting();
            waiting.push((ended, tell));
            waiting.len()
        };
        if gathered < self.enough
            && let Ok(told) = tokio::time::timeout(GATHERING, &mut told).await
        {
            return told.map_err(|_| not_through());
        }
        {
            let _writing = self.writing.lock().await;
            let (all, whom): (Vec<Ended>, Vec<_>) =
                std::mem::take(&mut *self.waiting()).into_iter().unzip();
            // Empty when whoever was writing took this one along.
            if !all.is_empty() {
                write(desk, all).await?;
            }
            for tell in whom {
                // Somebody who is gone does not need to know.
                let _ = tell.send(());
            }
        }
        told.await.map_err(|_| not_through())
    }

    fn waiting(&self) -> std::sync::MutexGuard<'_, Waiting> {
        self.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn not_through() -> DeskError {
    let said = "whoever was settling a letter with others did not get through";
    StoreError::Unavailable(said.to_owned()).into()
}

/// What became of a letter at an instant, with the chance by which its next try is put off.
pub(super) fn ended(
    letter: LetterRow,
    tried: Tried,
    counted: Option<Counted>,
    at: DateTime<Utc>,
) -> Ended {
    Ended {
        letter,
        tried,
        counted,
        speaks_for: Vec::new(),
        at,
        chance: rand::random_range(0.0..=1.0),
    }
}

/// A row that cannot be written must not keep the others from being settled.
pub(super) async fn write(desk: &Desk, all: Vec<Ended>) -> Result<(), DeskError> {
    let all: Arc<[Ended]> = all.into();
    match patiently(desk, Arc::clone(&all)).await {
        Err(error) if all.len() > 1 && !is_away(&error) => {
            for one in &*all {
                if let Err(error) = patiently(desk, Arc::new([one.clone()])).await {
                    let code = error.code();
                    tracing::error!(letter = %one.letter.id, code, "a letter cannot be settled");
                }
            }
            Ok(())
        }
        written => written,
    }
}

/// A database that is away for a moment is waited for: a letter that was sent and is not
/// settled is sent again.
async fn patiently(desk: &Desk, all: Arc<[Ended]>) -> Result<(), DeskError> {
    for pause_s in AGAIN_AFTER_S {
        match lease_letters::settle(desk, Arc::clone(&all)).await {
            Err(error) if is_away(&error) => {
                tokio::time::sleep(Duration::from_secs(pause_s)).await;
            }
            settled => return settled,
        }
    }
    lease_letters::settle(desk, all).await
}

fn is_away(error: &DeskError) -> bool {
    matches!(
        error.store_error(),
        Some(StoreError::Unavailable(_) | StoreError::Lost(_))
    )
}
