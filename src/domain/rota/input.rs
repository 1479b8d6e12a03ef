//! What a planner is asked with, before it is checked.

use super::index::{BinIndex, Day, MemberIndex, Place};
use serde::{Deserialize, Serialize};

/// A member as the planner sees one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MemberInput {
    /// The weekdays that work, Monday first.
    pub weekdays: [bool; 7],
    /// First and last day of each absence, both included.
    pub absences: Vec<(Day, Day)>,
    /// The bins that the member is trained for.
    pub bins: Vec<BinIndex>,
    /// The most turns in any 28 days in a row; none is no such limit.
    pub most_in_28_days: Option<u32>,
    /// Free days between two turns; 0 is at most one turn a day.
    pub rest_days: u32,
    /// The share of the work, above zero. Only how shares stand to each other counts: one unit
    /// for all members of an input, such as quarters in files and sixtieths in the service.
    pub share: u32,
    /// Effort carried over: above zero for who did more than their share before.
    pub balance: i64,
    /// The wish for each weekday, Monday first: 1 likes it, -1 would rather not.
    pub wishes: [i8; 7],
    /// May stand beside somebody who is not to be alone.
    pub experienced: bool,
    /// Needs an experienced member on the same turn.
    pub not_alone: bool,
    /// Days of turns before the span, all below zero.
    pub past: Vec<Day>,
}

/// A turn as the planner sees one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct TurnInput {
    /// The bin that is fed.
    pub bin: BinIndex,
    /// The day it is fed on.
    pub day: Day,
    /// How many people it takes.
    pub places: u32,
    /// What it costs each of them.
    pub effort: u32,
}

/// The rota in force, when one is planned anew.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct InForceInput {
    /// Who holds which place.
    pub places: Vec<Place>,
    /// The first day that may change.
    pub first_open_day: Day,
}

/// Everything a planner needs to know. [`Snapshot::parse`](super::Snapshot::parse) is the
/// only door from here to a plan.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Input {
    /// Length of the span in days.
    pub days: u32,
    /// How many bins there are.
    pub bins: usize,
    /// Who may be asked.
    pub members: Vec<MemberInput>,
    /// What is to be done.
    pub turns: Vec<TurnInput>,
    /// Pairs that never share a turn.
    pub apart: Vec<(MemberIndex, MemberIndex)>,
    /// Places that stay as they are.
    pub kept: Vec<Place>,
    /// The rota in force; none when a rota is drafted from nothing.
    pub in_force: Option<InForceInput>,
}
