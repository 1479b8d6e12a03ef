//! A call with all that was said in it, read and written.

use crate::clock;
use crate::desk::at_hand::unreadable;
use crate::desk::{DeskError, Noun};
use crate::store::Conn;
use crate::store::call_answers::{self, AnswerRow};
use crate::store::calls::{self, CallRow};
use crate::store::places::PlaceRow;
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::BTreeMap;
use wormrota_domain::cover::answer::{Answer, AnswerState};
use wormrota_domain::cover::call::{Call, CallState};
use wormrota_domain::cover::event::{CallRefusal, Event};
use wormrota_domain::ids::{CallId, MemberId, PlaceId, SiteId, TurnId};

/// A call that nobody is looked for in is looked at as often: the bin may have fared in another
/// way than it was reckoned.
const LOOKED_AT_AGAIN: TimeDelta = TimeDelta::hours(12);

/// A call whose turn is locked.
#[derive(Debug, Clone)]
pub(in crate::desk) struct CallAtHand {
    /// As it is stored, but for what happens to it.
    pub row: CallRow,
    /// With what was said in it.
    pub call: Call,
    kept: BTreeMap<MemberId, Answer>,
}

impl CallAtHand {
    /// One that begins.
    pub(super) fn begun(row: CallRow, call: Call) -> Self {
        let kept = BTreeMap::new();
        Self { row, call, kept }
    }

    /// The row of one that begins for a place that nobody ever held.
    pub(super) fn row_of(place: &PlaceRow, call: &Call, now: DateTime<Utc>) -> CallRow {
        CallRow {
            site_id: place.site_id,
            id: clock::fresh_id(),
            turn_id: place.turn_id,
            place_id: place.id,
            away_id: None,
            absence_id: None,
            held_since: None,
            excused: false,
            wanted: false,
            state: call.state.code().to_owned(),
            need: None,
            deadline_at: None,
            turn_at: call.turn_at,
            settled_at: call.settled_at,
            helper_id: None,
            look_at: Some(now),
            created_at: now,
            closed_at: None,
            held_how: None,
            held_kept: None,
        }
    }

    /// One that stands in the table.
    pub(in crate::desk) async fn load(
        conn: &mut Conn,
        site: SiteId,
        id: CallId,
    ) -> Result<Self, DeskError> {
        let row = calls::by_id(conn, site, id).await?;
        let row = row.ok_or(DeskError::NotFound(Noun::Call))?;
        let found = Self::with_answers(conn, site, vec![row]).await?;
        found
            .into_iter()
            .next()
            .ok_or(DeskError::NotFound(Noun::Call))
    }

    /// Those of some places that are not over.
    pub(super) async fn of_places(
        conn: &mut Conn,
        site: SiteId,
        places: &[PlaceId],
    ) -> Result<Vec<Self>, DeskError> {
        let rows = calls::of_places(conn, site, places).await?;
        Self::with_answers(conn, site, rows).await
    }

    /// The rows with who was asked in each.
    pub(super) async fn with_answers(
        conn: &mut Conn,
        site: SiteId,
        rows: Vec<CallRow>,
    ) -> Result<Vec<Self>, DeskError> {
        if rows.is_empty() {
            return Ok(Vec::new());
        }
        let ids: Vec<CallId> = rows.iter().map(|row| CallId(row.id)).collect();
        let answers = call_answers::answers_of(conn, site, &ids).await?;
        let with = |row: CallRow| {
            let of_row = answers.iter().filter(|answer| answer.call_id == row.id);
            let answers = of_row
                .map(|row| Ok((MemberId(row.member_id), answer(row)?)))
                .collect::<Result<BTreeMap<_, _>, DeskError>>()?;
            let call = Call {
                state: CallState::from_code(&row.state).ok_or_else(|| unreadable("calls.state"))?,
                turn_at: row.turn_at,
                settled_at: row.settled_at,
                helper: row.helper_id.map(MemberId),
                answers: answers.clone(),
            };
            Ok(Self {
                row,
                call,
                kept: answers,
            })
        };
        rows.into_iter().map(with).collect()
    }

    pub(in crate::desk) const fn id(&self) -> CallId {
        CallId(self.row.id)
    }

    pub(in crate::desk) const fn site(&self) -> SiteId {
        SiteId(self.row.site_id)
    }

