//! Which turns stand in a member's calendar because a letter brought them there: what changes one
//! of these has to say so to the calendar too.

use super::Reading;
use crate::desk::DeskError;
use crate::store::letters::{self, LetterRow};
use crate::store::{Conn, calls};
use serde_json::{Value as Json, json};
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::letters::{LetterKind, LetterState};

/// Kinds of letters that bring a turn into a calendar, and the one that takes it out again.
const KINDS: [LetterKind; 4] = [
    LetterKind::TurnComing,
    LetterKind::TurnChanged,
    LetterKind::CoverTaken,
    LetterKind::TurnFreed,
];

/// What letters said to a member's calendar.
pub(super) struct InCalendar {
    site: SiteId,
    /// Those that went or may have gone, the newest first.
    rows: Vec<LetterRow>,
}

impl InCalendar {
    /// Before a letter that is read now.
    pub(super) async fn before(
        conn: &mut Conn,
        at: &Reading,
        (site, member): (SiteId, MemberId),
    ) -> Result<Self, DeskError> {
        let mut rows = Vec::new();
        for kind in KINDS {
            rows.extend(letters::of_member(conn, site, member, kind).await?);
        }
        // One that is being sent may be there before it is known to be.
        let gone = [LetterState::Sent, LetterState::Leased].map(LetterState::code);
        rows.retain(|row| row.id != at.row.id && gone.contains(&row.state.as_str()));
        // Keys grow with time.
        rows.sort_by_key(|row| std::cmp::Reverse(row.id));
        Ok(Self { site, rows })
    }

    /// Whether the last letter that says something of a turn left it in the calendar, or may have.
    /// Of several turns at once a letter says only of those that stood there what becomes of
    /// them: that one counts as left is told once more, which does no harm.
    pub(super) async fn has(&self, conn: &mut Conn, turn: TurnId) -> Result<bool, DeskError> {
        let taken = |row: &LetterRow| row.kind == LetterKind::CoverTaken.code();
        let calls: Vec<Json> = if self.rows.iter().any(taken) {
            let calls = calls::all_of_turn(conn, self.site, turn).await?;
            calls.iter().map(|call| json!(call.id)).collect()
        } else {
            Vec::new()
        };
        let key = json!(turn);
        let is_about = |row: &&LetterRow| {
            let payload = &row.payload;
            let one = payload["changes"].as_array().filter(|all| all.len() == 1);
            let freed = payload["others"].as_array();
            payload["turn"] == key
                || freed.is_some_and(|others| others.contains(&key))
                || calls.contains(&payload["call"])
                || one.is_some_and(|all| all[0]["turn_id"] == key)
        };
        let last = self.rows.iter().find(is_about);
        Ok(last.is_some_and(|row| row.kind != LetterKind::TurnFreed.code()))
    }
}
