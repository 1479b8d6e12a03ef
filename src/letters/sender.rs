//! One sender: takes a letter that lies ready, hands it over, and has settled what came of it.

use super::answer::Fault;
use super::ledger::Ledger;
use super::smtp::Line;
use super::tray::{Ready, Tray};
use super::{Post, Way, log};
use crate::desk::lease_letters::Ended;
use crate::desk::{Desk, DeskError};
use chrono::{DateTime, Utc};
use wormrota_domain::letters::{Reason, Tried};

/// What the senders of a copy share.
pub(super) struct Shared {
    tray: Tray,
    ledger: Ledger,
}

impl Shared {
    /// For so many senders.
    pub(super) fn by(senders: u32) -> Self {
        Self {
            tray: Tray::new(senders),
            ledger: Ledger::default(),
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
        shared: &Shared,
        desk: &Desk,
        post: &Post,
        time: impl Fn() -> DateTime<Utc>,
        is_told_to_stop: impl Fn() -> bool,
    ) -> Result<usize, DeskError> {
        let Shared { tray, ledger } = shared;
        let mut sent = 0;
        while !is_told_to_stop()
            && let Some(ready) = tray.next(desk, post, &time).await?
        {
            let Fault { tried, code } = self.hand_over(post, &ready).await;
            let ended = Ended {
                letter: ready.row,
                tried,
                counted: ready.counted,
                at: time(),
                chance: rand::random_range(0.0..=1.0),
            };
            log(&ended.letter, tried, code);
            ledger.settle(desk, ended).await?;
            sent += usize::from(tried == Tried::Sent);
            if tried.reason().is_some_and(Reason::holds_for_all) {
                tray.give_back(desk).await?;
                break;
            }
        }
        if is_told_to_stop() {
            tray.give_back(desk).await?;
        }
        if let Way::Smtp(peer) = &post.way {
            self.0.hang_up(peer).await;
        }
        Ok(sent)
    }

    async fn hand_over(&mut self, post: &Post, ready: &Ready) -> Fault {
        let Ready { row, composed, .. } = ready;
        let handed = match &post.way {
            Way::Smtp(peer) => self.0.hand_over(peer, composed).await,
            Way::Folder(folder) => {
                let put = folder.put(row.id, composed.message.clone()).await;
                put.map_err(|error| {
                    tracing::warn!(kind = ?error.kind(), "letters cannot be written into their folder");
                    Reason::FolderNotWritten.into()
                })
            }
        };
        handed.err().unwrap_or(Fault {
            tried: Tried::Sent,
            code: None,
        })
    }
}
