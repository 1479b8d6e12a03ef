//! Class duty by taking turns: a line of pupils, and whoever had a turn goes to its end.
//!
//! Everybody has a turn before anybody has two. Who is away is passed over and keeps their
//! place in the line: they come first when they are back, once, and owe nothing for what they
//! missed. Pairs go together or not at all, and so are passed over while one of them is away.
//!
//! A line is what its list says and who had turns since: [`Line::done`] on each turn that was,
//! in order, gives the line of today. [`Line::next`] only looks.

use super::index::{Day, PupilIndex};
use super::limits;
use std::collections::{BTreeMap, BTreeSet};
use thiserror::Error;

/// A turn of a class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClassTurn {
    /// The day.
    pub day: Day,
    /// How many pupils it takes.
    pub places: usize,
}

/// Why there is no such line, or no turns in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum LineRefusal {
    /// More pupils than [`limits::PUPILS`].
    #[error("{found} pupils: at most {most}")]
    TooManyPupils {
        /// How many.
        found: usize,
        /// The most that are taken.
        most: u64,
    },
    /// More turns than [`limits::TURNS`].
    #[error("{found} turns: at most {most}")]
    TooManyTurns {
        /// How many.
        found: usize,
        /// The most that are taken.
        most: u64,
    },
    /// A pupil who stands in the order twice.
    #[error("pupil {0} stands in the order twice")]
    Twice(PupilIndex),
    /// A pupil who is named but not in the order.
    #[error("pupil {0} is not in the order")]
    Unknown(PupilIndex),
    /// A pupil in two pairs, or in a pair with themselves.
    #[error("pupil {0} is in more than one pair")]
    PairedTwice(PupilIndex),
    /// Pairs that go together or not at all, and no turn that takes two.
    #[error("no turn takes both of a pair")]
    NoTurnForPairs,
}

/// One pupil, or a pair.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Unit {
    pupils: Vec<PupilIndex>,
    /// The number of their last turn, counted on from one unit to the next: of two on one turn
    /// the one that stood first in the line has the smaller number.
    last: u64,
}

/// Numbers to begin with, so that all who have yet to come in the round are level with each
/// other, and all who came.
const YET: u64 = 0;
const HAD: u64 = 1;

/// Pupils in a line, first who is next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// By `last`, ascending.
    units: Vec<Unit>,
    /// The number of the latest turn of anybody.
    latest: u64,
}

/// Who steps in for a pupil who is away on the day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exchange {
    /// Who goes: the absent pupil, and the other of their pair.
    pub gone: Vec<PupilIndex>,
    /// Who comes instead, in order; fewer when nobody is left.
    pub come: Vec<PupilIndex>,
}

impl Line {
    /// A line in the given order, which begins after the pupil who was last. A pair stands
    /// where the first of the two stands in the order.
    ///
    /// # Errors
    ///
    /// A [`LineRefusal`] when a pupil stands there twice, is in two pairs, or is named without
    /// being in the order.
    pub fn parse(
        order: &[PupilIndex],
        last: Option<PupilIndex>,
        pairs: &[(PupilIndex, PupilIndex)],
    ) -> Result<Self, LineRefusal> {
        let found = order.len();
        if u64::try_from(found).map_or(true, |count| count > limits::PUPILS) {
            let most = limits::PUPILS;
            return Err(LineRefusal::TooManyPupils { found, most });
        }
        let mut known = BTreeSet::new();
        if let Some(twice) = order.iter().find(|pupil| !known.insert(**pupil)) {
            return Err(LineRefusal::Twice(*twice));
        }
        let mut others = BTreeMap::new();
        for (one, other) in pairs {
            for (pupil, other) in [(one, other), (other, one)] {
                if !known.contains(pupil) {
                    return Err(LineRefusal::Unknown(*pupil));
                }
                if others.insert(*pupil, *other).is_some() {
                    return Err(LineRefusal::PairedTwice(*pupil));
                }
            }
        }
        let mut units: Vec<Unit> = Vec::new();
        let mut placed = BTreeSet::<PupilIndex>::new();
        for pupil in order {
            if placed.contains(pupil) {
                continue;
            }
            let pupils: Vec<PupilIndex> = [Some(pupil), others.get(pupil)]
                .into_iter()
                .flatten()
                .copied()
                .collect();
            placed.extend(&pupils);
            units.push(Unit { pupils, last: YET });
        }
        if let Some(last) = last {
            let at = (units.iter()).position(|unit| unit.pupils.contains(&last));
            let had = 1 + at.ok_or(LineRefusal::Unknown(last))?;
            for unit in &mut units[..had] {
                unit.last = HAD;
            }
            units.rotate_left(had);
        }
        Ok(Self { units, latest: HAD })
    }

