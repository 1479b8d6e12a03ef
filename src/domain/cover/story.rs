//! A plain telling of what happens to a site's places, for the random histories.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::answer::AnswerState;
use super::call::Call;
use super::story_world::{Did, World, hours, id};
use crate::rota::index::Day;
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::{BTreeMap, BTreeSet};

/// What there is to say of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fact {
    /// Nobody ever held it, and nobody is looked for.
    Free,
    Held {
        by: usize,
        helps: bool,
    },
    Sought,
    Empty,
    Missed,
}

/// The plain telling.
#[derive(Debug)]
pub(super) struct Story {
    pub(super) facts: Vec<Fact>,
    /// For whom a place is sought or covered, where somebody held it.
    pub(super) absent: Vec<Option<usize>>,
    /// Whether there is a call for a place that nobody took back.
    pub(super) going: Vec<bool>,
    /// Whether whoever helps on a place said so themselves.
    pub(super) by_word: Vec<bool>,
    /// Who said no to the call of a place, and has come to no place of the turn since.
    pub(super) noes: BTreeSet<(usize, usize)>,
    pub(super) asked: BTreeSet<(usize, usize)>,
    /// Since when there is a call for a place, and who was asked in one that is no more: about
    /// which turn, whom, and when it ended.
    pub(super) began: Vec<DateTime<Utc>>,
    pub(super) asked_before: Vec<(usize, usize, DateTime<Utc>)>,
    times: BTreeMap<usize, Vec<DateTime<Utc>>>,
    /// Since when a place is sought, and when the caretaker was told of it.
    since: Vec<DateTime<Utc>>,
    told: Vec<Option<DateTime<Utc>>>,
    pub(super) away: BTreeSet<(usize, Day)>,
}

