//! Tests of what changes when a rhythm does.

use super::regenerate::{CalledOffBy, Change, Closure, Standing, changes};
use chrono::{Days, NaiveDate};
use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use std::collections::BTreeSet;

fn day(number: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 12, 1).unwrap() + Days::new(number)
}

fn open(number: u64) -> Standing {
    Standing {
        day: day(number),
        called_off: None,
        held: false,
        stranded: false,
    }
}

/// What a store does with the changes.
fn made(standing: &[Standing], changes: &[Change]) -> Vec<Standing> {
    let mut turns = standing.to_vec();
    for change in changes {
        let turn = turns.iter_mut().find(|turn| turn.day == change.day());
        match (change, turn) {
            (Change::Add(day), None) => turns.push(Standing {
                day: *day,
                ..open(0)
            }),
            (Change::Remove(day), Some(_)) => turns.retain(|turn| turn.day != *day),
            (Change::StrandHeld(_), Some(turn)) => turn.stranded = true,
            (Change::Unstrand(_), Some(turn)) => turn.stranded = false,
            (Change::CallOff { .. }, Some(turn)) => turn.called_off = Some(CalledOffBy::Closure),
            (Change::Reopen(_), Some(turn)) => turn.called_off = None,
            _ => panic!("{change:?} cannot be made"),
        }
    }
    turns
}

/// Guards each kind of change, by the day that stands for it.
#[test]
fn each_turn_changes_as_it_should() {
    let held = |turn| Standing { held: true, ..turn };
    let off = |turn, by| Standing {
        called_off: Some(by),
        ..turn
    };
    let stranded = |turn| Standing {
        stranded: true,
        ..turn
    };
    let standing = [
        held(open(0)),
        open(10),
        held(open(11)),
        off(open(12), CalledOffBy::Hand),
        off(open(13), CalledOffBy::Closure),
        stranded(held(open(14))),
        stranded(open(15)),
        open(20),
        stranded(held(open(21))),
        off(held(open(22)), CalledOffBy::Closure),
        off(open(23), CalledOffBy::Hand),
        held(open(30)),
        off(open(31), CalledOffBy::Hand),
        off(open(32), CalledOffBy::Closure),
        held(open(33)),
        open(34),
    ];
    let wanted = [1, 2, 20, 21, 22, 23, 24, 30, 31, 32, 35].map(day);
    let closures = [
        Closure {
            first: day(29),
            last: day(28),
        },
        Closure {
            first: day(30),
            last: day(35),
        },
        Closure {
            first: day(30),
            last: day(30),
        },
    ];
    assert_eq!(
        changes(&wanted, &standing, &closures, day(2)),
        [
            Change::Add(day(2)),
            Change::Remove(day(10)),
            Change::StrandHeld(day(11)),
            Change::Remove(day(13)),
            Change::Remove(day(15)),
            Change::Unstrand(day(21)),
            Change::Reopen(day(22)),
            Change::Add(day(24)),
            Change::CallOff {
                day: day(30),
                closure: 1
            },
            Change::StrandHeld(day(33)),
            Change::CallOff {
                day: day(33),
                closure: 1
            },
            Change::Remove(day(34)),
        ]
    );
}

prop_compose! {
    fn standing()(
        days in subsequence((0_u64..40).collect::<Vec<_>>(), 0..40),
        called_off in prop::collection::vec(
            select(vec![None, None, Some(CalledOffBy::Hand), Some(CalledOffBy::Closure)]), 40),
        held in prop::collection::vec(any::<bool>(), 40),
        stranded in prop::collection::vec(any::<bool>(), 40),
    ) -> Vec<Standing> {
        let flags = called_off.into_iter().zip(held).zip(stranded);
        days.into_iter()
            .zip(flags)
            .map(|(number, ((called_off, held), stranded))| Standing {
                day: day(number),
                called_off,
                held,
                stranded,
            })
            .collect()
    }
}

prop_compose! {
    fn closures()(ends in prop::collection::vec((0_u64..40, 0_u64..6), 0..4)) -> Vec<Closure> {
        ends.into_iter()
            .map(|(first, length)| Closure { first: day(first), last: day(first + length) })
            .collect()
    }
}

proptest! {
    /// Guards people's places and what is past, and that the turns end up where the pattern
    /// wants them.
    #[test]
    fn turns_come_to_the_pattern_and_nothing_held_is_lost(
        wanted in subsequence((0_u64..40).collect::<Vec<_>>(), 0..40),
        standing in standing(),
        closures in closures(),
        today in 0_u64..40,
    ) {
        let wanted: Vec<NaiveDate> = wanted.into_iter().map(day).collect();
        let today = day(today);
        let found = changes(&wanted, &standing, &closures, today);
        let after = made(&standing, &found);

        prop_assert_eq!(changes(&wanted, &after, &closures, today), []);
        prop_assert!(found.iter().all(|change| change.day() >= today));
        prop_assert!(found.is_sorted_by_key(|change| change.day()));
        for turn in standing.iter().filter(|turn| turn.held) {
            prop_assert!(after.iter().any(|other| other.day == turn.day && other.held));
        }
        for turn in standing.iter().filter(|turn| turn.called_off == Some(CalledOffBy::Hand)) {
            let other = after.iter().find(|other| other.day == turn.day);
            prop_assert_eq!(other.and_then(|other| other.called_off), turn.called_off);
        }

        let by_hand: BTreeSet<NaiveDate> = standing
            .iter()
            .filter(|turn| turn.called_off == Some(CalledOffBy::Hand))
            .map(|turn| turn.day)
            .collect();
        let is_closed = |day: NaiveDate| {
            closures.iter().any(|closure| closure.first <= day && day <= closure.last)
        };
        let taking_place: BTreeSet<NaiveDate> = after
            .iter()
            .filter(|turn| turn.day >= today && turn.called_off.is_none() && !turn.stranded)
            .map(|turn| turn.day)
            .collect();
        let should: BTreeSet<NaiveDate> = wanted
            .into_iter()
            .filter(|day| *day >= today && !is_closed(*day) && !by_hand.contains(day))
            .collect();
        prop_assert_eq!(taking_place, should);
    }
}
