//! What befell several turns of one bin is one letter to each reader.
//!
//! Every cause owes a row of its own, in its own transaction, so that no word gets lost. When rows
//! are read, the oldest that is open speaks for all that wait, and they end when it was sent. Until
//! then they stay owed: a letter that is refused, or dies with its copy, takes no other word along.

use super::Reading;
use crate::desk::DeskError;
use crate::store::letters::LetterRow;
use crate::store::{Conn, letters_together};
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use uuid::Uuid;
use wormrota_domain::ids::{BinId, CallId, MemberId, SiteId};
use wormrota_domain::letters::{LetterKind, LetterState, Reason};

/// After so long a letter that waited for another one is read again.
const LOOKED_AT_AGAIN: TimeDelta = TimeDelta::minutes(1);

/// For so long at the most a letter waits for calls that are due to be looked at.
const LOOKED_AT_WITHIN: TimeDelta = TimeDelta::minutes(2);
/// After so long it is seen whether they were.
const SEEN_AGAIN: TimeDelta = TimeDelta::seconds(10);

/// What such letters are owed with.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub(super) struct AboutCall {
    /// What befell it is the cause.
    pub call: CallId,
    /// The bin of its turn.
    pub bin: BinId,
}

impl AboutCall {
    /// What a row was owed with, if it can be read.
    pub(super) fn of(row: &LetterRow) -> Option<Self> {
        Self::deserialize(&row.payload).ok()
    }
}

/// The letters of a kind to one reader about a bin, the oldest first.
pub(super) struct Together(pub Vec<LetterRow>);

impl Together {
    pub(super) async fn of(
        conn: &mut Conn,
        (site, member): (SiteId, MemberId),
        kind: LetterKind,
        bin: BinId,
    ) -> Result<Self, DeskError> {
        let mut rows = letters_together::about_bin(conn, site, kind, bin).await?;
        rows.retain(|row| row.member_id == Some(member.0));
        Ok(Self(rows))
    }

    /// Whether the row that is read ended since it was leased: another one spoke for it.
    pub(super) fn is_said(&self, at: &Reading) -> bool {
        let mut rows = self.0.iter();
        rows.any(|row| row.id == at.row.id && !is_open(row))
    }

    /// Until when the row that is read waits for the oldest that is open; none where it is that
    /// one, which speaks.
    pub(super) fn waits(&self, at: &Reading) -> Option<DateTime<Utc>> {
        let speaks = self.0.iter().find(|row| is_open(row))?;
        let again = at.by.wall + LOOKED_AT_AGAIN;
        // Under way, it was due before.
        (speaks.id < at.row.id).then(|| again.max(speaks.due_at))
    }

    /// The rows that end when the one that is read was sent, since it tells of these calls.
    pub(super) fn spoken_for(&self, at: &Reading, told: &[CallId]) -> Vec<Uuid> {
        if lies_there_perhaps(&at.row) {
            return Vec::new();
        }
        let is_told = |row: &&LetterRow| {
            let about = AboutCall::of(row);
            about.is_some_and(|about| told.contains(&about.call))
        };
        let waiting = self
            .0
            .iter()
            .filter(|row| is_open(row) && row.id != at.row.id);
        waiting.filter(is_told).map(|row| row.id).collect()
    }

    /// Whether one of them is being sent this moment.
    pub(super) fn any_under_way(&self) -> bool {
        let mut rows = self.0.iter();
        rows.any(|row| row.state == LetterState::Leased.code())
    }

    /// What the reader was told, by a letter of its own or by another one.
    pub(super) fn told(&self) -> impl Iterator<Item = &LetterRow> {
        self.0.iter().filter(|row| {
            let together = Some(Reason::ToldTogether.code());
            row.state == LetterState::Sent.code()
                || (!is_open(row) && row.reason.as_deref() == together)
        })
    }
}

/// When a letter is read again of which it is not known what to say before calls that are due are
/// looked at; none where it has waited long enough.
pub(super) fn until_looked_at(at: &Reading, are_due: bool) -> Option<DateTime<Utc>> {
    let waits = are_due && at.by.wall < at.row.created_at + LOOKED_AT_WITHIN;
    waits.then(|| at.by.wall + SEEN_AGAIN)
}

/// When a letter that must wait for what is under way is read again.
pub(super) fn soon(at: &Reading) -> DateTime<Utc> {
    at.by.wall + LOOKED_AT_AGAIN
}

fn is_open(row: &LetterRow) -> bool {
    [LetterState::Owed.code(), LetterState::Leased.code()].contains(&row.state.as_str())
}

/// Whether the letter may lie with its reader already, by an attempt of which the end is not known:
/// a mail program that has its Message-ID may drop it, and with it what it says now.
fn lies_there_perhaps(row: &LetterRow) -> bool {
    let last = row.reason.as_deref().and_then(Reason::from_code);
    let is_unknown = matches!(
        last,
        None | Some(Reason::ConnectionLost | Reason::TimedOut | Reason::BadAnswer)
    );
    row.attempts > 1 && is_unknown
}
