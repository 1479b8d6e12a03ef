//! A call: the search for somebody who comes to one place of a turn, in the stead of who is away
//! or because nobody ever held it.
//!
//! ```text
//!       +--------- given back, or the helper is away ---------+
//!       v                                                     |
//! --> open ------- yes, or assigned --------------------> covered
//!       |--nobody left to ask, or little time--> nobody ------^
//!       |                                          |
//!       |--------------- left empty ---------------+--> left_empty --needed again--> open
//!       |--------------- came back ----------------+--> withdrawn <--came back-- left_empty
//!       +--------------- turn over ----------------+--> missed
//! ```
//!
//! In `nobody` the caretaker has been told; a yes still counts. A call is over when its turn is:
//! nothing but [`Event::TurnOver`] happens to it from then on. Where nobody ever held the place,
//! nobody comes back.

use super::answer::{Answer, AnswerState};
use super::event::{CallRefusal, Event};
use super::need::Verdict;
use crate::coded::coded;
use crate::ids::MemberId;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;

coded! {
    /// Where a call is in its life.
    CallState {
        /// Somebody is looked for.
        Open = "open",
        /// Nobody said yes in time, and the caretaker knows; somebody still may.
        Nobody = "nobody",
        /// Somebody comes.
        Covered = "covered",
        /// The place stays empty: the bin can do without.
        LeftEmpty = "left_empty",
        /// Whoever was away comes after all.
        Withdrawn = "withdrawn",
        /// The turn went by and nobody had been found.
        Missed = "missed",
    }
}

impl CallState {
    /// Whether the place is free for whoever says yes.
    #[must_use]
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Open | Self::Nobody)
    }
}

/// A call with all that was said in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Call {
    /// Where it is.
    pub state: CallState,
    /// The instant from which on it is too late to come.
    pub turn_at: DateTime<Utc>,
    /// From this instant on a place that was taken is not given back any more.
    pub settled_at: DateTime<Utc>,
    /// Who comes.
    pub helper: Option<MemberId>,
    /// Everybody who was asked.
    pub answers: BTreeMap<MemberId, Answer>,
}

impl Call {
    /// A call that nobody has been asked in. Other holders of places can give theirs back until
    /// `settled_at`, and so can whoever comes by it, but not once it is too late to come.
    #[must_use]
    pub fn begin(turn_at: DateTime<Utc>, settled_at: DateTime<Utc>) -> Self {
        Self {
            state: CallState::Open,
            turn_at,
            settled_at: settled_at.min(turn_at),
            helper: None,
            answers: BTreeMap::new(),
        }
    }

    /// The call after something happened.
    ///
    /// # Errors
    ///
    /// A [`CallRefusal`] when it cannot happen; the call then stays as it is.
    pub fn after(&self, event: &Event, now: DateTime<Utc>) -> Result<Self, CallRefusal> {
        let mut call = self.clone();
        if *event == Event::TurnOver {
            call.turn_over(now)?;
            return Ok(call);
        }
        if now >= self.turn_at {
            return Err(CallRefusal::Over);
        }
        match event {
            Event::Asked { whom, answer_by } => call.ask(whom, now, *answer_by)?,
            Event::Yes { by, may_hold } => call.take(*by, *may_hold, AnswerState::Yes)?,
            Event::Assigned { to, may_hold } => call.take(*to, *may_hold, AnswerState::Assigned)?,
            Event::No { by } => call.refuse(*by)?,
            Event::ComesElsewhere { by, assigned } => call.comes_elsewhere(*by, *assigned),
            Event::GivenBackElsewhere { by } => call.given_back_elsewhere(*by),
            Event::GivenBack if now >= self.settled_at && self.state == CallState::Covered => {
                return Err(CallRefusal::TooLate);
            }
            Event::GivenBack | Event::HelperAway => call.give_back()?,
            Event::LeftEmpty { need } => call.leave_empty(*need)?,
            Event::NeededAgain => call.need_again()?,
            Event::CameBack { may_hold } => call.come_back(*may_hold)?,
            Event::NobodyLeft => call.tell_caretaker()?,
            Event::TurnOver => {}
        }
        Ok(call)
    }

    /// Those who need not answer any more and have not heard it: who were asked before and are
    /// closed now.
    #[must_use]
    pub fn closed_since(&self, before: &Self) -> Vec<MemberId> {
        let was_asked = |member: &MemberId| {
            let answer = before.answers.get(member);
            answer.is_some_and(|answer| answer.state == AnswerState::Asked)
        };
        (self.answers.iter())
            .filter(|(member, answer)| answer.state == AnswerState::Closed && was_asked(member))
            .map(|(member, _)| *member)
            .collect()
    }

