//! A bin's course through the coming days, when people come to some of its turns.

use crate::living_bin::habitat::Habitat;
use crate::living_bin::outlook::Outlook;
use crate::living_bin::state::BinState;
use crate::turns::Duty;
use crate::units::Grams;
use chrono::{DateTime, TimeDelta, Utc};

/// Steps in which an instant is looked for before it is narrowed down: the weather of the model
/// is constant for as long.
const STEP: TimeDelta = TimeDelta::hours(6);
/// Instants are found to the minute.
const FINE: TimeDelta = TimeDelta::minutes(1);

/// One bin as it is now.
#[derive(Debug, Clone, Copy)]
pub struct Bin<'a> {
    /// The bin and its surroundings.
    pub habitat: &'a Habitat,
    /// Its state at the instant of asking.
    pub state: &'a BinState,
    /// What a feeding usually brings. Never is more reckoned with than there is room for.
    pub meal: Grams,
}

/// One of the coming turns of a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ComingTurn {
    /// When somebody has been there at the latest: the instant at which it closes.
    pub at: DateTime<Utc>,
    /// What is due.
    pub duty: Duty,
    /// How many people it takes.
    pub places: u32,
    /// How many are sure to come; on the turn asked about without the place in question.
    pub held: u32,
}

impl ComingTurn {
    /// Whether whoever comes has seen to the bed: to tidy around a bin is not to look after it.
    #[must_use]
    pub const fn tends(&self) -> bool {
        !matches!(self.duty, Duty::Tidying)
    }

    /// Whether food goes in.
    #[must_use]
    pub const fn feeds(&self) -> bool {
        matches!(self.duty, Duty::Feeding)
    }

    /// Whether somebody is sure to come.
    #[must_use]
    pub const fn is_sure(&self) -> bool {
        self.held > 0
    }
}

/// A bin on its way through the coming days.
#[derive(Debug, Clone)]
pub(super) struct Course<'a> {
    bin: Bin<'a>,
    state: BinState,
}

impl<'a> Course<'a> {
    /// From the bin's own instant on.
    pub(super) fn begin(bin: Bin<'a>) -> Self {
        let state = bin.state.clone();
        Self { bin, state }
    }

    /// The state it has come to.
    pub(super) const fn state(&self) -> &BinState {
        &self.state
    }

    /// Goes on to an instant, and nobody comes meanwhile.
    pub(super) fn pass(&mut self, to: DateTime<Utc>) {
        self.state.advance(self.bin.habitat, to);
    }

    /// Goes on to a turn, and somebody comes to it.
    pub(super) fn come(&mut self, turn: &ComingTurn) {
        self.pass(turn.at);
        if turn.feeds() {
            let meal = self.bin.meal.min(self.room());
            self.state.expect_food(meal.kg());
        } else if turn.tends() {
            self.state.vitals.attend();
        }
    }

    /// The same course with somebody at each of these turns that somebody is sure to come to.
    pub(super) fn through<'t>(mut self, turns: impl IntoIterator<Item = &'t ComingTurn>) -> Self {
        let sure = turns.into_iter().filter(|turn| turn.is_sure());
        sure.for_each(|turn| self.come(turn));
        self
    }

    /// What the bin could take at an instant to which nobody comes any more.
    pub(super) fn room_at(&self, at: DateTime<Utc>) -> Grams {
        let mut then = self.clone();
        then.pass(at);
        then.room()
    }

    fn room(&self) -> Grams {
        Outlook::cautious(self.bin.habitat, &self.state)
            .room(&[])
            .amount
    }

    /// The worms alive at an instant to which nobody comes any more, kg.
    pub(super) fn worms_at(mut self, at: DateTime<Utc>) -> f64 {
        self.pass(at);
        self.state.vitals.worms_kg
    }

    /// The first instant, to the minute, at which something is so that stays so while nobody
    /// comes; none if it is not so until then.
    pub(super) fn first(
        &self,
        until: DateTime<Utc>,
        so: impl Fn(&BinState) -> bool,
    ) -> Option<DateTime<Utc>> {
        let mut before = self.clone();
        while before.state.at < until {
            let mut after = before.clone();
            after.pass((before.state.at + STEP).min(until));
            if so(&after.state) {
                return Some(between(before.state.at, after.state.at, |at| {
                    let mut middle = before.clone();
                    middle.pass(at);
                    so(&middle.state)
                }));
            }
            before = after;
        }
        None
    }
}

/// An instant, to the minute, from which on something is so that is not so at `no` and is so at
/// `yes`.
pub(super) fn between(
    mut no: DateTime<Utc>,
    mut yes: DateTime<Utc>,
    so: impl Fn(DateTime<Utc>) -> bool,
) -> DateTime<Utc> {
    while yes - no > FINE {
        let middle = no + (yes - no) / 2;
        if so(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    yes
}
