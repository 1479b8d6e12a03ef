//! Who is asked next, and when the caretaker is told.
//!
//! People are asked in rounds. The next round begins when all of the last one have answered or
//! their time is up. How many are asked and how long they have follows from the time left until
//! the caretaker must be told. Where the bin can do without, a few are asked and then no more.
//! Nobody is asked twice about one turn, nor more often in a week than the site wants, nor in
//! quiet hours; these hold to the last. Telling the caretaker waits for none of them.

use super::call::{Call, CallState};
use super::candidates::Candidate;
use super::manner::Manner;
use crate::ids::MemberId;
use chrono::{DateTime, Utc};
use std::collections::BTreeSet;

/// A call as it stands, and who may come.
#[derive(Debug, Clone, Copy)]
pub struct Search<'a> {
    /// The call.
    pub call: &'a Call,
    /// The other calls of the turn: whoever was asked in one of them was asked about the turn.
    pub others: &'a [Call],
    /// Everybody who may hold the place now, in any order.
    pub candidates: &'a [Candidate],
    /// The latest instant at which somebody must have come, if the bin needs somebody.
    pub deadline: Option<DateTime<Utc>>,
    /// Now.
    pub now: DateTime<Utc>,
}

/// What is to be done now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Next {
    /// Ask these, the first to be asked first.
    Ask {
        /// Whom.
        whom: Vec<MemberId>,
        /// Until when they have.
        answer_by: DateTime<Utc>,
    },
    /// Nothing until then, unless somebody answers.
    Wait {
        /// When to look again.
        until: DateTime<Utc>,
    },
    /// Tell the caretaker.
    Escalate {
        /// When that had to be at the latest; past where a call began too late for it.
        at: DateTime<Utc>,
    },
    /// Nothing more: nobody is looked for, or the turn is over.
    Settled,
}

impl Search<'_> {
    /// The latest instant at which the caretaker is told.
    #[must_use]
    pub fn escalate_at(&self, manner: &Manner) -> DateTime<Utc> {
        let turn = self.call.turn_at;
        self.deadline.map_or(turn, |deadline| deadline.min(turn)) - manner.lead
    }

    /// What is to be done now. `quiet` gives the end of the quiet hours that an instant lies in.
    /// To be asked again after each [`Next::Ask`] and [`Next::Escalate`] that was done.
    #[must_use]
    pub fn next(
        &self,
        manner: &Manner,
        quiet: impl Fn(DateTime<Utc>) -> Option<DateTime<Utc>>,
    ) -> Next {
        let (call, now) = (self.call, self.now);
        if !call.state.is_open() || now >= call.turn_at {
            return Next::Settled;
        }
        let told = call.state == CallState::Nobody;
        let at = self.escalate_at(manner);
        if !told && now >= at {
            return Next::Escalate { at };
        }
        let end = if told { call.turn_at } else { at };
        if let Some(by) = self.awaited_until() {
            return Next::Wait { until: by.min(end) };
        }
        let wait_or_tell = |until: DateTime<Utc>| {
            if until < end || told {
                Next::Wait {
                    until: until.min(end),
                }
            } else {
                Next::Escalate { at }
            }
        };
        let left = self.may_still_be_asked(manner);
        let mut yet = self.ranked(manner);
        if left == 0 {
            yet.clear();
        }
        let free: Vec<MemberId> = (yet.iter())
            .filter(|(free_at, _)| *free_at <= now)
            .map(|(_, member)| *member)
            .collect();
        if free.is_empty() {
            let soonest = yet.iter().map(|(free_at, _)| *free_at).min();
            return wait_or_tell(soonest.unwrap_or(end));
        }
        if let Some(over) = quiet(now) {
            return wait_or_tell(over);
        }
        // Where the bin can do without, the pause is whole although the caretaker is told in it.
        let (tempo, latest) = match self.deadline {
            Some(_) => (manner.tempo((now, end), free.len(), &quiet), end),
            None => (manner.calm_tempo((now, end)), call.turn_at),
        };
        Next::Ask {
            whom: free.into_iter().take(tempo.at_once.min(left)).collect(),
            answer_by: manner.answer_by(now, tempo.answer, quiet).min(latest),
        }
    }

    /// Until when the last answer may come that is waited for.
    fn awaited_until(&self) -> Option<DateTime<Utc>> {
        let own = self.call.answers.values();
        let own = own.filter(|answer| answer.is_awaited(self.now));
        let others = self.others.iter().flat_map(|call| call.answers.values());
        let others = others.filter(|answer| answer.is_awaited_elsewhere(self.now));
        own.chain(others).map(|answer| answer.answer_by).max()
    }

    /// How many may be asked on: all of them where the bin needs somebody.
    fn may_still_be_asked(&self, manner: &Manner) -> usize {
        if self.deadline.is_some() {
            return usize::MAX;
        }
        let calls = self.others.iter().chain([self.call]);
        let asked: BTreeSet<&MemberId> = calls.flat_map(|call| call.answers.keys()).collect();
        manner.most_if_not_needed.saturating_sub(asked.len())
    }

    fn was_asked(&self, member: MemberId) -> bool {
        let mut calls = self.others.iter().chain([self.call]);
        calls.any(|call| call.answers.contains_key(&member))
    }

    /// Those not asked yet, first who is to be asked first, each with when they may be.
    fn ranked(&self, manner: &Manner) -> Vec<(DateTime<Utc>, MemberId)> {
        let mut yet: Vec<(i64, MemberId, DateTime<Utc>)> = (self.candidates.iter())
            .filter(|candidate| !self.was_asked(candidate.member))
            .filter_map(|candidate| {
                let free_at = candidate.free_at(manner, self.now)?;
                let rank = candidate.rank_milli(manner, self.now);
                Some((rank, candidate.member, free_at))
            })
            .collect();
        yet.sort_unstable();
        let mut seen = BTreeSet::new();
        yet.retain(|(_, member, _)| seen.insert(*member));
        (yet.into_iter())
            .map(|(_, member, free_at)| (free_at, member))
            .collect()
    }
}
