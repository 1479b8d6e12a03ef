//! Who is on which turn.

use super::index::{MemberIndex, Place, TurnIndex};
use super::rules::{Broken, broken};
use super::snapshot::Snapshot;
use std::collections::BTreeSet;

/// Who is on which turn. The planner's plans keep every hard rule; one built by hand may not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    on: Vec<Vec<MemberIndex>>,
    of: Vec<Vec<TurnIndex>>,
}

impl Plan {
    /// Nobody on any turn.
    #[must_use]
    pub fn empty(snapshot: &Snapshot) -> Self {
        Self {
            on: vec![Vec::new(); snapshot.turns().len()],
            of: vec![Vec::new(); snapshot.members().len()],
        }
    }

    /// The plan with these places; what is not in the snapshot is left out.
    #[must_use]
    pub fn from_places(snapshot: &Snapshot, places: impl IntoIterator<Item = Place>) -> Self {
        let mut plan = Self::empty(snapshot);
        for place in places {
            plan.put(place);
        }
        plan
    }

    /// Puts a member on a turn; false if they were there or one of the two is unknown.
    pub fn put(&mut self, (member, turn): Place) -> bool {
        let (Some(on), Some(of)) = (self.on.get_mut(turn.0), self.of.get_mut(member.0)) else {
            return false;
        };
        let Err(at) = on.binary_search(&member) else {
            return false;
        };
        on.insert(at, member);
        let at = of.partition_point(|other| *other < turn);
        of.insert(at, turn);
        true
    }

    /// Takes a member off a turn; false if they were not on it.
    pub fn take(&mut self, (member, turn): Place) -> bool {
        let (Some(on), Some(of)) = (self.on.get_mut(turn.0), self.of.get_mut(member.0)) else {
            return false;
        };
        let Ok(at) = on.binary_search(&member) else {
            return false;
        };
        on.remove(at);
        of.retain(|other| *other != turn);
        true
    }

    /// Who is on a turn, by position; nobody on an unknown one.
    #[must_use]
    pub fn members_on(&self, turn: TurnIndex) -> &[MemberIndex] {
        self.on.get(turn.0).map_or(&[], Vec::as_slice)
    }

    /// The turns of a member, by position; none for an unknown one.
    #[must_use]
    pub fn turns_of(&self, member: MemberIndex) -> &[TurnIndex] {
        self.of.get(member.0).map_or(&[], Vec::as_slice)
    }

    /// Every place, by member and turn.
    pub fn places(&self) -> impl Iterator<Item = Place> + '_ {
        self.of
            .iter()
            .enumerate()
            .flat_map(|(member, turns)| turns.iter().map(move |turn| (MemberIndex(member), *turn)))
    }

    /// Every place that breaks a rule, with the rules, and the kept places that are missing.
    #[must_use]
    pub fn breaks(&self, snapshot: &Snapshot) -> (Vec<(Place, Vec<Broken>)>, Vec<Place>) {
        let found = self
            .places()
            .map(|place| (place, broken(snapshot, self, place.0, place.1)))
            .filter(|(_, rules)| !rules.is_empty())
            .collect();
        let missing = snapshot
            .kept()
            .iter()
            .copied()
            .filter(|(member, turn)| !self.members_on(*turn).contains(member))
            .collect();
        (found, missing)
    }

    /// What changes from a rota to this plan: the places given up and those taken on.
    #[must_use]
    pub fn difference(&self, rota: &BTreeSet<Place>) -> (Vec<Place>, Vec<Place>) {
        let mine: BTreeSet<Place> = self.places().collect();
        (
            rota.difference(&mine).copied().collect(),
            mine.difference(rota).copied().collect(),
        )
    }
}
