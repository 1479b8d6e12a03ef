//! A small site that runs on calls, rounds and hard rules alone, for the random histories.

#![allow(clippy::unwrap_used, reason = "helpers of tests are tests too")]

use super::call::{Call, CallState};
use super::candidates::{Candidate, may_come};
use super::event::{CallRefusal, Event};
use super::manner::Manner;
use super::need::Verdict;
use super::question::yes_counts_for;
use super::rounds::{Next, Search};
use crate::ids::MemberId;
use crate::rota::index::{BinIndex, Day, MemberIndex, TurnIndex};
use crate::rota::input::{Input, MemberInput, TurnInput};
use crate::rota::{Plan, Random, Snapshot};
use chrono::{DateTime, TimeDelta, Timelike, Utc};
use std::collections::BTreeMap;
use uuid::Uuid;

/// One place of a turn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub(super) turn: usize,
    pub(super) day: Day,
}

pub(super) fn hours(hours: i64) -> DateTime<Utc> {
    DateTime::UNIX_EPOCH + TimeDelta::hours(hours)
}

impl Place {
    pub(super) fn turn_at(self) -> DateTime<Utc> {
        hours(i64::from(self.day) * 24 + 18)
    }
}

/// Something that the site did by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Did {
    Asked { place: usize, member: usize },
    Told { place: usize },
    Over { place: usize },
}

/// Who holds what, who is away, and the calls.
#[derive(Debug)]
pub(super) struct World {
    pub(super) now: DateTime<Utc>,
    pub(super) members: usize,
    pub(super) places: Vec<Place>,
    pub(super) rota: Vec<Option<usize>>,
    pub(super) away: Vec<(usize, Day, Day)>,
    pub(super) calls: BTreeMap<usize, Call>,
    pub(super) deadlines: BTreeMap<usize, DateTime<Utc>>,
    /// Since when there is the call of a place.
    began: BTreeMap<usize, DateTime<Utc>>,
    /// Calls whose member came back, each with its turn and when that was.
    withdrawn: Vec<(usize, DateTime<Utc>, Call)>,
    asked_at: Vec<Vec<DateTime<Utc>>>,
    wake_at: DateTime<Utc>,
}

pub(super) fn id(member: usize) -> MemberId {
    MemberId(Uuid::from_u128(member as u128))
}

fn index(member: MemberId) -> usize {
    usize::try_from(member.0.as_u128()).unwrap()
}

fn nights(at: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let morning = at.date_naive().and_hms_opt(8, 0, 0).unwrap().and_utc();
    match at.hour() {
        0..8 => Some(morning),
        21.. => Some(morning + TimeDelta::days(1)),
        _ => None,
    }
}

impl World {
    /// A few people, some turns of one or two places over four weeks, most of them held.
    pub(super) fn invented(random: &mut Random) -> Self {
        let members = 3 + random.below(5);
        let mut places = Vec::new();
        let mut rota = Vec::new();
        let mut day = 0;
        for turn in 0..2 + random.below(5) {
            day += Day::try_from(random.below(6)).unwrap();
            let first = random.below(members);
            for seat in 0..=random.below(2) {
                places.push(Place { turn, day });
                rota.push((random.below(4) > 0).then_some((first + seat) % members));
            }
        }
        Self {
            now: hours(0),
            members,
            places,
            rota,
            away: Vec::new(),
            calls: BTreeMap::new(),
            deadlines: BTreeMap::new(),
            began: BTreeMap::new(),
            withdrawn: Vec::new(),
            asked_at: vec![Vec::new(); members],
            wake_at: hours(0),
        }
    }

    pub(super) fn holder(&self, place: usize) -> Option<usize> {
        let Some(call) = self.calls.get(&place) else {
            return self.rota[place];
        };
        match call.state {
            CallState::Covered => call.helper.map(index),
            CallState::Withdrawn => self.rota[place],
            _ => None,
        }
    }

    /// Who may come onto a place by the rota's own rules.
    pub(super) fn may_come(&self, place: usize) -> Vec<usize> {
        let person = |member| MemberInput {
            weekdays: [true; 7],
            absences: (self.away.iter())
                .filter(|(who, ..)| *who == member)
                .map(|(_, first, last)| (*first, *last))
                .collect(),
            bins: vec![BinIndex(0)],
            most_in_28_days: None,
            rest_days: 0,
            share: 60,
            balance: 0,
            wishes: [0; 7],
            experienced: false,
            not_alone: false,
            past: Vec::new(),
        };
        let mut turns: Vec<TurnInput> = Vec::new();
        for one in &self.places {
            if turns.len() == one.turn {
                turns.push(TurnInput {
                    bin: BinIndex(0),
                    day: one.day,
                    places: 0,
                    effort: 1,
                });
            }
            turns[one.turn].places += 1;
        }
        let input = Input {
            days: 56,
            bins: 1,
            members: (0..self.members).map(person).collect(),
            turns,
            ..Input::default()
        };
        let snapshot = Snapshot::parse(input).unwrap();
        let held = (0..self.places.len()).filter_map(|place| {
            let turn = TurnIndex(self.places[place].turn);
            self.holder(place).map(|member| (MemberIndex(member), turn))
        });
        let plan = Plan::from_places(&snapshot, held);
        let turn = TurnIndex(self.places[place].turn);
        let may = may_come(&snapshot, &plan, turn);
        may.into_iter().map(|member| member.0).collect()
    }

