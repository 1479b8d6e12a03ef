//! Sentences about rotas: samples for the golden file, and that no claim is larger than what is
//! proven.

use super::voices;
use crate::wording::Voice;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::collections::BTreeMap;
use wormrota_domain::rota::explain::Fraction;
use wormrota_domain::rota::explain::compare::Comparison;
use wormrota_domain::rota::explain::empty::EmptyTurn;
use wormrota_domain::rota::explain::limits::{Limits, ORDER, Shut};
use wormrota_domain::rota::explain::shares::Account;
use wormrota_domain::rota::explain::sight::{ComparisonSeen, EmptySeen, Reason};
use wormrota_domain::rota::index::{BinIndex, MemberIndex, TurnIndex};
use wormrota_domain::rota::planner::Standing;
use wormrota_domain::rota::rules::Broken;
use wormrota_domain::rota::score::Aim;

const fn standing(aim: Aim, value: i64, bound: i64) -> Standing {
    Standing {
        aim,
        value,
        bound,
        proven: value == bound,
    }
}

/// Every way in which an aim is told.
pub(super) fn standings(voice: &Voice) -> Vec<String> {
    let all = [
        standing(Aim::EmptyPlaces, 0, 0),
        standing(Aim::EmptyPlaces, 1, 1),
        standing(Aim::EmptyPlaces, 3, 3),
        standing(Aim::EmptyPlaces, 1, 0),
        standing(Aim::EmptyPlaces, 4, 2),
        standing(Aim::Changes, 0, 0),
        standing(Aim::Changes, 1, 1),
        standing(Aim::Changes, 2, 2),
        standing(Aim::Changes, 6, 4),
        standing(Aim::Fairness, 0, 0),
        standing(Aim::Fairness, 243_332, 243_332),
        standing(Aim::Fairness, 243_332, 242_290),
        standing(Aim::Fairness, 243_332, 0),
        standing(Aim::Fairness, 243_332, 1),
        standing(Aim::Wishes, 624, 624),
        standing(Aim::Wishes, -3, 12),
    ];
    all.iter().map(|one| voice.standing(one)).collect()
}

fn limits(full: usize) -> Limits {
    let shut = ORDER.iter().enumerate().map(|(at, rule)| {
        let alone = at % 3;
        let shut = Shut {
            first: at + 1,
            alone: alone.min(at + 1),
        };
        (*rule, shut)
    });
    Limits {
        held: 5,
        within: 4,
        full,
        at_all: 30,
        shut: shut.collect(),
        weekdays: [Shut::default(); 7],
    }
}

fn account(turns: usize, balance: i64) -> Account {
    let fraction = |parts| Fraction { parts, of: 3 };
    Account {
        member: MemberIndex(0),
        turns,
        effort: 7,
        share: 60,
        balance,
        part: fraction(20),
        fair: fraction(20),
        difference: fraction(1),
    }
}

/// Every reason.
pub(super) fn reasons(voice: &Voice) -> Vec<String> {
    let mut lines = voice.reasons(&account(5, 2), &limits(3));
    let none = Limits {
        shut: BTreeMap::new(),
        within: 0,
        ..limits(0)
    };
    lines.extend(voice.reasons(&account(1, -1), &none));
    let nothing = |turns, effort| Account {
        effort,
        fair: Fraction { parts: -1, of: 3 },
        ..account(turns, 0)
    };
    for one in [nothing(0, 0), nothing(1, 2), nothing(2, 5)] {
        lines.extend(voice.reasons(&one, &none));
    }
    let idle = Account {
        effort: 0,
        ..account(0, 0)
    };
    lines.extend(voice.reasons(&idle, &none));
    lines
}

/// Why places are empty, as keepers and as others read it.
pub(super) fn empty(voice: &Voice) -> Vec<String> {
    let broken = [
        Broken::Weekday { weekday: 1 },
        Broken::Absence { first: 1, last: 2 },
        Broken::Trained { bin: BinIndex(0) },
        Broken::Rest {
            other: 1,
            rest_days: 2,
        },
        Broken::MostIn28Days {
            first: 1,
            last: 9,
            most: 2,
        },
        Broken::Places { places: 1 },
        Broken::NotAlone {
            member: MemberIndex(1),
        },
        Broken::Apart {
            other: MemberIndex(1),
        },
        Broken::Open { first_open_day: 4 },
    ];
    let turn = |places, could, cannot| {
        EmptySeen::Reasons(EmptyTurn {
            turn: TurnIndex(0),
            places,
            could,
            cannot,
        })
    };
    let some = Reason::ALL.iter().enumerate();
    let counts = |reasons| EmptySeen::Counts {
        turn: TurnIndex(0),
        places: 2,
        reasons,
    };
    let all = [
        turn(1, Vec::new(), vec![(MemberIndex(0), broken.to_vec())]),
        turn(
            2,
            vec![MemberIndex(2)],
            vec![(MemberIndex(0), broken[..1].to_vec()); 3],
        ),
        counts(Some(some.map(|(at, reason)| (*reason, at)).collect())),
        counts(None),
    ];
    all.iter().map(|one| voice.empty_places(one)).collect()
}

/// Two beside each other, as keepers and as others read it.
pub(super) fn comparisons(voice: &Voice) -> Vec<String> {
    let fraction = |parts| Fraction { parts, of: 3 };
    let all = [
        ComparisonSeen::Reasons(Box::new(Comparison {
            one: MemberIndex(0),
            other: MemberIndex(1),
            effort: 2,
            by_share: fraction(7),
            by_balance: -1,
            rest: fraction(2),
            limits_of_one: limits(0),
            limits_of_other: limits(0),
        })),
        ComparisonSeen::Figures {
            effort: -2,
            fair: 1,
            rest: -3,
        },
        ComparisonSeen::Figures {
            effort: 0,
            fair: 0,
            rest: 0,
        },
    ];
    all.iter().map(|one| voice.comparison(one)).collect()
}

/// Guards the one figure that is no plain count: however it is rounded, it is enough, and a
/// tenth of a percent less would not be.
#[test]
fn so_many_percent_are_enough_and_no_tenth_too_many() {
    let mut random = StdRng::seed_from_u64(1);
    let voice = voices().next().unwrap();
    for _ in 0..2_000 {
        let size = random.random_range(1..55);
        let bound = random.random_range(1..1_i64 << size);
        let value = bound + random.random_range(1..=bound.saturating_mul(3));
        let said = voice.standing(&standing(Aim::Fairness, value, bound));
        let mut words = said.split_whitespace();
        let percent = words.find_map(|word| word.strip_suffix('%')).unwrap();
        let tenths = match percent.split_once('.') {
            Some((whole, tenth)) => format!("{whole}{tenth}"),
            None => format!("{percent}0"),
        };
        let tenths: i128 = tenths.parse().unwrap();
        let enough = |tenths: i128| {
            (1_000 + tenths).pow(2) * i128::from(bound) >= 1_000_000 * i128::from(value)
        };
        assert!(
            enough(tenths) && !enough(tenths - 1),
            "{said}: {value} over {bound}"
        );
    }
}
