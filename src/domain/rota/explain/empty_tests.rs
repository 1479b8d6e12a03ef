//! Why a place is empty: everybody is accounted for, and whoever could come really could.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::empty::empty;
use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::input::Input;
use crate::rota::making::{member, turn};
use crate::rota::plan::Plan;
use crate::rota::planner::{Planner, Progress};
use crate::rota::rules::{Broken, HardRule, broken};
use crate::rota::snapshot::Snapshot;
use crate::rota::trials::trials;

/// Protects the list from leaving somebody or some place out.
#[test]
fn everybody_is_asked_about_every_empty_place() {
    let (mut places, mut could) = (0, 0);
    for trial in trials(300) {
        let (snapshot, plan) = (&trial.snapshot, &trial.plan);
        let found = empty(snapshot, plan);
        for (at, turn) in snapshot.turns().iter().enumerate() {
            let on = plan.members_on(TurnIndex(at));
            let told = found.iter().find(|empty| empty.turn == TurnIndex(at));
            let missing = turn.place_count().saturating_sub(on.len());
            assert_eq!(told.map_or(0, |empty| empty.places), missing);
            let Some(told) = told else {
                continue;
            };
            let mut all: Vec<MemberIndex> = on.to_vec();
            all.extend(&told.could);
            all.extend(told.cannot.iter().map(|(member, _)| *member));
            all.sort_unstable();
            let everybody: Vec<_> = (0..snapshot.members().len()).map(MemberIndex).collect();
            assert_eq!(all, everybody, "seed {}", trial.seed);
            for (member, rules) in &told.cannot {
                assert!(!rules.is_empty());
                assert_eq!(rules, &broken(snapshot, plan, *member, told.turn));
            }
            for member in &told.could {
                let mut with = plan.clone();
                assert!(with.put((*member, told.turn)));
                assert_eq!(broken(snapshot, &with, *member, told.turn), []);
            }
            let counted: usize = told.by_rule().values().sum();
            let rules: usize = told.cannot.iter().map(|(_, rules)| rules.len()).sum();
            assert_eq!(counted, rules);
            places += missing;
            could += told.could.len();
        }
    }
    assert!(places > 100 && could > 10, "{places} {could}");
}

/// Protects the claim that a finished planner leaves no place that somebody could take.
#[test]
fn where_a_planner_is_done_nobody_could_come() {
    let (mut done, mut empty_turns) = (0, 0);
    for trial in trials(60) {
        let mut planner = Planner::new(trial.snapshot.clone(), trial.seed).unwrap();
        if planner.run(20_000) == Progress::Working {
            continue;
        }
        for turn in empty(&trial.snapshot, &planner.plan()) {
            assert_eq!(turn.could, [], "seed {}", trial.seed);
            empty_turns += 1;
        }
        done += 1;
    }
    assert!(done > 10 && empty_turns > 10, "{done} {empty_turns}");
}

/// Protects the counts with a turn that can be followed by hand.
#[test]
fn a_place_says_who_cannot_and_who_could() {
    let mut input = Input {
        days: 7,
        bins: 1,
        members: vec![member(), member(), member(), member()],
        turns: vec![turn(0), turn(2)],
        ..Input::default()
    };
    input.turns[1].places = 2;
    input.members[0].absences.push((1, 3));
    input.members[0].weekdays[2] = false;
    input.members[1].rest_days = 2;
    input.apart.push((MemberIndex(1), MemberIndex(3)));
    let snapshot = Snapshot::parse(input).unwrap();
    let [t0, t1] = [TurnIndex(0), TurnIndex(1)];
    let plan = Plan::from_places(&snapshot, [(MemberIndex(1), t0), (MemberIndex(3), t1)]);
    let found = empty(&snapshot, &plan);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].turn, found[0].places), (t1, 1));
    assert_eq!(found[0].could, [MemberIndex(2)]);
    let away = vec![
        Broken::Weekday { weekday: 2 },
        Broken::Absence { first: 1, last: 3 },
    ];
    let near = vec![
        Broken::Rest {
            other: 0,
            rest_days: 2,
        },
        Broken::Apart {
            other: MemberIndex(3),
        },
    ];
    assert_eq!(
        found[0].cannot,
        [(MemberIndex(0), away), (MemberIndex(1), near)]
    );
    let rules = [
        HardRule::Weekday,
        HardRule::Absence,
        HardRule::Rest,
        HardRule::Apart,
    ];
    assert_eq!(found[0].by_rule(), rules.map(|rule| (rule, 1)).into());
}
