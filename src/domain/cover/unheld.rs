//! Free places that nobody gave up: which of them somebody is looked for, and from when on.
//!
//! A place of a rota that was left empty is no less needed than one whose holder is away. But of
//! several free turns that would all do, one is enough, and whoever is asked about the last of
//! them is asked with the most time. So one is looked for, as late as the bin lets it, and the
//! others are asked about again if nobody is found.

use super::course::{Bin, ComingTurn};
use super::manner::Manner;
use super::need::{Need, Reason, Verdict, need};
use chrono::{DateTime, Utc};

/// A turn that somebody is to be looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sought {
    /// Its position among the turns.
    pub turn: usize,
    /// Why.
    pub need: Need,
}

/// The turns that somebody must be looked for by now, so that people have as long to answer as
/// they may. `free` are the positions of those with a free place that nobody is looked for yet,
/// which must rise; where somebody is looked for already, the turn counts as held. Turns as for
/// [`need`].
#[must_use]
pub fn sought(
    bin: &Bin<'_>,
    turns: &[ComingTurn],
    free: &[usize],
    manner: &Manner,
    now: DateTime<Utc>,
) -> Vec<Sought> {
    let mut turns = turns.to_vec();
    let mut free = free.to_vec();
    let mut found = Vec::new();
    let mut from = 0;
    while from < free.len() {
        let Some(chosen) = last_that_does(bin, &turns, &free[from..]) else {
            from += 1;
            continue;
        };
        let last_moment = chosen.need.deadline.min(turns[chosen.turn].at);
        if now < manner.begin_at(last_moment) {
            from += 1;
            continue;
        }
        turns[chosen.turn].held += 1;
        free.retain(|at| *at != chosen.turn);
        found.push(chosen);
    }
    found.sort_by_key(|one| one.turn);
    found
}

/// If the bin needs the first of these free turns: the last of them that does as well, in time.
fn last_that_does(bin: &Bin<'_>, turns: &[ComingTurn], free: &[usize]) -> Option<Sought> {
    let first = *free.first()?;
    let needed = |turn: usize| {
        let need = need(bin, turns, turn)?;
        (need.verdict == Verdict::Needed).then_some(Sought { turn, need })
    };
    let asked = needed(first)?;
    let does = |at: &usize| {
        let turn = &turns[*at];
        let helps = match asked.need.reason {
            Reason::Starving => turn.feeds(),
            _ => turn.tends(),
        };
        helps && turn.at <= asked.need.deadline
    };
    let others = free[1..].iter().rev().filter(|at| does(at));
    Some(others.copied().find_map(needed).unwrap_or(asked))
}
