//! What an owed letter says and to whom, read when it is sent: names and addresses stand in
//! no row of its own, and what was settled meanwhile is not sent.
//!
//! A kind of letter is a file here, which owes its row and reads what it says, a row in
//! [`LetterKind`], and its texts.

mod account_link;
mod bin_trouble;
mod bin_trouble_words;
mod booking_shrunk;
#[cfg(test)]
mod changes_samples;
mod changes_told;
mod closure_plan;
#[cfg(test)]
mod closure_samples;
mod content;
mod cover_call;
mod cover_closed;
mod cover_found;
mod cover_ground;
mod cover_lost;
mod cover_taken;
mod covered_again;
mod digest;
mod digest_site;
mod in_calendar;
mod invitation;
mod let_in;
mod letters_come_back;
mod newcomer_waits;
pub mod plan_words;
mod reading;
mod receiver;
mod rota_told;
mod rota_up;
mod told_together;
mod trouble_steps;
mod turn_changed;
mod turn_coming;
#[cfg(test)]
mod turn_coming_samples;
mod turn_coming_words;
mod turn_freed;
mod turn_ground;
mod turn_missed;
mod turn_unlogged;
mod turn_words;
mod uncovered;
mod uncovered_words;

pub use content::{Answer, Appointment, Content, Letter, PageLink, Part, Request};
pub use reading::letters_for;

use super::DeskError;
use crate::store::Conn;
use chrono::{DateTime, Utc};
use reading::Reading;
use wormrota_domain::letters::{LetterKind, Reason};

pub(super) use account_link::{of_link, speech_of_account};
pub(super) use bin_trouble::of_troubles;
pub(super) use booking_shrunk::of_shrunk_booking;
pub(super) use closure_plan::{Rule as ClosureRule, of_closure};
pub(super) use cover_call::of_call;
pub(super) use cover_closed::of_closed_call;
pub(super) use cover_found::of_cover_found;
pub(super) use cover_ground::{TurnSaid, call_and_turn};
pub(super) use cover_lost::of_cover_lost;
pub(super) use cover_taken::of_cover_taken;
pub(super) use covered_again::of_covered_again;
pub(super) use digest::of_week;
pub(super) use invitation::of_invitation;
pub(super) use let_in::of_let_in;
pub(super) use letters_come_back::of_bounce;
pub(super) use newcomer_waits::{NEWCOMER_WAITS, of_newcomer};
pub(super) use rota_up::{LostTurn, RotaChanges, not_told_of, of_rota};
pub(super) use turn_changed::{ChangedTurn, of_changed_turns};
pub(super) use turn_coming::{Coming, of_coming_turn};
pub(super) use turn_freed::of_freed_turns;
pub(super) use turn_ground::over_at;
pub(super) use turn_missed::of_missed_turn;
pub(super) use turn_unlogged::{AskedAbout, of_unlogged_turn};
pub(super) use uncovered::of_uncovered;

/// What an owed letter comes to when it is to be sent.
#[derive(Debug)]
pub enum Found {
    /// It can be sent.
    Letter(Box<Letter>),
    /// What it is about is settled, or nobody is there to receive it.
    Settled,
    /// Its receiver gets no such letters, or none at all.
    Unwanted(Reason),
    /// Another letter is about to tell it too; if none did, it is read again at this instant of the
    /// machine's clock.
    Waits(DateTime<Utc>),
    /// The row, or what it is about, cannot be read.
    Unreadable,
}

async fn read(conn: &mut Conn, kind: LetterKind, at: &Reading) -> Result<Found, DeskError> {
    match kind {
        LetterKind::Invitation => invitation::read(conn, at).await,
        LetterKind::Reset | LetterKind::SignIn => account_link::read(conn, kind, at).await,
        LetterKind::BookingShrunk => booking_shrunk::read(conn, at).await,
        LetterKind::TurnComing => turn_coming::read(conn, at).await,
        LetterKind::TurnUnlogged => turn_unlogged::read(conn, at).await,
        LetterKind::TurnMissed => turn_missed::read(conn, at).await,
        LetterKind::RotaUp => rota_up::read(conn, at).await,
        LetterKind::TurnChanged => turn_changed::read(conn, at).await,
        LetterKind::NewcomerWaits => newcomer_waits::read(conn, at).await,
        LetterKind::LetIn => let_in::read(conn, at).await,
        LetterKind::BinTrouble => bin_trouble::read(conn, at).await,
        LetterKind::LettersComeBack => letters_come_back::read(conn, at).await,
        LetterKind::Digest => digest::read(conn, at).await,
        LetterKind::ClosurePlan => closure_plan::read(conn, at).await,
        LetterKind::CoverCall => cover_call::read(conn, at).await,
        LetterKind::CoverFound => cover_found::read(conn, at).await,
        LetterKind::CoverLost => cover_lost::read(conn, at).await,
        LetterKind::CoverTaken => cover_taken::read(conn, at).await,
        LetterKind::TurnFreed => turn_freed::read(conn, at).await,
        LetterKind::CoverClosed => cover_closed::read(conn, at).await,
        LetterKind::Uncovered => uncovered::read(conn, at).await,
        LetterKind::CoveredAgain => covered_again::read(conn, at).await,
    }
}

/// Letters of every kind, for reading them all.
#[cfg(test)]
pub(crate) fn samples(now: DateTime<Utc>) -> Vec<(&'static str, Vec<Content>)> {
    vec![
        ("invitation", invitation::samples(now)),
        ("account links", account_link::samples(now)),
        ("booking shrunk", booking_shrunk::samples(now)),
        ("turn coming", turn_coming_samples::samples(now)),
        ("turn unlogged", turn_unlogged::samples(now)),
        ("turn missed", turn_missed::samples(now)),
        ("rota up", rota_told::samples(now)),
        ("turn changed", changes_samples::samples(now)),
        ("newcomer waits", newcomer_waits::samples(now)),
        ("let in", let_in::samples(now)),
        ("bin trouble", bin_trouble_words::samples(now)),
        ("letters come back", letters_come_back::samples(now)),
        ("digest", digest::samples(now)),
        ("closure plan", closure_plan::samples(now)),
        ("cover call", cover_call::samples(now)),
        ("cover found", cover_found::samples(now)),
        ("cover lost", cover_lost::samples(now)),
        ("cover taken", cover_taken::samples(now)),
        ("turn freed", turn_freed::samples(now)),
        ("cover closed", cover_closed::samples(now)),
        ("uncovered", uncovered_words::samples(now)),
        ("covered again", covered_again::samples(now)),
    ]
}