    const fn open(&self) -> Result<(), CallRefusal> {
        match self.state {
            CallState::Open | CallState::Nobody => Ok(()),
            CallState::Covered => Err(CallRefusal::Taken),
            CallState::LeftEmpty | CallState::Withdrawn | CallState::Missed => {
                Err(CallRefusal::Over)
            }
        }
    }

    fn ask(
        &mut self,
        whom: &[MemberId],
        asked_at: DateTime<Utc>,
        answer_by: DateTime<Utc>,
    ) -> Result<(), CallRefusal> {
        self.open()?;
        let answer = Answer {
            state: AnswerState::Asked,
            asked_at,
            answer_by,
        };
        for member in whom {
            if self.answers.insert(*member, answer).is_some() {
                return Err(CallRefusal::AskedBefore(*member));
            }
        }
        Ok(())
    }

    fn take(
        &mut self,
        by: MemberId,
        may_hold: bool,
        answer: AnswerState,
    ) -> Result<(), CallRefusal> {
        self.open()?;
        if !may_hold {
            return Err(CallRefusal::MayNotHold);
        }
        self.state = CallState::Covered;
        self.helper = Some(by);
        self.answered(by, answer);
        self.close_asked();
        Ok(())
    }

    fn refuse(&mut self, by: MemberId) -> Result<(), CallRefusal> {
        let answer = self.answers.get(&by).ok_or(CallRefusal::NotAsked)?;
        if answer.state.comes() {
            return Err(CallRefusal::NotAsked);
        }
        // Whoever need not answer any more may still say what they would have said.
        if matches!(answer.state, AnswerState::Asked | AnswerState::Closed) {
            self.answered(by, AnswerState::No);
        }
        Ok(())
    }

    fn comes_elsewhere(&mut self, by: MemberId, assigned: bool) {
        if self.helper != Some(by) {
            let answer = if assigned {
                AnswerState::Assigned
            } else {
                AnswerState::Yes
            };
            self.answered(by, answer);
        }
    }

    fn given_back_elsewhere(&mut self, by: MemberId) {
        let answer = self.answers.get(&by);
        if self.helper != Some(by) && answer.is_some_and(|own| own.state.comes()) {
            self.answered(by, AnswerState::GivenBack);
        }
    }

    fn give_back(&mut self) -> Result<(), CallRefusal> {
        if self.state != CallState::Covered {
            return Err(CallRefusal::NotCovered);
        }
        let helper = self.helper.take().ok_or(CallRefusal::NotCovered)?;
        self.state = CallState::Open;
        self.answered(helper, AnswerState::GivenBack);
        Ok(())
    }

    fn leave_empty(&mut self, need: Verdict) -> Result<(), CallRefusal> {
        self.open()?;
        if need == Verdict::Needed {
            return Err(CallRefusal::Needed);
        }
        self.state = CallState::LeftEmpty;
        self.close_asked();
        Ok(())
    }

    fn need_again(&mut self) -> Result<(), CallRefusal> {
        if self.state != CallState::LeftEmpty {
            return Err(CallRefusal::NotLeftEmpty);
        }
        self.state = CallState::Open;
        Ok(())
    }

    fn come_back(&mut self, may_hold: bool) -> Result<(), CallRefusal> {
        if self.state != CallState::LeftEmpty {
            self.open()?;
        }
        if !may_hold {
            return Err(CallRefusal::MayNotHold);
        }
        self.state = CallState::Withdrawn;
        self.close_asked();
        Ok(())
    }

    fn tell_caretaker(&mut self) -> Result<(), CallRefusal> {
        self.open()?;
        if self.state == CallState::Nobody {
            return Err(CallRefusal::ToldBefore);
        }
        self.state = CallState::Nobody;
        Ok(())
    }

    fn turn_over(&mut self, now: DateTime<Utc>) -> Result<(), CallRefusal> {
        if now < self.turn_at {
            return Err(CallRefusal::NotOver);
        }
        if self.state.is_open() {
            self.state = CallState::Missed;
            self.close_asked();
        }
        Ok(())
    }

    fn answered(&mut self, by: MemberId, state: AnswerState) {
        if let Some(answer) = self.answers.get_mut(&by) {
            answer.state = state;
        }
    }

    fn close_asked(&mut self) {
        for answer in self.answers.values_mut() {
            if answer.state == AnswerState::Asked {
                answer.state = AnswerState::Closed;
            }
        }
    }
}
