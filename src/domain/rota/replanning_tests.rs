//! What changes when something happens to a rota in force: exactly these places, no others.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::index::{MemberIndex, Place, TurnIndex};
use super::input::{InForceInput, Input, TurnInput};
use super::making::{member, turn};
use super::planner::{Planner, Progress};
use super::score::Score;
use super::snapshot::Snapshot;
use std::fmt::Write as _;

/// Six members and ten turns of two places, every third day. Member 5 is not to be alone;
/// members 0, 1 and 2 are experienced. Everybody rests four days.
fn in_force() -> Input {
    let places: Vec<Place> = [
        [0, 3],
        [1, 4],
        [2, 5],
        [0, 3],
        [1, 4],
        [2, 5],
        [0, 3],
        [1, 4],
        [2, 5],
        [0, 3],
    ]
    .iter()
    .enumerate()
    .flat_map(|(at, on)| on.map(|member| (MemberIndex(member), TurnIndex(at))))
    .collect();
    let turns = (0..10).map(|at| TurnInput {
        places: 2,
        ..turn(at * 3)
    });
    let mut input = Input {
        days: 35,
        bins: 1,
        members: vec![member(); 6],
        turns: turns.collect(),
        ..Input::default()
    };
    for (at, member) in input.members.iter_mut().enumerate() {
        member.rest_days = 4;
        member.experienced = at < 3;
        member.not_alone = at == 5;
        // Whom a draw would leave open is settled by wishes.
        member.wishes = [0; 7];
        member.wishes[at] = 1;
    }
    input.in_force = Some(InForceInput {
        places,
        first_open_day: 6,
    });
    input
}

/// The best plan's score and what it changes, by day, with who goes and who comes.
fn planned(input: Input) -> (Score, Vec<Place>, String) {
    let snapshot = Snapshot::parse(input).unwrap();
    let mut planner = Planner::new(snapshot.clone(), 1).unwrap();
    assert_eq!(planner.run(400_000), Progress::Proven);
    let (gone, come) = (planner.plan()).difference(&snapshot.in_force().unwrap().places);
    let mut said = String::new();
    for (at, turn) in snapshot.turns().iter().enumerate() {
        for (sign, places) in [("-", &gone), ("+", &come)] {
            for (member, _) in places.iter().filter(|place| place.1.0 == at) {
                write!(said, "{sign}{member} on day {}; ", turn.day).unwrap();
            }
        }
    }
    let score = planner.score();
    write!(said, "empty {}", score.empty_places).unwrap();
    (score, come, said)
}

/// Plans anew after something happened and holds the difference; nothing else would have
/// been as good: with any of the new places barred, the plan is worse.
fn changes(what_happened: impl FnOnce(&mut Input), expected: &str) {
    let mut input = in_force();
    what_happened(&mut input);
    let (score, come, said) = planned(input.clone());
    assert_eq!(said, expected);
    for (member, turn) in come {
        let mut barred = input.clone();
        let day = barred.turns[turn.0].day;
        barred.members[member.0].absences.push((day, day));
        let (other, ..) = planned(barred);
        assert!(
            score.better(&other).is_lt(),
            "as good without member {member} on day {day}: {other:?}"
        );
    }
}

/// Protects everybody from being moved about for nothing.
#[test]
fn nothing_happens_and_nothing_changes() {
    changes(|_| (), "empty 0");
}

/// Protects the others when one is away for a day: nobody who has rested is free then, so two
/// trade places, and of those who could it is the one who likes the day.
#[test]
fn an_absence_of_a_day_is_one_trade() {
    changes(
        |input| input.members[4].absences.push((12, 12)),
        "-4 on day 12; +5 on day 12; -5 on day 15; +4 on day 15; empty 0",
    );
}

/// Protects who is not to be alone: for their companion comes another who is experienced.
#[test]
fn the_companion_is_away_and_trades_with_another() {
    changes(
        |input| input.members[2].absences.push((15, 15)),
        "-1 on day 12; +2 on day 12; -2 on day 15; +1 on day 15; empty 0",
    );
}

/// Protects the days that are over: an absence there is told too late.
#[test]
fn an_absence_on_a_closed_day_leaves_a_place_empty() {
    changes(
        |input| input.members[4].absences.push((3, 3)),
        "-4 on day 3; empty 1",
    );
}

/// Protects those who have places when somebody new comes: nobody is moved for them.
#[test]
fn a_new_member_takes_nothing_away() {
    changes(
        |input| {
            let mut new = member();
            new.balance = -4;
            input.members.push(new);
        },
        "empty 0",
    );
}

/// Protects everybody else when one leaves and another has come: it is they who cover.
#[test]
fn a_member_who_leaves_is_covered_by_the_new_one_alone() {
    changes(
        |input| {
            let mut new = member();
            new.rest_days = 4;
            input.members.push(new);
            input.members[3].absences.push((6, 35));
        },
        "-3 on day 9; +6 on day 9; -3 on day 18; +6 on day 18; -3 on day 27; +6 on day 27; empty 0",
    );
}
