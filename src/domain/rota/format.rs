//! The file format of an instance and of a solution, for checking the planner from outside.
//!
//! An instance is one JSON object. `horizon_days` is the length of the span, whose day 0 is a
//! Monday; `bins` names the bins. Each of `turns` has its position as `id`, a `bin` by
//! position, a `day`, the people it takes as `need` and its effort as `weight`. Each of
//! `members` has its position as `id`; `weekdays` with seven 1 or 0 from Monday on;
//! `absences` as pairs of first and last day; `bins` by position; `max28`, the most turns in
//! any 28 days in a row, or null; `rest`, the free days between two turns; `share` in quarters
//! of a full one; `balance`, the effort carried over; `pref` with seven wishes of 1, 0 or -1;
//! `experienced`; `not_alone`; and `past`, days of earlier turns below zero. `apart` lists
//! pairs of members; `locked` the kept places as pairs of member and turn; `published` the
//! rota in force in the same way or null, with `replan_from`, the first day that may change.
//! Other keys are ignored. A solution is `{"assign": [[member, turn], …]}`.

use super::index::{BinIndex, MemberIndex, Place, TurnIndex};
use super::input::{InForceInput, Input, MemberInput, TurnInput};
use super::plan::Plan;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// An instance as it stands in its file.
#[derive(Debug, Clone, Deserialize)]
pub struct InstanceFile {
    horizon_days: u32,
    bins: Vec<String>,
    turns: Vec<TurnEntry>,
    members: Vec<MemberEntry>,
    #[serde(default)]
    apart: Vec<(usize, usize)>,
    #[serde(default)]
    locked: Vec<(usize, usize)>,
    #[serde(default)]
    published: Option<Vec<(usize, usize)>>,
    #[serde(default)]
    replan_from: Option<i32>,
}

#[derive(Debug, Clone, Deserialize)]
struct TurnEntry {
    id: usize,
    bin: usize,
    day: i32,
    need: u32,
    weight: u32,
}

#[derive(Debug, Clone, Deserialize)]
struct MemberEntry {
    id: usize,
    weekdays: [u8; 7],
    #[serde(default)]
    absences: Vec<(i32, i32)>,
    bins: Vec<usize>,
    max28: Option<u32>,
    rest: u32,
    share: u32,
    balance: i64,
    pref: [i8; 7],
    experienced: bool,
    not_alone: bool,
    #[serde(default)]
    past: Vec<i32>,
}

/// What makes an instance file unreadable although its JSON is fine.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum FormatError {
    /// An `id` that is not the entry's position: ids are 0, 1, 2 and so on, each once.
    #[error("{list}: the entry at position {position} has the id {found}")]
    Id {
        /// `members` or `turns`.
        list: &'static str,
        /// The position in the list.
        position: usize,
        /// The id found there.
        found: usize,
    },
    /// A weekday that is neither 0 nor 1.
    #[error("members: {member} has {found} among the weekdays, not 0 or 1")]
    Weekday {
        /// The member's position.
        member: usize,
        /// The number found.
        found: u8,
    },
}

fn places(pairs: &[(usize, usize)]) -> Vec<Place> {
    (pairs.iter())
        .map(|(member, turn)| (MemberIndex(*member), TurnIndex(*turn)))
        .collect()
}

impl MemberEntry {
    fn read(self, position: usize) -> Result<MemberInput, FormatError> {
        let mut weekdays = [false; 7];
        for (works, found) in weekdays.iter_mut().zip(self.weekdays) {
            if found > 1 {
                return Err(FormatError::Weekday {
                    member: position,
                    found,
                });
            }
            *works = found == 1;
        }
        Ok(MemberInput {
            weekdays,
            absences: self.absences,
            bins: self.bins.into_iter().map(BinIndex).collect(),
            most_in_28_days: self.max28,
            rest_days: self.rest,
            share: self.share,
            balance: self.balance,
            wishes: self.pref,
            experienced: self.experienced,
            not_alone: self.not_alone,
            past: self.past,
        })
    }
}

impl InstanceFile {
    /// The input that the file describes, not yet checked against any limit.
    ///
    /// # Errors
    ///
    /// Ids that are not their entries' positions, and weekdays that are neither 0 nor 1.
    pub fn read(self) -> Result<Input, FormatError> {
        let members = (self.members.iter().map(|entry| entry.id)).enumerate();
        let turns = (self.turns.iter().map(|entry| entry.id)).enumerate();
        let all = (members.map(|(position, id)| ("members", position, id)))
            .chain(turns.map(|(position, id)| ("turns", position, id)));
        for (list, position, found) in all {
            if position != found {
                return Err(FormatError::Id {
                    list,
                    position,
                    found,
                });
            }
        }
        Ok(Input {
            days: self.horizon_days,
            bins: self.bins.len(),
            members: (self.members.into_iter().enumerate())
                .map(|(position, entry)| entry.read(position))
                .collect::<Result<_, _>>()?,
            turns: (self.turns.into_iter())
                .map(|entry| TurnInput {
                    bin: BinIndex(entry.bin),
                    day: entry.day,
                    places: entry.need,
                    effort: entry.weight,
                })
                .collect(),
            apart: (self.apart.into_iter())
                .map(|(one, other)| (MemberIndex(one), MemberIndex(other)))
                .collect(),
            kept: places(&self.locked),
            in_force: self.published.map(|published| InForceInput {
                places: places(&published),
                first_open_day: self.replan_from.unwrap_or(0),
            }),
        })
    }
}

/// A solution as it stands in its file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SolutionFile {
    /// Member and turn of each place, by position.
    pub assign: Vec<(usize, usize)>,
}

impl From<&Plan> for SolutionFile {
    fn from(plan: &Plan) -> Self {
        Self {
            assign: plan.places().map(|(m, t)| (m.0, t.0)).collect(),
        }
    }
}
