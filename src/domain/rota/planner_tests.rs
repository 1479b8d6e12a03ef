//! What the planner promises: the same plan for the same steps, and small changes.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::format::InstanceFile;
use super::index::{MemberIndex, TurnIndex};
use super::input::{InForceInput, Input};
use super::making::{Size, invented, member, turn};
use super::planner::{Planner, Progress};
use super::snapshot::Snapshot;
use std::fmt::Write as _;

const MIDDLE: Size = Size {
    members: 14,
    turns: 40,
    bins: 2,
    places: 2,
    effort: 2,
    gap: 3,
};

#[test]
fn the_same_steps_give_the_same_plan_however_they_are_sliced() {
    let mut different = 0;
    for seed in 0..4 {
        let Ok(snapshot) = Snapshot::parse(invented(seed, MIDDLE)) else {
            continue;
        };
        for total in [50, 700, 3_000] {
            let mut whole = Planner::new(snapshot.clone(), 7).unwrap();
            whole.run(total);
            let mut sliced = Planner::new(snapshot.clone(), 7).unwrap();
            for slice in [total / 7, total / 3, total - total / 7 - total / 3] {
                sliced.run(slice);
            }
            assert_eq!(whole.plan(), sliced.plan(), "seed {seed}, {total} steps");
            assert_eq!(whole.standings(), sliced.standings());
            let mut other = Planner::new(snapshot.clone(), 8).unwrap();
            other.run(total);
            different += u32::from(other.plan() != whole.plan());
        }
    }
    assert!(different > 0, "the seed says nothing");
}

#[test]
fn bounds_are_never_on_the_wrong_side() {
    let mut looked_at = 0;
    for seed in 0..20 {
        let Ok(snapshot) = Snapshot::parse(invented(seed, MIDDLE)) else {
            continue;
        };
        let Ok(mut planner) = Planner::new(snapshot.clone(), seed) else {
            continue;
        };
        for _ in 0..5 {
            planner.run(400);
            for standing in planner.standings() {
                let more = standing.aim == super::score::Aim::Wishes;
                let fine = if more {
                    standing.bound >= standing.value
                } else {
                    standing.bound <= standing.value
                };
                assert!(fine, "seed {seed}: {standing:?}");
                looked_at += 1;
            }
        }
        let (broken, missing) = planner.plan().breaks(&snapshot);
        assert!(broken.is_empty() && missing.is_empty());
    }
    assert!(looked_at > 100);
}

/// Four members take turns every third day; then one of them falls ill in the second week.
fn with_an_absence() -> Input {
    let turns: Vec<_> = (0..8).map(|at| turn(at * 3)).collect();
    let mut input = Input {
        days: 28,
        bins: 1,
        members: vec![member(); 4],
        turns,
        ..Input::default()
    };
    for (at, member) in input.members.iter_mut().enumerate() {
        member.rest_days = 4;
        member.wishes[at] = 1;
    }
    let places = (0..8)
        .map(|at| (MemberIndex(at % 4), TurnIndex(at)))
        .collect();
    input.members[0].absences.push((8, 14));
    input.in_force = Some(InForceInput {
        places,
        first_open_day: 6,
    });
    input
}

#[test]
fn an_absence_changes_no_more_than_it_must() {
    let snapshot = Snapshot::parse(with_an_absence()).unwrap();
    let mut planner = Planner::new(snapshot.clone(), 1).unwrap();
    assert_eq!(planner.run(200_000), Progress::Proven);
    let plan = planner.plan();
    let (gone, come) = plan.difference(&snapshot.in_force().unwrap().places);
    let mut said = String::new();
    for (sign, places) in [("-", gone), ("+", come)] {
        for (member, turn) in places {
            let day = snapshot.turn(turn).day;
            writeln!(said, "{sign} day {day}: member {member}").unwrap();
        }
    }
    let score = planner.score();
    write!(
        said,
        "empty {}, changes {}, fairness {}, wishes {}",
        score.empty_places, score.changes, score.fairness, score.wishes
    )
    .unwrap();
    assert_eq!(said, GOLDEN);
}

/// Only member 2 has rested on day 12.
const GOLDEN: &str = "\
- day 12: member 0
+ day 12: member 2
empty 0, changes 2, fairness 32, wishes 2";

#[test]
fn an_instance_file_is_read_and_its_ids_must_be_its_positions() {
    let text = r#"{"horizon_days": 7, "bins": ["A"], "other": 1,
        "turns": [{"id": ID, "bin": 0, "day": 2, "need": 1, "weight": 2}],
        "members": [{"id": 0, "weekdays": [1,1,1,1,1,1,0], "absences": [], "bins": [0],
            "max28": null, "rest": 1, "share": 4, "balance": -1, "pref": [0,0,1,0,0,0,-1],
            "experienced": true, "not_alone": false, "past": [-3]}],
        "apart": [], "locked": [[0, 0]], "published": null}"#;
    let file =
        |id: &str| -> InstanceFile { serde_json::from_str(&text.replace("ID", id)).unwrap() };
    let input = file("0").read().unwrap();
    let mut planner = Planner::new(Snapshot::parse(input).unwrap(), 1).unwrap();
    assert_eq!(planner.run(10_000), Progress::Proven);
    assert_eq!(
        (planner.score().empty_places, planner.score().wishes),
        (0, 1)
    );
    let error = file("1").read().unwrap_err();
    assert_eq!(
        error.to_string(),
        "turns: the entry at position 0 has the id 1"
    );
}

#[test]
fn nothing_to_do_is_done_at_once() {
    let snapshot = Snapshot::parse(Input::default()).unwrap();
    let mut planner = Planner::new(snapshot, 1).unwrap();
    assert_eq!(planner.run(10_000), Progress::Proven);
}