    /// Every pupil, first who is next.
    pub fn pupils(&self) -> impl Iterator<Item = PupilIndex> + '_ {
        (self.units.iter()).flat_map(|unit| unit.pupils.iter().copied())
    }

    /// Who is next for a turn of so many places, in the order of the line, without those who
    /// are away.
    ///
    /// A pair for whom too little is left keeps its place in the line, and nobody who had a
    /// turn since theirs comes in between: the place stays empty rather than give somebody a
    /// second turn before their first. On a turn that does not take two at all they are passed
    /// over as if they were away.
    #[must_use]
    pub fn next(&self, places: usize, away: impl Fn(PupilIndex) -> bool) -> Vec<PupilIndex> {
        let mut on = Vec::new();
        let mut waits = None;
        for unit in &self.units {
            let full = on.len() == places;
            if full || waits.is_some_and(|last| unit.last > last) {
                break;
            }
            if unit.pupils.len() > places || unit.pupils.iter().any(|pupil| away(*pupil)) {
                continue;
            }
            if on.len() + unit.pupils.len() <= places {
                on.extend(&unit.pupils);
            } else {
                waits = waits.or(Some(unit.last));
            }
        }
        on
    }

    /// Notes that these pupils had a turn, given in any order: they go to the end of the line, in
    /// the order in which they stood. A pair goes there when one of them had it. Pupils who are
    /// not in the line are left out.
    pub fn done(&mut self, on: &[PupilIndex]) {
        let on: BTreeSet<PupilIndex> = on.iter().copied().collect();
        let (mut had, mut line): (Vec<Unit>, Vec<Unit>) = (self.units.drain(..))
            .partition(|unit| unit.pupils.iter().any(|pupil| on.contains(pupil)));
        for unit in &mut had {
            self.latest += 1;
            unit.last = self.latest;
        }
        line.append(&mut had);
        self.units = line;
    }

    /// Who steps in when somebody on a turn turns out to be away that day: the next in the line
    /// who are neither away nor on the turn. The line is the one from before the turn; once the
    /// turn is [`done`](Self::done) by who really was there, the absent pupil stands where they
    /// stood, before everybody who was there.
    ///
    /// On the day somebody has to come, so that a single pupil may step in for one although a
    /// pair is next. Nobody goes and nobody comes when the pupil is not on the turn.
    #[must_use]
    pub fn exchange(
        &self,
        on: &[PupilIndex],
        absent: PupilIndex,
        away: impl Fn(PupilIndex) -> bool,
    ) -> Exchange {
        let unit = (self.units.iter()).find(|unit| unit.pupils.contains(&absent));
        let goes = |pupil: &PupilIndex| {
            *pupil == absent || unit.is_some_and(|unit| unit.pupils.contains(pupil))
        };
        let mut gone = Vec::new();
        if on.contains(&absent) {
            gone.extend(on.iter().copied().filter(goes));
        }
        let mut come = Vec::new();
        for unit in &self.units {
            let there = |pupil: &PupilIndex| !on.contains(pupil) && !away(*pupil);
            if come.len() + unit.pupils.len() <= gone.len() && unit.pupils.iter().all(there) {
                come.extend(&unit.pupils);
            }
        }
        Exchange { gone, come }
    }
}

/// Who is on each turn when a class takes turns in order, and the line after the last of them.
/// Turns are taken in the order given; `away` says who is away on a day.
///
/// # Errors
///
/// [`LineRefusal::NoTurnForPairs`] when there are pairs and turns, but none that takes two;
/// [`LineRefusal::TooManyTurns`].
pub fn in_order(
    mut line: Line,
    turns: &[ClassTurn],
    away: impl Fn(PupilIndex, Day) -> bool,
) -> Result<(Vec<Vec<PupilIndex>>, Line), LineRefusal> {
    let found = turns.len();
    if u64::try_from(found).map_or(true, |count| count > limits::TURNS) {
        let most = limits::TURNS;
        return Err(LineRefusal::TooManyTurns { found, most });
    }
    let pairs = line.units.iter().any(|unit| unit.pupils.len() > 1);
    if pairs && found > 0 && turns.iter().all(|turn| turn.places < 2) {
        return Err(LineRefusal::NoTurnForPairs);
    }
    let mut all = Vec::with_capacity(found);
    for turn in turns {
        let on = line.next(turn.places, |pupil| away(pupil, turn.day));
        line.done(&on);
        all.push(on);
    }
    Ok((all, line))
}