/// What happened in all histories, so that none of it never happens.
#[derive(Debug, Default)]
pub(super) struct Counts(pub(super) BTreeMap<&'static str, u32>);

impl Counts {
    pub(super) fn add(&mut self, what: &'static str) {
        *self.0.entry(what).or_default() += 1;
    }
}

impl Story {
    pub(super) fn of(world: &World) -> Self {
        let held = |by: &Option<usize>| by.map_or(Fact::Free, |by| Fact::Held { by, helps: false });
        let count = world.places.len();
        Self {
            facts: world.rota.iter().map(held).collect(),
            absent: vec![None; count],
            going: vec![false; count],
            by_word: vec![false; count],
            noes: BTreeSet::new(),
            asked: BTreeSet::new(),
            began: vec![hours(0); count],
            asked_before: Vec::new(),
            times: BTreeMap::new(),
            since: vec![hours(0); count],
            told: vec![None; count],
            away: BTreeSet::new(),
        }
    }

    fn holder(&self, place: usize) -> Option<usize> {
        match self.facts[place] {
            Fact::Held { by, .. } => Some(by),
            _ => None,
        }
    }

    /// One is free, here, and on no other turn of that day.
    pub(super) fn may(&self, world: &World, place: usize, member: usize) -> bool {
        let day = world.places[place].day;
        let busy = (0..self.facts.len())
            .any(|other| world.places[other].day == day && self.holder(other) == Some(member));
        !busy && !self.away.contains(&(member, day))
    }

    pub(super) fn seek(&mut self, world: &World, place: usize) {
        self.facts[place] = Fact::Sought;
        self.since[place] = world.now;
        self.told[place] = None;
    }

    /// A call begins, in the stead of somebody or because nobody ever held the place.
    pub(super) fn begin(&mut self, world: &World, place: usize, absent: Option<usize>) {
        self.asked.retain(|(other, _)| *other != place);
        self.noes.retain(|(other, _)| *other != place);
        self.began[place] = world.now;
        self.absent[place] = absent;
        self.going[place] = true;
    }

    /// Somebody comes to a place by its call: by their own word, or sent.
    pub(super) fn comes(&mut self, world: &World, place: usize, by: usize, by_word: bool) {
        let turn = world.places[place].turn;
        self.facts[place] = Fact::Held { by, helps: true };
        self.by_word[place] = by_word;
        (self.noes).retain(|(other, who)| *who != by || world.places[*other].turn != turn);
    }

    /// Somebody has a place again that they could not come to: nobody is asked for it any more.
    pub(super) fn end_call(&mut self, world: &World, place: usize) {
        let turn = world.places[place].turn;
        let asked = self.asked.iter().filter(|(of, _)| *of == place);
        let asked = asked.map(|(_, member)| (turn, *member, world.now));
        self.asked_before.extend(asked);
        self.absent[place] = None;
        self.going[place] = false;
    }

    /// Whether somebody comes to the turn of a place in the stead of another.
    pub(super) fn helps(&self, world: &World, place: usize, member: usize) -> bool {
        let (by, helps) = (member, true);
        let held = Fact::Held { by, helps };
        let turn = world.places[place].turn;
        (0..self.facts.len()).any(|at| world.places[at].turn == turn && self.facts[at] == held)
    }

    /// Which place somebody has who says yes when asked for one: that, or another that is sought
    /// of the same turn.
    pub(super) fn yes_counts_for(&self, world: &World, place: usize) -> Option<usize> {
        let turn = world.places[place].turn;
        let sought = |at: &usize| self.facts[*at] == Fact::Sought && world.places[*at].turn == turn;
        let own = Some(place).filter(sought);
        let other = own.or_else(|| (0..self.facts.len()).find(sought));
        other.or_else(|| (self.facts[place] == Fact::Empty).then_some(place))
    }

    /// Whether a member was asked about the turn of a place since somebody is looked for there.
    fn was_asked(&self, world: &World, place: usize, member: usize) -> bool {
        let turn = world.places[place].turn;
        let going = self.asked.iter().any(|(other, who)| {
            let same = world.places[*other].turn == turn;
            same && *who == member && self.going[*other]
        });
        let ended = self
            .asked_before
            .iter()
            .any(|(of, who, at)| (*of, *who) == (turn, member) && *at > self.began[place]);
        going || ended
    }

    pub(super) fn hear(
        &mut self,
        world: &World,
        did: &[(DateTime<Utc>, Did)],
        counts: &mut Counts,
    ) {
        for (at, did) in did {
            match *did {
                Did::Asked { place, member } => {
                    assert_eq!(self.facts[place], Fact::Sought);
                    assert!(!self.was_asked(world, place, member), "asked twice");
                    self.asked.insert((place, member));
                    let times = self.times.entry(member).or_default();
                    times.push(*at);
                    let week = times.iter().filter(|t| **t > *at - TimeDelta::days(7));
                    assert!(week.count() <= 2, "asked too often");
                    counts.add("asked");
                }
                Did::Told { place } => {
                    assert_eq!(self.told[place].replace(*at), None, "told twice");
                    counts.add("told");
                }
                Did::Over { place } => {
                    assert_eq!(self.facts[place], Fact::Sought);
                    self.facts[place] = Fact::Missed;
                    counts.add("missed");
                }
            }
        }
    }

    /// What is kept of those who were asked is what they said.
    fn check_answers(&self, world: &World, place: usize, call: &Call) {
        let turn = world.places[place].turn;
        for (member, own) in call.answers.iter().filter(|(_, own)| own.state.comes()) {
            let comes = |other: &usize| {
                world.places[*other].turn == turn && self.holder(*other).map(id) == Some(*member)
            };
            let at = (0..self.facts.len()).find(comes);
            let at = at.expect("who said yes does not come");
            assert_eq!(
                own.state == AnswerState::Yes,
                self.by_word[at],
                "whose word"
            );
        }
        for (_, who) in self.noes.iter().filter(|(of, _)| *of == place) {
            let state = call.answers[&id(*who)].state;
            assert!(
                matches!(state, AnswerState::No | AnswerState::GivenBack),
                "a no is kept as {state:?}"
            );
        }
    }

    pub(super) fn check(&self, world: &World) {
        for (place, one) in world.places.iter().enumerate() {
            assert_eq!(world.holder(place), self.holder(place), "place {place}");
            if let Some(holder) = self.holder(place) {
                let past = one.turn_at() <= world.now;
                assert!(
                    past || !self.away.contains(&(holder, one.day)),
                    "held while away"
                );
                let twice = (0..place).any(|other| {
                    world.places[other].turn == one.turn && self.holder(other) == Some(holder)
                });
                assert!(!twice, "{holder} is on turn {} twice", one.turn);
            }
            let Some(call) = world.calls.get(&place) else {
                continue;
            };
            self.check_answers(world, place, call);
            assert_eq!(call.state.is_open(), self.facts[place] == Fact::Sought);
            if matches!(self.facts[place], Fact::Sought | Fact::Missed) {
                let deadline = world.deadlines.get(&place).copied();
                let last = deadline.map_or(one.turn_at(), |at| at.min(one.turn_at()));
                let latest = (last - TimeDelta::hours(24)).max(self.since[place]);
                let told = self.told[place].is_some_and(|told| told <= latest);
                assert!(told || world.now < latest, "place {place}: nobody told");
            }
        }
    }
}
