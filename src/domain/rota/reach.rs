//! How much effort a member can be given at all.

use super::problem::{Member, Problem};
use std::collections::BTreeSet;

/// For each member the effort that they can reach, ascending, beginning with that of their
/// kept places.
///
/// Their own rest, days and bins are looked at, nobody else: what is not in here is out of
/// reach for sure, what is may still be.
pub(super) fn efforts(problem: &Problem) -> Vec<Vec<i64>> {
    let mut turns: Vec<Vec<(i32, i64, bool)>> = vec![Vec::new(); problem.members.len()];
    for (at, turn) in problem.turns.iter().enumerate() {
        for member in &turn.candidates {
            turns[*member].push((turn.day, turn.effort, problem.kept.has(*member, at)));
        }
    }
    (turns.into_iter().enumerate())
        .map(|(member, turns)| of_member(&problem.members[member], turns))
        .collect()
}

fn of_member(m: &Member, mut turns: Vec<(i32, i64, bool)>) -> Vec<i64> {
    turns.sort_unstable();
    let start: i64 = turns.iter().filter(|t| t.2).map(|t| t.1).sum();
    let free: Vec<(i32, i64)> = (turns.iter().filter(|t| !t.2))
        .map(|t| (t.0, t.1))
        .collect();
    let most = most_turns(&free, m.pace.rest, m.pace.most);
    let mut reached = BTreeSet::from([0_i64]);
    let efforts: BTreeSet<i64> = free.iter().map(|turn| turn.1).collect();
    let top = most_effort(&free, m.pace.rest);
    let mut newest = reached.clone();
    for _ in 0..most {
        newest = (newest.iter())
            .flat_map(|sum| efforts.iter().map(move |effort| sum + effort))
            .filter(|sum| *sum <= top && !reached.contains(sum))
            .collect();
        if newest.is_empty() {
            break;
        }
        reached.extend(&newest);
    }
    reached.into_iter().map(|sum| start + sum).collect()
}

/// Taking each turn as early as rest and the 28 days allow gives the most turns.
fn most_turns(free: &[(i32, i64)], rest: i32, most: usize) -> usize {
    let mut taken: Vec<i32> = Vec::new();
    for (day, _) in free {
        if taken.last().is_some_and(|last| day - last <= rest) {
            continue;
        }
        let full = taken.len() >= most
            && (most == 0 || taken.get(taken.len() - most).is_some_and(|d| day - d < 28));
        if !full {
            taken.push(*day);
        }
    }
    taken.len()
}

/// The most effort that rest alone allows.
fn most_effort(free: &[(i32, i64)], rest: i32) -> i64 {
    let mut best: Vec<i64> = vec![0];
    for (at, (day, effort)) in free.iter().enumerate() {
        let before = free[..at].partition_point(|(other, _)| day - other > rest);
        best.push(best[at].max(best[before] + effort));
    }
    best.last().copied().unwrap_or(0)
}
