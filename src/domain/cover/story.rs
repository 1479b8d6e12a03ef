//! A plain telling of what happens to a site's places, for the random histories.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::answer::AnswerState;
use super::story_world::{Did, World, hours};
use crate::rota::index::Day;
use chrono::{DateTime, TimeDelta, Utc};
use std::collections::{BTreeMap, BTreeSet};

/// What there is to say of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fact {
    Held { by: usize, helps: bool },
    Sought,
    Empty,
    Missed,
}

/// The plain telling.
#[derive(Debug)]
pub(super) struct Story {
    pub(super) facts: Vec<Fact>,
    /// For whom a place is sought or covered.
    pub(super) absent: Vec<Option<usize>>,
    pub(super) asked: BTreeSet<(usize, usize)>,
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
        let held = |by: &Option<usize>| by.map(|by| Fact::Held { by, helps: false }).unwrap();
        let count = world.places.len();
        Self {
            facts: world.rota.iter().map(held).collect(),
            absent: vec![None; count],
            asked: BTreeSet::new(),
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

    pub(super) fn hear(&mut self, did: &[(DateTime<Utc>, Did)], counts: &mut Counts) {
        for (at, did) in did {
            match *did {
                Did::Asked { place, member } => {
                    assert_eq!(self.facts[place], Fact::Sought);
                    assert!(self.asked.insert((place, member)), "asked twice");
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
            let yes = call
                .answers
                .values()
                .filter(|a| a.state == AnswerState::Yes);
            assert!(
                yes.count() <= usize::from(call.helper.is_some()),
                "two said yes"
            );
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
