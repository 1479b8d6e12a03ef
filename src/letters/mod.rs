//! Letters that are owed, sent to a mail server or written into a folder.
//!
//! A letter is a row in the database, left by the transaction that causes it, with keys and
//! nothing else. What it says is read when it is sent. Any number of copies may send: a letter
//! is leased by one sender at a time, and one that is sent again has the same Message-ID.

mod answer;
mod appointment;
mod compose;
#[cfg(test)]
mod compose_tests;
mod folder;
#[cfg(test)]
mod golden_tests;
mod headers;
mod ledger;
mod opened;
mod page;
mod render;
mod sender;
mod signer;
mod smtp;
mod tray;

pub use folder::{LetterFolder, Lying};
pub use opened::Opened;

use crate::clock;
use crate::desk::{Desk, DeskError};
use crate::settings::{Letters, SettingsError};
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use compose::Common;
use futures_util::FutureExt;
use futures_util::future::{join_all, try_join_all};
use sender::{Sender, Shared};
use smtp::Peer;
use std::panic::AssertUnwindSafe;
use std::path::Path;
use std::time::Duration;
use tokio::sync::watch;
use tokio::time::{Interval, MissedTickBehavior, interval};
use wormrota_domain::letters::{Reason, Tried};

/// How often a sender looks for letters: somebody waits for each.
const LOOKS_EVERY: Duration = Duration::from_secs(3);
/// How often old letters are looked for in the folder.
const FORGETS_EVERY: Duration = Duration::from_secs(3_600);

/// Says whether senders are told to stop.
pub type Stop = watch::Receiver<bool>;

/// Where letters go, and what all of them have in common.
#[derive(Debug, Clone)]
pub struct Post {
    common: Common,
    way: Way,
    /// Kept also where letters go to a mail server: older ones may lie in it.
    folder: LetterFolder,
    senders: u32,
    to_one_address_per_hour: u32,
}

#[derive(Debug, Clone)]
enum Way {
    Folder(LetterFolder),
    Smtp(Peer),
}

impl Post {
    /// To the mail server of the settings, or without one into the folder `letters` of the
    /// data folder.
    ///
    /// # Errors
    /// When `letters.from` is no address, TLS cannot be set up, or the key for signing cannot be
    /// used.
    pub fn of(data_folder: &Path, settings: &Letters) -> Result<Self, SettingsError> {
        let folder = LetterFolder::within(data_folder, settings.kept_days);
        let (way, senders) = if settings.smtp.is_named() {
            let peer = Peer::of(&settings.smtp).map_err(|error| {
                SettingsError::Unreadable(format!("cannot set up TLS for letters: {error}"))
            })?;
            (Way::Smtp(peer), settings.smtp.connections)
        } else {
            (Way::Folder(folder.clone()), 1)
        };
        Ok(Self {
            common: Common::of(settings)?,
            way,
            folder,
            senders,
            to_one_address_per_hour: settings.to_one_address_per_hour,
        })
    }

    /// The folder that letters lie in where there is no mail server.
    #[must_use]
    pub const fn folder(&self) -> &LetterFolder {
        &self.folder
    }

    /// Deletes letters that have lain in the folder for as long as they are kept; says how
    /// many.
    ///
    /// # Errors
    /// When the folder cannot be read, or a letter cannot be deleted.
    pub async fn forget_old(&self, now: DateTime<Utc>) -> std::io::Result<usize> {
        self.folder.forget_old(now).await
    }
}

/// Sends what is owed until `stop` is told to, and then finishes the letters that are under
/// way: one that is dropped in the middle is sent again by another copy. Several senders work
/// side by side, so that a letter that hangs holds up no other.
pub async fn keep_sending(desk: Desk, post: Post, stop: Stop) {
    let shared = Shared::of(desk, post.clone());
    let senders = (0..post.senders).map(|_| keep_one_sending(&shared, stop.clone()));
    let forgetting = async {
        let mut looks = every(FORGETS_EVERY);
        loop {
            looks.tick().await;
            if let Err(error) = post.forget_old(clock::wall()).await {
                tracing::warn!(kind = ?error.kind(), "old letters cannot be deleted");
            }
        }
    };
    tokio::select! {
        _ = join_all(senders) => {}
        () = forgetting => {}
    }
}

async fn keep_one_sending(shared: &Shared, mut stop: Stop) {
    let mut sender = Sender::default();
    let mut looks = every(LOOKS_EVERY);
    loop {
        tokio::select! {
            _ = looks.tick() => {}
            // An error means that whoever could tell is gone.
            _ = stop.wait_for(|told| *told) => return,
        }
        let round = sender.send_due(shared, clock::wall, || *stop.borrow());
        match AssertUnwindSafe(round).catch_unwind().await {
            Ok(Ok(_)) => {}
            Ok(Err(error)) => {
                tracing::warn!(code = error.code(), "letters are left for later");
            }
            Err(_) => {
                tracing::error!("a sender broke down; its letter is left until its lease ends");
                sender = Sender::default();
            }
        }
    }
}

/// Sends every letter that is owed at `now`, the machine's time, as far as it can be sent;
/// says how many went. One whose link was used, revoked or has expired is closed unsent.
///
/// # Errors
/// When the database cannot be reached.
pub async fn send_due(desk: &Desk, post: &Post, now: DateTime<Utc>) -> Result<usize, DeskError> {
    let shared = Shared::of(desk.clone(), post.clone());
    let senders = (0..post.senders).map(|_| async {
        let mut sender = Sender::default();
        sender.send_due(&shared, || now, || false).await
    });
    Ok(try_join_all(senders).await?.into_iter().sum())
}

fn every(pause: Duration) -> Interval {
    let mut ticks = interval(pause);
    ticks.set_missed_tick_behavior(MissedTickBehavior::Delay);
    ticks
}

/// A line for whoever runs the service, with keys and codes and without an address.
fn log(letter: &LetterRow, tried: Tried, answer: Option<u16>) {
    let (id, kind, attempt) = (letter.id, letter.kind.as_str(), letter.attempts);
    let code = tried.reason().map(Reason::code);
    match tried {
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
        | Tried::Waits(Reason::QuietHours | Reason::ToldTogether, _) => {
            tracing::debug!(letter = %id, kind, attempt, "settled");
        }
        Tried::Failed(_) | Tried::Waits(..) => tracing::warn!(
            letter = %id, kind, attempt, code, answer, "a letter is tried again later"
        ),
    }
}
