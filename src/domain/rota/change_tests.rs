//! A change by hand is judged as the whole plan after it would be.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::change::{Change, ChangeRefusal, apply, judge};
use super::index::{MemberIndex, Place, TurnIndex};
use super::input::{InForceInput, Input};
use super::making::{member, turn};
use super::plan::Plan;
use super::random::Random;
use super::rules::{Broken, HardRule, broken};
use super::score::Score;
use super::snapshot::Snapshot;
use super::trials::{Trial, trials};
use std::collections::BTreeSet;

const M: [MemberIndex; 4] = [
    MemberIndex(0),
    MemberIndex(1),
    MemberIndex(2),
    MemberIndex(3),
];
const T: [TurnIndex; 3] = [TurnIndex(0), TurnIndex(1), TurnIndex(2)];

/// Three members; turns of two places on days 0, 3 and 10.
fn open() -> Input {
    let mut turns = vec![turn(0), turn(3), turn(10)];
    for turn in &mut turns {
        turn.places = 2;
    }
    Input {
        days: 28,
        bins: 1,
        members: vec![member(), member(), member()],
        turns,
        ..Input::default()
    }
}

fn with(input: Input, places: &[Place]) -> (Snapshot, Plan) {
    let snapshot = Snapshot::parse(input).unwrap();
    let plan = Plan::from_places(&snapshot, places.iter().copied());
    (snapshot, plan)
}

/// A change that can be made, invented; and what it gives up and takes, written down here once
/// more.
fn any_change(trial: &Trial, random: &mut Random) -> Option<(Change, Vec<Place>, Vec<Place>)> {
    let members = trial.snapshot.members().len();
    let turns = trial.snapshot.turns().len();
    let held: Vec<Place> = trial.plan.places().collect();
    let from = *held.get(random.below(held.len()))?;
    let other = *held.get(random.below(held.len()))?;
    let member = MemberIndex(random.below(members));
    let to = TurnIndex(random.below(turns));
    let (change, gone, come) = match random.below(5) {
        0 => (Change::Assign((member, to)), vec![], vec![(member, to)]),
        1 => (Change::Unassign(from), vec![from], vec![]),
        2 => (Change::Move { from, to }, vec![from], vec![(from.0, to)]),
        3 => {
            let change = Change::HandOver { from, to: member };
            (change, vec![from], vec![(member, from.1)])
        }
        _ => (
            Change::Trade(from, other),
            vec![from, other],
            vec![(from.0, other.1), (other.0, from.1)],
        ),
    };
    (!come.iter().any(|place| held.contains(place))).then_some((change, gone, come))
}

fn all_broken(snapshot: &Snapshot, plan: &Plan) -> Vec<(MemberIndex, TurnIndex, Broken)> {
    let mut found = Vec::new();
    for (member, turn) in plan.places() {
        for rule in broken(snapshot, plan, member, turn) {
            found.push((member, turn, rule));
        }
    }
    found
}

/// Protects against a judgement that looks at too few places: it must agree with every rule
/// asked anew for every place of the whole plan, before and after.
#[test]
fn a_judgement_is_what_the_whole_plan_says() {
    let (mut judged, mut bad, mut beside) = (0, 0, 0);
    for trial in trials(300) {
        let (snapshot, plan) = (&trial.snapshot, &trial.plan);
        let mut random = Random::new(trial.seed);
        for _ in 0..20 {
            let Some((change, gone, come)) = any_change(&trial, &mut random) else {
                continue;
            };
            let kept = plan.places().filter(|place| !gone.contains(place));
            let after = Plan::from_places(snapshot, kept.chain(come.iter().copied()));
            assert_eq!(apply(snapshot, plan, change), Ok(after.clone()));
            let before: BTreeSet<(MemberIndex, TurnIndex, HardRule)> = all_broken(snapshot, plan)
                .into_iter()
                .map(|(member, turn, rule)| (member, turn, rule.rule()))
                .collect();
            let expected: Vec<_> = all_broken(snapshot, &after)
                .into_iter()
                .filter(|(member, turn, rule)| !before.contains(&(*member, *turn, rule.rule())))
                .collect();
            let judgement = judge(snapshot, plan, change).unwrap();
            assert_eq!(judgement.hard, expected, "seed {}: {change:?}", trial.seed);
            let missing: BTreeSet<Place> = plan.breaks(snapshot).1.into_iter().collect();
            let lost: BTreeSet<Place> = (after.breaks(snapshot).1.into_iter())
                .filter(|place| !missing.contains(place))
                .collect();
            assert_eq!(
                judgement.kept.iter().copied().collect::<BTreeSet<_>>(),
                lost
            );
            let (was, is) = (Score::of(snapshot, plan), Score::of(snapshot, &after));
            let difference = Score {
                empty_places: is.empty_places - was.empty_places,
                changes: is.changes - was.changes,
                fairness: is.fairness - was.fairness,
                wishes: is.wishes - was.wishes,
            };
            assert_eq!(judgement.difference, difference, "seed {}", trial.seed);
            judged += 1;
            bad += u32::from(!judgement.hard.is_empty());
            let elsewhere = |(member, turn, _): &(MemberIndex, TurnIndex, Broken)| {
                !come.contains(&(*member, *turn))
            };
            beside += u32::from(judgement.hard.iter().any(elsewhere));
        }
    }
    assert!(
        judged > 1_000 && bad > 300 && beside > 100,
        "{judged} {bad} {beside}"
    );
}