    pub(super) fn begin(&mut self, place: usize, deadline: Option<DateTime<Utc>>) {
        let turn_at = self.places[place].turn_at();
        let call = Call::begin(turn_at, turn_at - TimeDelta::hours(24));
        self.calls.insert(place, call);
        self.began.insert(place, self.now);
        self.set_deadline(place, deadline);
    }

    pub(super) fn set_deadline(&mut self, place: usize, deadline: Option<DateTime<Utc>>) {
        self.deadlines.remove(&place);
        if let Some(at) = deadline {
            self.deadlines.insert(place, at);
        }
    }

    pub(super) fn need(&self, place: usize) -> Verdict {
        if self.deadlines.contains_key(&place) {
            Verdict::Needed
        } else {
            Verdict::NotNeeded
        }
    }

    pub(super) fn happen(&mut self, place: usize, event: &Event) -> Result<(), CallRefusal> {
        let call = self.calls.get(&place).ok_or(CallRefusal::Over)?;
        let helped = call.helper;
        let after = call.after(event, self.now)?;
        let helps = after.helper;
        if after.state == CallState::Withdrawn {
            let turn = self.places[place].turn;
            self.withdrawn.push((turn, self.now, after.clone()));
        }
        self.calls.insert(place, after);
        if helped != helps {
            let back = helped.map(|by| Event::GivenBackElsewhere { by });
            let assigned = matches!(event, Event::Assigned { .. });
            let comes = helps.map(|by| Event::ComesElsewhere { by, assigned });
            for event in back.into_iter().chain(comes) {
                for other in self.others(place) {
                    if let Some(call) = self.calls.get_mut(&other) {
                        *call = call.after(&event, self.now)?;
                    }
                }
            }
        }
        Ok(())
    }

    /// The other places of the turn of one.
    fn others(&self, place: usize) -> Vec<usize> {
        let turn = self.places[place].turn;
        let others = (0..self.places.len()).filter(|other| *other != place);
        others
            .filter(|other| self.places[*other].turn == turn)
            .collect()
    }

    /// The place that a yes to the call for one counts for.
    pub(super) fn yes_counts_for(&self, place: usize) -> Option<usize> {
        let mut places = vec![place];
        places.extend(self.others(place));
        places.retain(|place| self.calls.contains_key(place));
        let calls: Vec<&Call> = places.iter().map(|place| &self.calls[place]).collect();
        let own = places.first() == Some(&place);
        let counts = own.then(|| yes_counts_for(&calls, 0)).flatten();
        counts.map(|at| places[at])
    }

    /// The calls in which people were asked about the turn of a place while its own went on.
    fn asked_about_the_turn(&self, place: usize) -> Vec<Call> {
        let since = self.began[&place];
        let turn = self.places[place].turn;
        let going = self.others(place).into_iter();
        let going = going.filter_map(|other| self.calls.get(&other));
        let going = going.filter(|call| call.state != CallState::Withdrawn);
        let ended = (self.withdrawn.iter())
            .filter(|(of, at, _)| *of == turn && *at > since)
            .map(|(.., call)| call);
        going.chain(ended).cloned().collect()
    }

    /// Goes on to an instant, and does what is due whenever it is due and never else.
    pub(super) fn pass(&mut self, to: DateTime<Utc>) -> Vec<(DateTime<Utc>, Did)> {
        let mut did = Vec::new();
        while self.wake_at <= to {
            self.now = self.wake_at.max(self.now);
            self.settle(&mut did);
        }
        self.now = to;
        did
    }

    /// Does what is due now, and finds out when something will be due next.
    pub(super) fn settle(&mut self, did: &mut Vec<(DateTime<Utc>, Did)>) {
        self.wake_at = DateTime::<Utc>::MAX_UTC;
        for place in 0..self.places.len() {
            let turn_at = self.places[place].turn_at();
            let unfinished = |call: &Call| call.state.is_open();
            if self.now >= turn_at {
                if self.calls.get(&place).is_some_and(unfinished) {
                    self.happen(place, &Event::TurnOver).unwrap();
                    did.push((self.now, Did::Over { place }));
                }
                continue;
            }
            while let Some(call) = self.calls.get(&place) {
                match self.next(place, call) {
                    Next::Wait { until } => {
                        assert!(until > self.now && until <= turn_at);
                        self.wake_at = self.wake_at.min(until);
                        break;
                    }
                    Next::Settled => break,
                    Next::Escalate { .. } => {
                        self.happen(place, &Event::NobodyLeft).unwrap();
                        did.push((self.now, Did::Told { place }));
                    }
                    Next::Ask { whom, answer_by } => {
                        for member in whom.iter().copied().map(index) {
                            self.asked_at[member].push(self.now);
                            did.push((self.now, Did::Asked { place, member }));
                        }
                        let asked = Event::Asked { whom, answer_by };
                        self.happen(place, &asked).unwrap();
                    }
                }
            }
        }
    }

    fn next(&self, place: usize, call: &Call) -> Next {
        let candidate = |member: usize| Candidate {
            member: id(member),
            balance_milli: 0,
            wish: 0,
            asked_at: self.asked_at[member].clone(),
        };
        let candidates: Vec<Candidate> = if call.state.is_open() {
            self.may_come(place).into_iter().map(candidate).collect()
        } else {
            Vec::new()
        };
        let others = self.asked_about_the_turn(place);
        let search = Search {
            call,
            others: &others,
            candidates: &candidates,
            deadline: self.deadlines.get(&place).copied(),
            now: self.now,
        };
        search.next(&Manner::default(), nights)
    }
}
