//! One sender: takes a letter that lies ready, hands it over, and has settled what came of it
//! while it goes on with the next.

use super::answer::Fault;
use super::ledger::{Ledger, ended};
use super::smtp::Line;
use super::tray::{Ready, Tray};
use super::{Post, Way, log};
use crate::desk::lease_letters::Ended;
use crate::desk::{Desk, DeskError};
use crate::store::StoreError;
use chrono::{DateTime, Utc};
use std::collections::VecDeque;
use std::sync::Arc;
use tokio::task::JoinHandle;
use wormrota_domain::letters::{Reason, Tried};

/// So many letters that one sender sent may wait to be settled, besides the one under way.
const MOST_UNSETTLED: usize = 7;

/// What the senders of a copy share.
pub(super) struct Shared {
    tray: Arc<Tray>,
    ledger: Arc<Ledger>,
}

impl Shared {
    pub(super) fn of(desk: Desk, post: Post) -> Self {
        Self {
            ledger: Arc::new(Ledger::of(post.senders)),
            tray: Tray::of(desk, post),
        }
    }
}

/// A sender with its connection to the mail server, if it has one.
#[derive(Default)]
pub(super) struct Sender {
    line: Line,
    /// What became of its last letters, while it is written down. A kill doubles at most
    /// these.
    unsettled: VecDeque<JoinHandle<Result<(), DeskError>>>,
}

impl Sender {
    /// Sends what is due until nothing is, until no letter can go, or until it is told to stop;
    /// says how many went. All of them are settled then.
    pub(super) async fn send_due(
        &mut self,
        shared: &Shared,
        time: impl Fn() -> DateTime<Utc>,
        is_told_to_stop: impl Fn() -> bool,
    ) -> Result<usize, DeskError> {
        let sent = self.send(shared, time, &is_told_to_stop).await;
        let settled = self.settled(0).await;
        if is_told_to_stop() {
            shared.tray.give_back().await?;
        }
        if let Way::Smtp(peer) = &shared.tray.post.way {
            self.line.hang_up(peer).await;
        }
        settled.and(sent)
    }

    async fn send(
        &mut self,
        shared: &Shared,
        time: impl Fn() -> DateTime<Utc>,
        is_told_to_stop: impl Fn() -> bool,
    ) -> Result<usize, DeskError> {
        let mut sent = 0;
        while !is_told_to_stop()
            && let Some(ready) = self.next(shared, &time).await?
        {
            let Fault { tried, code } = self.hand_over(&shared.tray.post, &ready).await;
            let ended = Ended {
                speaks_for: ready.speaks_for,
                ..ended(ready.row, tried, ready.counted, time())
            };
            log(&ended.letter, tried, code);
            let (ledger, its_desk) = (Arc::clone(&shared.ledger), shared.tray.desk.clone());
            // On its own, so that it ends even if this sender does not get to ask.
            let settling = async move { ledger.settle(&its_desk, ended).await };
            self.unsettled.push_back(tokio::spawn(settling));
            sent += usize::from(tried == Tried::Sent);
            if tried.reason().is_some_and(Reason::holds_for_all) {
                self.settled(0).await?;
                shared.tray.give_back().await?;
                break;
            }
        }
        Ok(sent)
    }

    async fn next(
        &mut self,
        shared: &Shared,
        time: impl Fn() -> DateTime<Utc>,
    ) -> Result<Option<Ready>, DeskError> {
        loop {
            self.settled(MOST_UNSETTLED).await?;
            let ready = shared.tray.next(&time).await?;
            if ready.is_some() || self.unsettled.is_empty() {
                return Ok(ready);
            }
            // What came of its last letters may have others owed.
            self.settled(0).await?;
        }
    }

    /// Waits until at most so many of its letters are not settled.
    ///
    /// # Errors
    /// When the database stayed away for one of those that were waited for.
    async fn settled(&mut self, most: usize) -> Result<(), DeskError> {
        let mut all = Ok(());
        while self.unsettled.len() > most
            && let Some(settling) = self.unsettled.pop_front()
        {
            let settled = settling.await.unwrap_or_else(|error| {
                let said = format!("settling a letter broke down: {error}");
                Err(StoreError::Broken(said).into())
            });
            all = all.and(settled);
        }
        all
    }

    async fn hand_over(&mut self, post: &Post, ready: &Ready) -> Fault {
        let Ready { row, composed, .. } = ready;
        let handed = match &post.way {
            Way::Smtp(peer) => self.line.hand_over(peer, composed).await,
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
