//! The aims, their order, and what a plan reaches of each.

use super::index::{MemberIndex, TurnIndex};
use super::plan::Plan;
use super::snapshot::Snapshot;
use crate::coded::coded;
use std::cmp::Ordering;

coded! {
    /// What a plan is judged by.
    Aim {
        /// Places that nobody holds: fewer is better.
        EmptyPlaces = "empty_places",
        /// Places that differ from the rota in force: fewer is better.
        Changes = "changes",
        /// Distance from the fair share: less is better.
        Fairness = "fairness",
        /// Wishes met less wishes crossed: more is better.
        Wishes = "wishes",
    }
}

/// The order of aims when a rota is drafted.
pub const DRAFTING: &[Aim] = &[Aim::EmptyPlaces, Aim::Fairness, Aim::Wishes];

/// The order of aims when a rota in force is planned anew. Changes come before fairness, so
/// that one absence does not move half the house for a fairness nobody notices.
pub const REPLANNING: &[Aim] = &[Aim::EmptyPlaces, Aim::Changes, Aim::Fairness, Aim::Wishes];

/// What a plan reaches of each aim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Score {
    /// Places that nobody holds.
    pub empty_places: i64,
    /// Places that differ from the rota in force; 0 when there is none.
    pub changes: i64,
    /// The number that [`Fairness`](super::fairness::Fairness) reckons.
    pub fairness: i64,
    /// The sum of wishes over all places.
    pub wishes: i64,
}

impl Score {
    /// The score of a plan.
    #[must_use]
    pub fn of(snapshot: &Snapshot, plan: &Plan) -> Self {
        let mut score = Self::default();
        let mut given = vec![0; snapshot.members().len()];
        for (at, turn) in snapshot.turns().iter().enumerate() {
            let on = plan.members_on(TurnIndex(at));
            let taken = i64::try_from(on.len()).unwrap_or(i64::MAX);
            score.empty_places += i64::from(turn.places) - taken;
            for member in on {
                given[member.0] += i64::from(turn.effort);
                score.wishes += snapshot.wish(*member, TurnIndex(at));
            }
        }
        score.fairness = snapshot.fairness().value(&given);
        if let Some(rota) = snapshot.in_force() {
            let (gone, come) = plan.difference(&rota.places);
            score.changes = i64::try_from(gone.len() + come.len()).unwrap_or(i64::MAX);
        }
        score
    }

    /// The value of one aim.
    #[must_use]
    pub const fn value(&self, aim: Aim) -> i64 {
        match aim {
            Aim::EmptyPlaces => self.empty_places,
            Aim::Changes => self.changes,
            Aim::Fairness => self.fairness,
            Aim::Wishes => self.wishes,
        }
    }

    /// Compares two scores aim by aim; `Less` is better. Changes count nothing when there is
    /// no rota in force, as they are 0 on both sides then.
    #[must_use]
    pub fn better(&self, other: &Self) -> Ordering {
        self.key().cmp(&other.key())
    }

    const fn key(&self) -> (i64, i64, i64, i64) {
        (self.empty_places, self.changes, self.fairness, -self.wishes)
    }
}

/// The aims of a snapshot in their order.
#[must_use]
pub fn aims(snapshot: &Snapshot) -> &'static [Aim] {
    if snapshot.in_force().is_some() {
        REPLANNING
    } else {
        DRAFTING
    }
}

/// A member's effort in a plan.
#[must_use]
pub fn given(snapshot: &Snapshot, plan: &Plan, member: MemberIndex) -> i64 {
    (plan.turns_of(member).iter())
        .map(|turn| i64::from(snapshot.turn(*turn).effort))
        .sum()
}
