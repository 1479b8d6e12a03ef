//! Why nobody holds a place.

use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::plan::Plan;
use crate::rota::rules::{Broken, HardRule, broken};
use crate::rota::snapshot::Snapshot;
use std::collections::BTreeMap;

/// A turn with empty places, and why it has them. Everybody who is not on it stands either in
/// `could` or in `cannot`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EmptyTurn {
    /// Which turn.
    pub turn: TurnIndex,
    /// How many of its places nobody holds; above zero.
    pub places: usize,
    /// Who could take a place as the plan stands, by position: there are such only where a
    /// planner was not finished, or somebody changed its plan.
    pub could: Vec<MemberIndex>,
    /// Who could not, by position, and every rule that would break. One person is asked about
    /// at a time: two who could only come together both stand here.
    pub cannot: Vec<(MemberIndex, Vec<Broken>)>,
}

impl EmptyTurn {
    /// For each rule how many would break it; somebody can count for several.
    #[must_use]
    pub fn by_rule(&self) -> BTreeMap<HardRule, usize> {
        let mut counts = BTreeMap::new();
        for broken in self.cannot.iter().flat_map(|(_, rules)| rules) {
            *counts.entry(broken.rule()).or_insert(0) += 1;
        }
        counts
    }
}

/// Why a turn has so many empty places.
#[must_use]
pub fn empty_turn(snapshot: &Snapshot, plan: &Plan, turn: TurnIndex, places: usize) -> EmptyTurn {
    let mut found = EmptyTurn {
        turn,
        places,
        could: Vec::new(),
        cannot: Vec::new(),
    };
    for member in not_on(snapshot, plan, turn) {
        let rules = broken(snapshot, plan, member, turn);
        if rules.is_empty() {
            found.could.push(member);
        } else {
            found.cannot.push((member, rules));
        }
    }
    found
}

/// Every turn with empty places, by position.
#[must_use]
pub fn empty(snapshot: &Snapshot, plan: &Plan) -> Vec<EmptyTurn> {
    empty_places(snapshot, plan)
        .map(|(turn, places)| empty_turn(snapshot, plan, turn, places))
        .collect()
}

/// The turns with places that nobody holds, and how many.
pub(super) fn empty_places<'a>(
    snapshot: &'a Snapshot,
    plan: &'a Plan,
) -> impl Iterator<Item = (TurnIndex, usize)> + 'a {
    (snapshot.turns().iter().enumerate())
        .map(|(at, turn)| {
            let taken = plan.members_on(TurnIndex(at)).len();
            (TurnIndex(at), turn.place_count().saturating_sub(taken))
        })
        .filter(|(_, places)| *places > 0)
}

/// Everybody who is not on a turn, by position.
pub(super) fn not_on<'a>(
    snapshot: &'a Snapshot,
    plan: &'a Plan,
    turn: TurnIndex,
) -> impl Iterator<Item = MemberIndex> + 'a {
    let on = plan.members_on(turn);
    (0..snapshot.members().len())
        .map(MemberIndex)
        .filter(|member| on.binary_search(member).is_err())
}