/// Protects the not-alone member whom nobody has touched.
#[test]
fn whoever_goes_may_leave_somebody_alone() {
    let mut input = open();
    input.members[0].experienced = true;
    input.members[1].not_alone = true;
    let (snapshot, plan) = with(input, &[(M[0], T[0]), (M[1], T[0])]);
    let alone = Broken::NotAlone { member: M[1] };
    for change in [
        Change::Unassign((M[0], T[0])),
        Change::Move {
            from: (M[0], T[0]),
            to: T[1],
        },
    ] {
        let judgement = judge(&snapshot, &plan, change).unwrap();
        assert_eq!(judgement.hard, [(M[1], T[0], alone)]);
        assert!(!judgement.is_allowed());
    }
    let together = judge(&snapshot, &plan, Change::Unassign((M[1], T[0]))).unwrap();
    assert!(together.is_allowed());
}

/// Protects trades from being refused for what is no longer so once both are done: places of
/// full turns, rest, and pairs that only meet half-way.
#[test]
fn a_trade_is_judged_after_both_have_moved() {
    let mut input = open();
    for turn in &mut input.turns {
        turn.places = 1;
    }
    input.members[0].rest_days = 6;
    input.members[1].rest_days = 6;
    input.apart.push((M[0], M[1]));
    let (snapshot, plan) = with(input, &[(M[0], T[0]), (M[1], T[1])]);
    let trade = Change::Trade((M[0], T[0]), (M[1], T[1]));
    let judgement = judge(&snapshot, &plan, trade).unwrap();
    assert!(judgement.is_allowed(), "{judgement:?}");
    assert_eq!(judgement.difference, Score::default());
    let after = apply(&snapshot, &plan, trade).unwrap();
    assert_eq!(
        after.places().collect::<Vec<_>>(),
        [(M[0], T[1]), (M[1], T[0])]
    );
    let over = Change::HandOver {
        from: (M[0], T[0]),
        to: M[1],
    };
    let judgement = judge(&snapshot, &plan, over).unwrap();
    let rest = |other| Broken::Rest {
        other,
        rest_days: 6,
    };
    assert_eq!(
        judgement.hard,
        [(M[1], T[0], rest(3)), (M[1], T[1], rest(0))]
    );
}

/// Protects what somebody has promised and days that are closed: giving up such a place breaks
/// no rule of any place that is left.
#[test]
fn kept_places_and_closed_days_are_told() {
    let mut input = open();
    input.kept.push((M[0], T[2]));
    input.in_force = Some(InForceInput {
        places: vec![(M[1], T[0]), (M[0], T[2])],
        first_open_day: 3,
    });
    let (snapshot, plan) = with(input, &[(M[1], T[0]), (M[0], T[2])]);
    for place in [(M[0], T[2]), (M[1], T[0])] {
        let judgement = judge(&snapshot, &plan, Change::Unassign(place)).unwrap();
        assert_eq!(
            (judgement.hard.len(), &judgement.kept[..]),
            (0, &[place][..])
        );
        assert!(!judgement.is_allowed());
        assert_eq!(judgement.difference.changes, 1);
        assert_eq!(judgement.difference.empty_places, 1);
    }
    let judgement = judge(&snapshot, &plan, Change::Assign((M[2], T[0]))).unwrap();
    let closed = Broken::Open { first_open_day: 3 };
    assert_eq!(judgement.hard, [(M[2], T[0], closed)]);
}

/// Protects that a change is not blamed for what was broken before it.
#[test]
fn what_was_broken_before_is_not_held_against_a_change() {
    let mut input = open();
    input.members[0].weekdays[0] = false;
    input.members[2].wishes[3] = -1;
    let (snapshot, plan) = with(input, &[(M[0], T[0])]);
    let judgement = judge(&snapshot, &plan, Change::Assign((M[0], T[1]))).unwrap();
    assert!(judgement.is_allowed() && judgement.against.is_empty());
    let judgement = judge(&snapshot, &plan, Change::Assign((M[2], T[1]))).unwrap();
    assert_eq!(judgement.against, [(M[2], T[1])]);
    assert_eq!(judgement.difference.wishes, -1);
    let there = Plan::empty(&snapshot);
    let judgement = judge(&snapshot, &there, Change::Assign((M[0], T[0]))).unwrap();
    assert_eq!(
        judgement.hard,
        [(M[0], T[0], Broken::Weekday { weekday: 0 })]
    );
}

/// Protects a plan from changes that cannot be meant, and the program from positions that are
/// not there.
#[test]
fn there_is_no_change_of_what_is_not_there() {
    let (snapshot, plan) = with(open(), &[(M[0], T[0]), (M[1], T[0]), (M[1], T[1])]);
    let refused = |change| {
        let refusal = apply(&snapshot, &plan, change).unwrap_err();
        assert_eq!(judge(&snapshot, &plan, change), Err(refusal));
        refusal
    };
    assert_eq!(
        refused(Change::Unassign((M[2], T[0]))),
        ChangeRefusal::NotThere((M[2], T[0]))
    );
    assert_eq!(
        refused(Change::Assign((M[0], T[0]))),
        ChangeRefusal::ThereAlready((M[0], T[0]))
    );
    assert_eq!(
        refused(Change::Trade((M[0], T[0]), (M[1], T[1]))),
        ChangeRefusal::ThereAlready((M[1], T[0]))
    );
    assert_eq!(
        refused(Change::Trade((M[1], T[0]), (M[1], T[1]))),
        ChangeRefusal::ThereAlready((M[1], T[1]))
    );
    assert_eq!(
        refused(Change::Assign((M[3], T[0]))),
        ChangeRefusal::UnknownMember(M[3])
    );
    let from = (M[0], T[0]);
    let to = TurnIndex(3);
    assert_eq!(
        refused(Change::Move { from, to }),
        ChangeRefusal::UnknownTurn(to)
    );
}
