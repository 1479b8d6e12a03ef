//! One sender: leases a letter, has it worded, hands it over, and settles what came of it.

use super::answer::Fault;
use super::compose::{self, Composed, Form};
use super::smtp::Line;
use super::{Post, Way};
use crate::desk::letters::{Found, letter_for};
use crate::desk::post::{self, Counted};
use crate::desk::{Desk, DeskError};
use crate::store::letters::LetterRow;
use crate::store::{Failure, StoreError};
use chrono::{DateTime, Utc};
use std::time::Duration;
use wormrota_domain::letters::{Reason, Tried};

/// Pauses before a letter is settled once more: together less than what its lease has left.
const SETTLES_AGAIN_AFTER_S: [u64; 5] = [1, 2, 4, 8, 8];

/// How an attempt ended, and what was counted for it.
struct Attempt {
    fault: Fault,
    counted: Option<Counted>,
}

impl From<Tried> for Attempt {
    fn from(tried: Tried) -> Self {
        Self {
            fault: Fault { tried, code: None },
            counted: None,
        }
    }
}

/// A sender with its connection to the mail server, if it has one.
#[derive(Default)]
pub(super) struct Sender(Line);

impl Sender {
    /// Sends what is due until nothing is, until no letter can go, or until it is told to stop;
    /// says how many went.
    pub(super) async fn send_due(
        &mut self,
        desk: &Desk,
        post: &Post,
        time: impl Fn() -> DateTime<Utc>,
        is_told_to_stop: impl Fn() -> bool,
    ) -> Result<usize, DeskError> {
        let mut sent = 0;
        while !is_told_to_stop()
            && let Some(letter) = post::claim(desk, time()).await?
        {
            let Attempt { fault, counted } = self.send(desk, post, &letter, time()).await?;
            settle(desk, &letter, fault.tried, counted, time()).await?;
            log(&letter, fault);
            sent += usize::from(fault.tried == Tried::Sent);
            if fault.tried.reason().is_some_and(Reason::holds_for_all) {
                break;
            }
        }
        if let Way::Smtp(peer) = &post.way {
            self.0.hang_up(peer).await;
        }
        Ok(sent)
    }

    /// Fails only when the database is away: the lease then runs out.
    async fn send(
        &mut self,
        desk: &Desk,
        post: &Post,
        row: &LetterRow,
        now: DateTime<Utc>,
    ) -> Result<Attempt, DeskError> {
        if now >= row.too_late_at {
            return Ok(Tried::TooLate.into());
        }
        let letter = match letter_for(desk, row, now).await {
            Ok(Found::Letter(letter)) => letter,
            Ok(Found::Settled) => return Ok(Tried::NotWanted.into()),
            Ok(Found::Unwanted(reason)) => return Ok(Tried::Unwanted(reason).into()),
            Err(error) if is_unreadable(&error) => {
                return Ok(Tried::Unfit(Reason::Unreadable).into());
            }
            Err(error) => return Err(error),
        };
        if let Some(until) = letter.not_before {
            return Ok(Tried::Waits(Reason::QuietHours, until).into());
        }
        if letter.address.parse::<lettre::Address>().is_err() {
            return Ok(Tried::Refused(Reason::AddressUnusable).into());
        }
        let form = match post.way {
            Way::Folder(_) => Form::Readable,
            Way::Smtp(_) => Form::Portable,
        };
        let composed = compose::message(&letter, row.id, row.created_at, &post.common, form);
        // The error may hold the address, which stands in no log.
        let Ok(composed) = composed else {
            return Ok(Tried::Unfit(Reason::NotBuilt).into());
        };
        let most = post.to_one_address_per_hour;
        match post::count(desk, &letter.address, most, now).await? {
            Err(waits) => Ok(waits.into()),
            Ok(counted) => {
                let handed = self.hand_over(post, row, composed).await;
                let sent = Fault {
                    tried: Tried::Sent,
                    code: None,
                };
                let fault = handed.err().unwrap_or(sent);
                Ok(Attempt { fault, counted })
            }
        }
    }

    async fn hand_over(
        &mut self,
        post: &Post,
        row: &LetterRow,
        composed: Composed,
    ) -> Result<(), Fault> {
        match &post.way {
            Way::Smtp(peer) => self.0.hand_over(peer, &composed).await,
            Way::Folder(folder) => folder.put(row.id, composed.message).await.map_err(|error| {
                tracing::warn!(kind = ?error.kind(), "letters cannot be written into their folder");
                Reason::FolderNotWritten.into()
            }),
        }
    }
}

/// A database that is away for a moment is waited for: a letter that was sent and is not
/// settled is sent again.
async fn settle(
    desk: &Desk,
    letter: &LetterRow,
    tried: Tried,
    counted: Option<Counted>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let chance = rand::random_range(0.0..=1.0);
    for pause_s in SETTLES_AGAIN_AFTER_S {
        let settled = post::settle(desk, letter, tried, counted, now, chance).await;
        match settled {
            Err(error) if is_away(&error) => {
                tokio::time::sleep(Duration::from_secs(pause_s)).await;
            }
            settled => return settled,
        }
    }
    post::settle(desk, letter, tried, counted, now, chance).await
}

fn is_away(error: &DeskError) -> bool {
    matches!(
        error.store_error(),
        Some(StoreError::Unavailable(_) | StoreError::Lost(_))
    )
}

fn is_unreadable(error: &DeskError) -> bool {
    matches!(
        error.store_error(),
        Some(StoreError::Unreadable { .. } | StoreError::Broken(_))
    )
}

/// A line for whoever runs the service, with keys and codes and without an address.
fn log(letter: &LetterRow, fault: Fault) {
    let (id, kind, attempt) = (letter.id, letter.kind.as_str(), letter.attempts);
    let code = fault.tried.reason().map(Reason::code);
    let answer = fault.code;
    match fault.tried {
        Tried::Failed(reason) if reason.holds_for_all() => tracing::error!(
            letter = %id, kind, attempt, code, answer,
            "no letter can be sent like this; look at `letters` in the settings"
        ),
        Tried::Refused(_) | Tried::Unfit(_) | Tried::TooLate => tracing::warn!(
            letter = %id, kind, attempt, code, answer, "a letter was not sent"
        ),
        Tried::Sent
        | Tried::NotWanted
        | Tried::Unwanted(_)
        | Tried::Waits(Reason::QuietHours, _) => {
            tracing::debug!(letter = %id, kind, attempt, "settled")
        }
        Tried::Failed(_) | Tried::Waits(..) => tracing::warn!(
            letter = %id, kind, attempt, code, answer, "a letter is tried again later"
        ),
    }
}
