//! What changes when a bin's rhythm, the closures or the calendar do.

use crate::coded::coded;
use chrono::NaiveDate;
use std::collections::BTreeSet;

coded! {
    /// Why a turn does not take place.
    CalledOffBy {
        /// Somebody said so.
        Hand = "hand",
        /// The site is closed.
        Closure = "closure",
    }
}

/// Days on which a site is closed, both ends included; none if the last lies before the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Closure {
    /// The first day.
    pub first: NaiveDate,
    /// The last day.
    pub last: NaiveDate,
}

/// A turn of the bin as it stands: no other stands on its day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Its local day.
    pub day: NaiveDate,
    /// Why it does not take place, if it does not.
    pub called_off: Option<CalledOffBy>,
    /// Whether somebody has a place on it.
    pub held: bool,
    /// Whether it is flagged as one that the pattern does not want.
    pub stranded: bool,
}

/// One change, to the turn of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Change {
    /// A turn that is missing.
    Add(NaiveDate),
    /// A turn that the pattern does not want and nobody holds.
    Remove(NaiveDate),
    /// A turn that the pattern does not want, but somebody holds: it stays, flagged.
    StrandHeld(NaiveDate),
    /// A flagged turn that the pattern wants again: the flag goes.
    Unstrand(NaiveDate),
    /// The site is closed on its day. Whoever holds it keeps their place.
    CallOff {
        /// The day of the turn.
        day: NaiveDate,
        /// The position of the closure in the list, the first if there are several.
        closure: usize,
    },
    /// The site is open again on its day.
    Reopen(NaiveDate),
}

impl Change {
    /// The day whose turn changes.
    #[must_use]
    pub const fn day(self) -> NaiveDate {
        match self {
            Self::Add(day)
            | Self::Remove(day)
            | Self::StrandHeld(day)
            | Self::Unstrand(day)
            | Self::CallOff { day, .. }
            | Self::Reopen(day) => day,
        }
    }
}

/// The changes that bring the turns of a bin to the days that its pattern wants, in the order
/// of days. Once they are made there are none.
///
/// Turns before `today` never change, and none that somebody holds or that was called off by
/// hand is removed. What was called off by hand stays so. No turn is added on a closed day.
#[must_use]
pub fn changes(
    wanted: &[NaiveDate],
    standing: &[Standing],
    closures: &[Closure],
    today: NaiveDate,
) -> Vec<Change> {
    let wanted: BTreeSet<NaiveDate> = wanted.iter().copied().collect();
    let there: BTreeSet<NaiveDate> = standing.iter().map(|turn| turn.day).collect();
    let closure = |day: NaiveDate| {
        closures
            .iter()
            .position(|closure| (closure.first..=closure.last).contains(&day))
    };
    let missing = wanted
        .difference(&there)
        .filter(|day| **day >= today && closure(**day).is_none())
        .map(|day| Change::Add(*day));
    let of_those_there = standing
        .iter()
        .filter(|turn| turn.day >= today)
        .flat_map(|turn| {
            let wanted = wanted.contains(&turn.day);
            changes_of(*turn, wanted, closure(turn.day))
        });
    let mut changes: Vec<Change> = missing.chain(of_those_there).collect();
    changes.sort_by_key(|change| change.day());
    changes
}

/// What changes about a turn that is not past.
fn changes_of(
    turn: Standing,
    wanted: bool,
    closure: Option<usize>,
) -> impl Iterator<Item = Change> {
    let day = turn.day;
    let by_hand = turn.called_off == Some(CalledOffBy::Hand);
    let goes = !wanted && !turn.held && !by_hand;
    let belonging = match (wanted, turn.stranded) {
        _ if goes => Some(Change::Remove(day)),
        (true, true) => Some(Change::Unstrand(day)),
        (false, false) if turn.held => Some(Change::StrandHeld(day)),
        _ => None,
    };
    let opening = match (turn.called_off, closure) {
        _ if goes => None,
        (None, Some(closure)) => Some(Change::CallOff { day, closure }),
        (Some(CalledOffBy::Closure), None) => Some(Change::Reopen(day)),
        _ => None,
    };
    belonging.into_iter().chain(opening)
}
