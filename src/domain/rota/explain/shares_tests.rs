//! What is fair adds up, and is what the aim of fairness means.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::Fraction;
use super::compare::compare;
use super::shares::shares;
use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::input::Input;
use crate::rota::making::{member, turn};
use crate::rota::plan::Plan;
use crate::rota::score::Score;
use crate::rota::snapshot::Snapshot;
use crate::rota::trials::trials;

/// Protects the sums that a reader will add up: shares make the total, and nothing but what
/// lies empty is missing from the differences.
#[test]
fn shares_and_differences_add_up_exactly() {
    let (mut full, mut with_empty) = (0, 0);
    for trial in trials(400) {
        let found = shares(&trial.snapshot, &trial.plan);
        let sum = |part: fn(&super::shares::Account) -> Fraction| -> i64 {
            let fractions = found.members.iter().map(part);
            fractions
                .inspect(|fraction| assert_eq!(fraction.of, found.shares))
                .map(|fraction| fraction.parts)
                .sum()
        };
        let seed = trial.seed;
        assert_eq!(sum(|a| a.part), found.total * found.shares, "seed {seed}");
        assert_eq!(sum(|a| a.fair), found.work * found.shares, "seed {seed}");
        assert_eq!(
            sum(|a| a.difference) + found.empty * found.shares,
            0,
            "seed {seed}"
        );
        let effort: i64 = found.members.iter().map(|a| a.effort).sum();
        assert_eq!(effort + found.empty, found.work, "seed {seed}");
        full += u32::from(found.empty == 0);
        with_empty += u32::from(found.empty != 0);
    }
    assert!(full > 10 && with_empty > 10, "{full} {with_empty}");
}

/// Protects that what people are told is fair is what the planner aims at: the aim's number
/// comes out of the differences alone.
#[test]
fn the_differences_are_those_of_the_aim() {
    for trial in trials(400) {
        let found = shares(&trial.snapshot, &trial.plan);
        // Shares in the trials are of 1 to 4 quarters; the aim uses their least common multiple.
        let common = (1..=12)
            .find(|q| {
                let divides = |m: &super::shares::Account| q % m.share == 0;
                found.members.iter().all(divides)
            })
            .unwrap();
        let squares: i128 = (found.members.iter())
            .map(|account| {
                let off = i128::from(account.difference.parts);
                off * off * i128::from(common / account.share)
            })
            .sum();
        let aim = i128::from(Score::of(&trial.snapshot, &trial.plan).fairness);
        assert_eq!(
            squares,
            aim * i128::from(found.shares),
            "seed {}",
            trial.seed
        );
    }
}

/// Protects the reckoning itself with numbers that can be followed by hand: 10 of work and 2
/// carried are 12; a full share is 8 of it, half a share 4.
#[test]
fn half_a_share_is_half_the_work_less_what_was_done_before() {
    let mut turns = vec![turn(0), turn(1), turn(2)];
    turns[0].effort = 5;
    turns[1].effort = 3;
    turns[2].effort = 2;
    let mut input = Input {
        days: 7,
        bins: 1,
        members: vec![member(), member()],
        turns,
        ..Input::default()
    };
    input.members[1].share = 2;
    input.members[1].balance = 2;
    let snapshot = Snapshot::parse(input).unwrap();
    let [a, b] = [MemberIndex(0), MemberIndex(1)];
    let places = [(a, TurnIndex(0)), (b, TurnIndex(1))];
    let plan = Plan::from_places(&snapshot, places);
    let found = shares(&snapshot, &plan);
    assert_eq!((found.work, found.carried, found.total), (10, 2, 12));
    assert_eq!((found.shares, found.empty), (6, 2));
    let of_b = found.members[1];
    assert_eq!((of_b.turns, of_b.effort, of_b.balance), (1, 3, 2));
    let sixths = |parts| Fraction { parts, of: 6 };
    assert_eq!((of_b.part, of_b.fair), (sixths(24), sixths(12)));
    assert_eq!(of_b.difference, sixths(6));
    assert_eq!(found.members[0].difference, sixths(-18));

    let beside = compare(&snapshot, &plan, &found, (b, a));
    assert_eq!((beside.effort, beside.by_balance), (-2, -2));
    assert_eq!((beside.by_share, beside.rest), (sixths(-24), sixths(24)));
}

/// Protects a comparison from leaving something unexplained.
#[test]
fn the_parts_of_a_comparison_make_the_difference_of_effort() {
    for trial in trials(60) {
        let found = shares(&trial.snapshot, &trial.plan);
        let all = || (0..found.members.len()).map(MemberIndex);
        for (one, other) in all().flat_map(|one| all().map(move |other| (one, other))) {
            let beside = compare(&trial.snapshot, &trial.plan, &found, (one, other));
            assert_eq!(
                beside.effort * found.shares,
                beside.by_share.parts + beside.by_balance * found.shares + beside.rest.parts,
                "seed {}",
                trial.seed
            );
            let (mine, theirs) = (found.members[one.0], found.members[other.0]);
            assert_eq!(beside.effort, mine.effort - theirs.effort);
            let back = compare(&trial.snapshot, &trial.plan, &found, (other, one));
            assert_eq!(beside.by_share.parts, -back.by_share.parts);
            assert_eq!(beside.by_balance, -back.by_balance);
            assert_eq!(beside.rest.parts, -back.rest.parts);
            assert_eq!(beside.limits_of_one, back.limits_of_other);
        }
    }
}

/// Protects rounding below zero, which is where it is mostly got wrong.
#[test]
fn halves_are_rounded_upwards() {
    let rounded = |parts| Fraction { parts, of: 4 }.rounded();
    assert_eq!(
        [-7, -6, -5, -2, -1, 0, 1, 2, 5, 6, 7].map(rounded),
        [-2, -1, -1, 0, 0, 0, 0, 1, 1, 2, 2]
    );
}
