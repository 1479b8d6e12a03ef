//! Each hard rule is broken in turn, and seen.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::index::{BinIndex, MemberIndex, TurnIndex};
use super::input::{InForceInput, Input};
use super::making::{member, turn};
use super::plan::Plan;
use super::refusal::Refusal;
use super::rules::{Broken, HardRule, TABLE, broken};
use super::snapshot::Snapshot;

const M: [MemberIndex; 3] = [MemberIndex(0), MemberIndex(1), MemberIndex(2)];
const T: [TurnIndex; 3] = [TurnIndex(0), TurnIndex(1), TurnIndex(2)];

/// Three members, three turns of two places on days 0, 3 and 10, and nothing in the way.
fn open() -> Input {
    let mut turns = vec![turn(0), turn(3), turn(10)];
    for turn in &mut turns {
        turn.places = 2;
    }
    Input {
        days: 28,
        bins: 2,
        members: vec![member(), member(), member()],
        turns,
        ..Input::default()
    }
}

/// What breaks for the first member on the second turn, others as given.
fn breaks(input: Input, places: &[(MemberIndex, TurnIndex)]) -> Vec<Broken> {
    let snapshot = Snapshot::parse(input).unwrap();
    let plan = Plan::from_places(&snapshot, places.iter().copied());
    broken(&snapshot, &plan, M[0], T[1])
}

#[test]
fn nothing_is_in_the_way_of_an_open_place() {
    assert_eq!(
        breaks(open(), &[(M[0], T[0]), (M[0], T[2]), (M[1], T[1])]),
        []
    );
}

#[test]
fn a_weekday_that_does_not_work() {
    let mut input = open();
    input.members[0].weekdays[3] = false;
    assert_eq!(breaks(input, &[]), [Broken::Weekday { weekday: 3 }]);
}

#[test]
fn an_absence_counts_on_its_first_and_last_day() {
    for (first, last) in [(3, 8), (1, 3)] {
        let mut input = open();
        input.members[0].absences.push((first, last));
        assert_eq!(breaks(input, &[]), [Broken::Absence { first, last }]);
    }
    let mut input = open();
    input.members[0].absences.extend([(0, 2), (4, 9)]);
    assert_eq!(breaks(input, &[]), []);
}

#[test]
fn a_bin_without_training() {
    let mut input = open();
    input.turns[1].bin = BinIndex(1);
    let bin = BinIndex(1);
    assert_eq!(breaks(input, &[]), [Broken::Trained { bin }]);
}

#[test]
fn rest_counts_free_days_and_earlier_turns() {
    let mut input = open();
    input.members[0].rest_days = 3;
    let broken = Broken::Rest {
        other: 0,
        rest_days: 3,
    };
    assert_eq!(breaks(input.clone(), &[(M[0], T[0])]), [broken]);
    input.members[0].rest_days = 2;
    assert_eq!(breaks(input.clone(), &[(M[0], T[0])]), []);
    input.members[0].rest_days = 4;
    input.members[0].past.push(-1);
    let broken = Broken::Rest {
        other: -1,
        rest_days: 4,
    };
    assert_eq!(breaks(input, &[]), [broken]);
}

#[test]
fn the_most_in_28_days_counts_earlier_turns() {
    let mut input = open();
    input.members[0].most_in_28_days = Some(2);
    input.members[0].past.push(-24);
    let broken = Broken::MostIn28Days {
        first: -24,
        last: 3,
        most: 2,
    };
    assert_eq!(breaks(input.clone(), &[(M[0], T[0])]), [broken]);
    input.members[0].past[0] = -25;
    assert_eq!(breaks(input, &[(M[0], T[0])]), []);
}

#[test]
fn a_turn_without_a_place_left() {
    let found = breaks(open(), &[(M[1], T[1]), (M[2], T[1])]);
    assert_eq!(found, [Broken::Places { places: 2 }]);
}

#[test]
fn who_is_not_to_be_alone_needs_somebody_experienced() {
    let mut input = open();
    input.members[0].not_alone = true;
    assert_eq!(
        breaks(input.clone(), &[(M[1], T[1])]),
        [Broken::NotAlone { member: M[0] }]
    );
    input.members[1].experienced = true;
    assert_eq!(breaks(input, &[(M[1], T[1])]), []);
    let mut beside = open();
    beside.members[1].not_alone = true;
    assert_eq!(
        breaks(beside, &[(M[1], T[1])]),
        [Broken::NotAlone { member: M[1] }]
    );
}

