//! Which of a member's limits cost them how many turns.

use crate::rota::index::{MemberIndex, TurnIndex, weekday};
use crate::rota::plan::Plan;
use crate::rota::rules::{Asked, HardRule, TABLE};
use crate::rota::snapshot::Snapshot;
use std::collections::BTreeMap;

/// The rules in the order in which they claim a turn: a turn that several shut counts for the
/// first of them. What lasts stands before what depends on the member's other turns, and that
/// before what depends on other people.
///
/// [`HardRule::Places`] is missing: that somebody else holds a turn is no limit of one's own.
pub const ORDER: &[HardRule] = &[
    HardRule::Open,
    HardRule::Weekday,
    HardRule::Absence,
    HardRule::Trained,
    HardRule::Rest,
    HardRule::MostIn28Days,
    HardRule::NotAlone,
    HardRule::Apart,
];

/// The front of [`ORDER`]: rules that look at the member and the day, and at nobody else.
pub const OWN: &[HardRule] = &[
    HardRule::Open,
    HardRule::Weekday,
    HardRule::Absence,
    HardRule::Trained,
    HardRule::Rest,
    HardRule::MostIn28Days,
];

/// Those that shut a turn whatever else the member does.
const LASTING: &[HardRule] = &[
    HardRule::Open,
    HardRule::Weekday,
    HardRule::Absence,
    HardRule::Trained,
];

/// How many turns a limit shuts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Shut {
    /// Turns that it shuts and no rule before it in the order: these add up.
    pub first: usize,
    /// Turns that it alone shuts: without it they would be within the member's limits.
    pub alone: usize,
}

/// How a member stands to every turn of the rota: held, shut or within their limits, each turn
/// once. `held + within` and all `shut[..].first` make the number of turns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    /// Turns that they hold.
    pub held: usize,
    /// Turns that they do not hold and that none of the rules looked at shuts.
    pub within: usize,
    /// Of `within`, those of which others hold every place.
    pub full: usize,
    /// Turns that they hold, and those that no lasting rule shuts: a day closed to change,
    /// their weekdays, absences and training. More they could not do, whoever else did what.
    pub at_all: usize,
    /// For each rule looked at what it shuts, zeros included.
    pub shut: BTreeMap<HardRule, Shut>,
    /// What the weekdays shut, Monday first: together `shut[weekday]`.
    pub weekdays: [Shut; 7],
}

/// The limits of a member with every rule of [`ORDER`]: for who looks after the site.
///
/// # Panics
///
/// When the member is not one of this snapshot's.
#[must_use]
pub fn limits(snapshot: &Snapshot, plan: &Plan, member: MemberIndex) -> Limits {
    limits_among(ORDER, snapshot, plan, member)
}

/// The limits of a member with the rules of [`OWN`] and no other: turns that only other people
/// stand in the way of are within the limits.
///
/// # Panics
///
/// When the member is not one of this snapshot's.
#[must_use]
pub fn own_limits(snapshot: &Snapshot, plan: &Plan, member: MemberIndex) -> Limits {
    limits_among(OWN, snapshot, plan, member)
}

fn limits_among(
    rules: &[HardRule],
    snapshot: &Snapshot,
    plan: &Plan,
    member: MemberIndex,
) -> Limits {
    let mut limits = Limits {
        held: 0,
        within: 0,
        full: 0,
        at_all: 0,
        shut: (rules.iter().map(|rule| (*rule, Shut::default()))).collect(),
        weekdays: [Shut::default(); 7],
    };
    for (at, turn) in snapshot.turns().iter().enumerate() {
        let on = plan.members_on(TurnIndex(at));
        if on.binary_search(&member).is_ok() {
            limits.held += 1;
            limits.at_all += 1;
            continue;
        }
        let shut = shut_by(rules, snapshot, plan, (member, TurnIndex(at)));
        limits.at_all += usize::from(!shut.iter().any(|rule| LASTING.contains(rule)));
        let Some(first) = shut.first() else {
            limits.within += 1;
            limits.full += usize::from(on.len() >= turn.place_count());
            continue;
        };
        let alone = usize::from(shut.len() == 1);
        let add = |shut: &mut Shut| {
            shut.first += 1;
            shut.alone += alone;
        };
        limits.shut.entry(*first).and_modify(add);
        if *first == HardRule::Weekday {
            add(&mut limits.weekdays[weekday(turn.day)]);
        }
    }
    limits
}

/// Which of these rules shut a turn to a member who is not on it, in the order given.
pub(super) fn shut_by(
    rules: &[HardRule],
    snapshot: &Snapshot,
    plan: &Plan,
    (member, turn): (MemberIndex, TurnIndex),
) -> Vec<HardRule> {
    let asked = Asked {
        snapshot,
        plan,
        member,
        turn,
    };
    let shuts = |rule: &HardRule| {
        if *rule == HardRule::Open {
            // Not by what is kept: which places of closed days are kept depends on the pairs
            // kept apart, and a member's view must not.
            let closed = |first| snapshot.turn(turn).day < first;
            return snapshot.first_open_day().is_some_and(closed);
        }
        let check = TABLE.iter().find(|(of, _)| of == rule);
        check.is_some_and(|(_, check)| check(&asked).is_some())
    };
    rules.iter().copied().filter(shuts).collect()
}