    pub(in crate::desk) const fn turn(&self) -> TurnId {
        TurnId(self.row.turn_id)
    }

    /// Who cannot come; none where nobody ever held the place.
    pub(in crate::desk) fn away(&self) -> Option<MemberId> {
        self.row.away_id.map(MemberId)
    }

    /// Whether somebody is looked for, and how that goes on is seen at the next look, which is due.
    pub(in crate::desk) fn is_due(&self, now: DateTime<Utc>) -> bool {
        self.call.state == CallState::Open && self.row.look_at.is_some_and(|at| at <= now)
    }

    /// Lets something happen; gives those who need not answer any more.
    pub(in crate::desk) fn happen(
        &mut self,
        event: &Event,
        now: DateTime<Utc>,
    ) -> Result<Vec<MemberId>, CallRefusal> {
        let after = self.call.after(event, now)?;
        let closed = after.closed_since(&self.call);
        self.call = after;
        Ok(closed)
    }

    /// When it is looked at next, from its state alone: at once while somebody is looked for.
    fn look_at(&self, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        match self.call.state {
            CallState::Open | CallState::Nobody => Some(now),
            CallState::LeftEmpty => Some(self.call.turn_at.min(now + LOOKED_AT_AGAIN)),
            CallState::Covered => Some(self.call.turn_at),
            CallState::Withdrawn | CallState::Missed => None,
        }
    }

    /// Looked at when its state says.
    pub(super) fn look_by_state(&mut self, now: DateTime<Utc>) {
        self.row.look_at = self.look_at(now);
    }

    /// Looked at once more at an instant, but not so late that the bin's news are missed.
    pub(super) fn look_again(&mut self, at: DateTime<Utc>, now: DateTime<Utc>) {
        let latest = self.call.turn_at.min(now + LOOKED_AT_AGAIN);
        self.row.look_at = Some(at.min(latest));
    }

    /// Brings the row to what happened; gives the answers that changed.
    pub(super) fn written(&mut self, now: DateTime<Utc>) -> Vec<AnswerRow> {
        let state = self.call.state;
        state.code().clone_into(&mut self.row.state);
        self.row.helper_id = self.call.helper.map(|helper| helper.0);
        let over =
            matches!(state, CallState::Withdrawn | CallState::Missed) || now >= self.call.turn_at;
        if over {
            self.row.closed_at = self.row.closed_at.or(Some(now));
            self.row.look_at = None;
        }
        let changed = (self.call.answers.iter())
            .filter(|(member, answer)| self.kept.get(member) != Some(answer));
        let row = |(member, answer): (&MemberId, &Answer)| AnswerRow {
            site_id: self.row.site_id,
            call_id: self.row.id,
            member_id: member.0,
            state: answer.state.code().to_owned(),
            asked_at: answer.asked_at,
            answer_by: answer.answer_by,
            answered_at: (answer.state != AnswerState::Asked).then_some(now),
        };
        changed.map(row).collect()
    }

    /// Writes what happened.
    pub(in crate::desk) async fn save(
        mut self,
        conn: &mut Conn,
        now: DateTime<Utc>,
    ) -> Result<(), DeskError> {
        let answers = self.written(now);
        calls::update(conn, &self.row).await?;
        if !answers.is_empty() {
            call_answers::keep_answers(conn, &answers).await?;
        }
        Ok(())
    }
}

fn answer(row: &AnswerRow) -> Result<Answer, DeskError> {
    let state = AnswerState::from_code(&row.state);
    Ok(Answer {
        state: state.ok_or_else(|| unreadable("call_answers.state"))?,
        asked_at: row.asked_at,
        answer_by: row.answer_by,
    })
}

/// What is told of something that cannot happen to a call.
pub(super) fn refused(refusal: CallRefusal) -> DeskError {
    match refusal {
        CallRefusal::Taken => DeskError::NoFreePlace,
        CallRefusal::Over => DeskError::EndedAlready,
        CallRefusal::NotAsked => DeskError::NotFound(Noun::Call),
        CallRefusal::Needed => DeskError::PlaceNeeded,
        CallRefusal::NotCovered | CallRefusal::NotLeftEmpty => DeskError::NotTheHolder,
        other => DeskError::broken(format!("a call: {other}")),
    }
}