#[test]
fn a_pair_kept_apart() {
    let mut input = open();
    input.apart.push((M[2], M[0]));
    assert_eq!(
        breaks(input.clone(), &[(M[2], T[1])]),
        [Broken::Apart { other: M[2] }]
    );
    assert_eq!(breaks(input, &[(M[1], T[1])]), []);
}

#[test]
fn a_day_that_may_not_change() {
    let mut input = open();
    input.in_force = Some(InForceInput {
        places: vec![(M[1], T[1])],
        first_open_day: 4,
    });
    assert_eq!(
        breaks(input.clone(), &[]),
        [Broken::Open { first_open_day: 4 }]
    );
    input.in_force = Some(InForceInput {
        places: vec![(M[0], T[1])],
        first_open_day: 4,
    });
    assert_eq!(breaks(input, &[]), []);
}

#[test]
fn every_rule_stands_in_the_table_once() {
    let table: Vec<HardRule> = TABLE.iter().map(|(rule, _)| *rule).collect();
    assert_eq!(table, HardRule::ALL);
}

#[test]
fn a_kept_place_that_breaks_a_rule_is_refused_with_the_rule() {
    let mut input = open();
    input.members[0].weekdays[3] = false;
    input.kept.push((M[0], T[1]));
    let expected = Refusal::KeptBreaks {
        member: M[0],
        turn: T[1],
        broken: Broken::Weekday { weekday: 3 },
    };
    assert_eq!(Snapshot::parse(input).unwrap_err(), expected);
}

#[test]
fn a_kept_place_that_nobody_can_stand_beside_is_refused() {
    let mut input = open();
    input.members[0].not_alone = true;
    input.kept.push((M[0], T[1]));
    let refused = Snapshot::parse(input).unwrap_err();
    assert!(matches!(refused, Refusal::KeptBreaks { turn, .. } if turn == T[1]));
}

#[test]
fn numbers_outside_their_limits_are_refused_by_entry() {
    let refused = |change: fn(&mut Input)| {
        let mut input = open();
        change(&mut input);
        Snapshot::parse(input).unwrap_err().to_string()
    };
    assert_eq!(
        refused(|i| i.members[1].share = 0),
        "member 1: share is 0, not within 1 to 400"
    );
    assert_eq!(
        refused(|i| i.turns[2].places = 10_000),
        "turn 2: places is 10000, not within 1 to 100"
    );
    assert_eq!(
        refused(|i| i.turns[2].day = 28),
        "turn 2: day is 28, not within 0 to 27"
    );
    assert_eq!(
        refused(|i| i.turns[0].bin = BinIndex(2)),
        "turns 0: there is no bin 2"
    );
    assert_eq!(
        refused(|i| i.members[0].bins.push(BinIndex(7))),
        "members 0: there is no bin 7"
    );
    assert_eq!(
        refused(|i| i.kept.push((MemberIndex(3), T[0]))),
        "kept 0: there is no member 3"
    );
    assert_eq!(
        refused(|i| i.kept.push((M[0], TurnIndex(9)))),
        "kept 0: there is no turn 9"
    );
    assert_eq!(
        refused(|i| i.kept.extend([(M[0], T[0]), (M[0], T[0])])),
        "kept 1: member 0 on turn 0 stands there twice"
    );
    assert_eq!(
        refused(|i| i.apart.push((M[1], M[1]))),
        "apart 0: member 1 cannot be kept apart from themselves"
    );
    assert_eq!(
        refused(|i| i.members[2].absences.push((5, 4))),
        "member 2: an absence ends on day 4 before it begins on day 5"
    );
    assert_eq!(
        refused(|i| i.members[0].past.push(0)),
        "member 0: day of an earlier turn is 0, not within -3653 to -1"
    );
    assert_eq!(
        refused(|i| i.members[0].wishes[2] = 2),
        "member 0: wish is 2, not within -1 to 1"
    );
    assert_eq!(
        refused(|i| i.members = vec![member(); 10_001]),
        "10001 members: at most 10000"
    );
    assert_eq!(
        refused(|i| {
            i.members[0].share = 397;
            i.members[1].share = 389;
            i.members[2].share = 383;
        }),
        "the shares have the least common multiple 59147839: at most 5000000"
    );
    assert_eq!(
        refused(|i| {
            for (m, share) in i.members.iter_mut().zip([397, 389, 1]) {
                m.share = share;
                m.balance = 1_000_000;
            }
        }),
        "balances and effort are too large to reckon fairness exactly"
    );
}
