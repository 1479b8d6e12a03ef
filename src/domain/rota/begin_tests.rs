//! Beginnings that are made to be hard.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::index::{MemberIndex, TurnIndex};
use super::input::{Input, MemberInput};
use super::making::{member, turn};
use super::plan::Plan;
use super::planner::Planner;
use super::refusal::Refusal;
use super::snapshot::Snapshot;

fn shy() -> MemberInput {
    MemberInput {
        not_alone: true,
        ..member()
    }
}

fn guide() -> MemberInput {
    MemberInput {
        experienced: true,
        ..member()
    }
}

/// On every day `each` turns of two places, one kept by a member who is not to be alone; after
/// those members come the ones given.
fn kept_by_the_shy(days: i32, each: usize, others: Vec<MemberInput>) -> Input {
    let mut turns = Vec::new();
    let mut kept = Vec::new();
    for day in 0..days {
        for member in 0..each {
            kept.push((MemberIndex(member), TurnIndex(turns.len())));
            turns.push(super::input::TurnInput {
                places: 2,
                ..turn(day)
            });
        }
    }
    Input {
        days: days.cast_unsigned(),
        bins: 1,
        members: [vec![shy(); each], others].concat(),
        turns,
        kept,
        ..Input::default()
    }
}

/// Protects the service's thread from kept places that somebody made up: company is found
/// for twenty thousand turns in a row on half a megabyte of stack.
#[test]
fn company_for_very_many_kept_places_needs_no_deep_stack() {
    let input = kept_by_the_shy(2_000, 10, vec![guide(); 10]);
    let snapshot = Snapshot::parse(input).unwrap();
    let planning = std::thread::Builder::new()
        .stack_size(512 * 1024)
        .spawn(move || {
            let plan = Planner::new(snapshot.clone(), 1).unwrap().plan();
            (plan, snapshot)
        })
        .unwrap();
    let (plan, snapshot): (Plan, Snapshot) = planning.join().unwrap();
    let (broken, missing) = plan.breaks(&snapshot);
    assert!(broken.is_empty() && missing.is_empty());
    assert!((0..20_000).all(|turn| plan.members_on(TurnIndex(turn)).len() == 2));
}

/// Protects the way back: who comes first to the first turn is the only one for the second.
#[test]
fn company_is_found_by_going_back() {
    let mut free_always = guide();
    free_always.rest_days = 3;
    let mut only_first = guide();
    only_first.weekdays = [true, false, false, false, false, false, false];
    let input = kept_by_the_shy(2, 1, vec![free_always, only_first]);
    let snapshot = Snapshot::parse(input).unwrap();
    let plan = Planner::new(snapshot, 1).unwrap().plan();
    assert_eq!(
        plan.members_on(TurnIndex(0)),
        [MemberIndex(0), MemberIndex(2)]
    );
    assert_eq!(
        plan.members_on(TurnIndex(1)),
        [MemberIndex(0), MemberIndex(1)]
    );
}

/// Protects whoever asks for what cannot be: they hear it, and which turn it is about.
#[test]
fn company_that_cannot_be_is_refused() {
    let mut rests = guide();
    rests.rest_days = 3;
    let input = kept_by_the_shy(2, 1, vec![rests]);
    let snapshot = Snapshot::parse(input).unwrap();
    assert_eq!(
        Planner::new(snapshot, 1).err(),
        Some(Refusal::NoCompany {
            member: MemberIndex(0),
            turn: TurnIndex(0)
        })
    );
}
