//! Changes that people make to a plan by hand, and what each would break.
//!
//! A change is judged on the plan as it would be after the whole of it: of two who trade,
//! nobody is asked whether they could come before the other has gone, and somebody who goes
//! may leave another alone who is not to be.

use super::index::{MemberIndex, Place, TurnIndex};
use super::plan::Plan;
use super::rules::{Broken, HardRule, broken};
use super::score::{Score, given};
use super::snapshot::Snapshot;
use std::collections::BTreeSet;
use thiserror::Error;

/// A change made by hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// A member comes onto a turn.
    Assign(Place),
    /// A member goes from a turn, and their place stays empty.
    Unassign(Place),
    /// A member goes from their turn to another.
    Move {
        /// The place given up.
        from: Place,
        /// The turn that the same member comes onto.
        to: TurnIndex,
    },
    /// A member's place goes to somebody else.
    HandOver {
        /// The place given up.
        from: Place,
        /// Who takes it.
        to: MemberIndex,
    },
    /// Two members take each other's place.
    Trade(Place, Place),
}

/// Why there is no such change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum ChangeRefusal {
    /// A member that is not in the snapshot.
    #[error("there is no member {0}")]
    UnknownMember(MemberIndex),
    /// A turn that is not in the snapshot.
    #[error("there is no turn {0}")]
    UnknownTurn(TurnIndex),
    /// The member to go is not on the turn.
    #[error("member {} is not on turn {}", .0.0, .0.1)]
    NotThere(Place),
    /// The member to come is on the turn already.
    #[error("member {} is on turn {} already", .0.0, .0.1)]
    ThereAlready(Place),
}

/// What a change would do to a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judgement {
    /// Every place of the changed plan that breaks a rule which the same place did not break
    /// before, by member and turn. What was broken before and stays so is left out: somebody
    /// has accepted it, and this change is not to blame.
    pub hard: Vec<(MemberIndex, TurnIndex, Broken)>,
    /// Kept places that would be given up, those on closed days included.
    pub kept: Vec<Place>,
    /// New places on days that the member would rather not have.
    pub against: Vec<Place>,
    /// The score of the changed plan less that of the plan: empty places, changes, fairness
    /// and wishes.
    pub difference: Score,
}

impl Judgement {
    /// Whether the change breaks nothing that a planner would keep.
    #[must_use]
    pub const fn is_allowed(&self) -> bool {
        self.hard.is_empty() && self.kept.is_empty()
    }
}

impl Change {
    /// The places given up and those taken.
    fn places(self) -> (Vec<Place>, Vec<Place>) {
        match self {
            Self::Assign(place) => (vec![], vec![place]),
            Self::Unassign(place) => (vec![place], vec![]),
            Self::Move { from, to } => (vec![from], vec![(from.0, to)]),
            Self::HandOver { from, to } => (vec![from], vec![(to, from.1)]),
            Self::Trade(one, other) => (vec![one, other], vec![(one.0, other.1), (other.0, one.1)]),
        }
    }
}

/// The plan after a change, whatever it breaks.
///
/// # Errors
///
/// A [`ChangeRefusal`] when somebody to go is not there, somebody to come is there already, or
/// one of them or a turn is unknown.
pub fn apply(snapshot: &Snapshot, plan: &Plan, change: Change) -> Result<Plan, ChangeRefusal> {
    let (gone, come) = change.places();
    for (member, turn) in gone.iter().chain(&come) {
        if member.0 >= snapshot.members().len() {
            return Err(ChangeRefusal::UnknownMember(*member));
        }
        if turn.0 >= snapshot.turns().len() {
            return Err(ChangeRefusal::UnknownTurn(*turn));
        }
    }
    let there = |place: &&Place| plan.members_on(place.1).contains(&place.0);
    if let Some(place) = gone.iter().find(|place| !there(place)) {
        return Err(ChangeRefusal::NotThere(*place));
    }
    if let Some(place) = come.iter().find(there) {
        return Err(ChangeRefusal::ThereAlready(*place));
    }
    let mut after = plan.clone();
    for place in gone {
        after.take(place);
    }
    for place in come {
        after.put(place);
    }
    Ok(after)
}

/// What a change would break and what it would be worth.
///
/// # Errors
///
/// As [`apply`].
pub fn judge(snapshot: &Snapshot, plan: &Plan, change: Change) -> Result<Judgement, ChangeRefusal> {
    let after = apply(snapshot, plan, change)?;
    let (gone, come) = change.places();
    let touched: Vec<Place> = gone.iter().chain(&come).copied().collect();
    let before: BTreeSet<(Place, HardRule)> = near(plan, &touched)
        .into_iter()
        .flat_map(|place| {
            let rules = broken(snapshot, plan, place.0, place.1);
            rules.into_iter().map(move |broken| (place, broken.rule()))
        })
        .collect();
    let mut hard = Vec::new();
    for place in near(&after, &touched) {
        for broken in broken(snapshot, &after, place.0, place.1) {
            if !before.contains(&(place, broken.rule())) {
                hard.push((place.0, place.1, broken));
            }
        }
    }
    Ok(Judgement {
        hard,
        kept: (gone.iter().copied())
            .filter(|place| snapshot.is_kept(*place))
            .collect(),
        against: (come.iter().copied())
            .filter(|(member, turn)| snapshot.wish(*member, *turn) < 0)
            .collect(),
        difference: difference(snapshot, (plan, &after), &gone, &come),
    })
}

/// The places that a change can make a difference to: all of whoever comes or goes, and all of
/// the turns they come onto or go from.
fn near(plan: &Plan, touched: &[Place]) -> BTreeSet<Place> {
    let mut places = BTreeSet::new();
    for (member, turn) in touched {
        places.extend(plan.turns_of(*member).iter().map(|of| (*member, *of)));
        places.extend(plan.members_on(*turn).iter().map(|on| (*on, *turn)));
    }
    places
}

fn difference(
    snapshot: &Snapshot,
    (before, after): (&Plan, &Plan),
    gone: &[Place],
    come: &[Place],
) -> Score {
    let mut score = Score::default();
    let signed =
        (gone.iter().map(|place| (*place, -1))).chain(come.iter().map(|place| (*place, 1)));
    let mut members = BTreeSet::new();
    for (place, sign) in signed {
        members.insert(place.0);
        score.empty_places -= sign;
        score.wishes += sign * snapshot.wish(place.0, place.1);
        if let Some(rota) = snapshot.in_force() {
            let new = !rota.places.contains(&place);
            score.changes += if new { sign } else { -sign };
        }
    }
    for member in members {
        let part = |plan| {
            let given = given(snapshot, plan, member);
            snapshot.fairness().part(member, given)
        };
        score.fairness += part(after) - part(before);
    }
    score
}
