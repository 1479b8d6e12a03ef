//! What holds for every turn of every bin, whoever comes.

use super::course::ComingTurn;
use super::need::{Reason, Verdict, need};
use super::need_tests::{bin, day, now, steady};
use crate::turns::Duty;
use crate::units::Celsius;
use chrono::TimeDelta;
use proptest::prelude::*;

fn turns() -> impl Strategy<Value = Vec<ComingTurn>> {
    let duty = prop::sample::select(Duty::ALL);
    let one = (1_i64..16, duty, 1_u32..=3, 0_u32..=2);
    prop::collection::vec(one, 1..9).prop_map(|turns| {
        let mut days = 0;
        let turn = |(gap, duty, places, held)| {
            days += gap;
            ComingTurn {
                at: day(days),
                duty,
                places,
                held,
            }
        };
        turns.into_iter().map(turn).collect()
    })
}

fn rank(verdict: Verdict) -> usize {
    let at = Verdict::ALL.iter().position(|other| *other == verdict);
    at.unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// Guards the answer against the walk that it comes from: in a bed that keeps its
    /// temperature the days until it dries are a plain division.
    #[test]
    fn the_bed_dries_when_a_division_says_so(
        turns in turns(),
        asked in any::<prop::sample::Index>(),
        bed in 4_u32..28,
    ) {
        let asked = asked.index(turns.len());
        let (habitat, state) = steady(f64::from(bed));
        let found = need(&bin(&habitat, &state), &turns, asked).unwrap();
        let s = &habitat.settings;
        let pace = s.metabolism(Celsius(f64::from(bed))) / s.metabolism(Celsius(20.0));
        let cares = |turn: &&ComingTurn| turn.held > 0 && turn.duty != Duty::Tidying;
        let last = turns[..asked].iter().rfind(cares).map_or(now(), |turn| turn.at);
        let next = turns[asked + 1..].iter().find(cares).map(|turn| turn.at);
        prop_assert_eq!((found.last_care_at, found.next_care_at), (last, next));
        let bears = s.unattended_days / pace;
        prop_assert!((found.bears_days() - bears).abs() < 0.002, "{} {bears}", found.bears_days());
        let gap = found.gap_days().unwrap_or(f64::INFINITY);
        let dries = gap > bears && turns[asked].held == 0 && turns[asked].duty != Duty::Tidying;
        prop_assert_eq!(found.reason == Reason::Drying, dries);
        prop_assert!(!dries || found.verdict == Verdict::Needed);
    }

    /// Guards against help that does harm: somebody more on another turn never makes this one
    /// more needed, and somebody on this one never costs worms.
    #[test]
    fn who_comes_to_one_turn_never_makes_another_more_needed(
        turns in turns(),
        asked in any::<prop::sample::Index>(),
        other in any::<prop::sample::Index>(),
        bed in 4_u32..28,
    ) {
        let (asked, other) = (asked.index(turns.len()), other.index(turns.len()));
        let (habitat, state) = steady(f64::from(bed));
        let bin = bin(&habitat, &state);
        let before = need(&bin, &turns, asked).unwrap();
        prop_assert!(before.worms_with.0 >= before.worms_without.0 - 1e-9, "{before:?}");
        let mut more = turns.clone();
        more[other].held += 1;
        let after = need(&bin, &more, asked).unwrap();
        prop_assert!(rank(after.verdict) >= rank(before.verdict), "{before:?} {after:?}");
    }

    /// Guards caretakers: where nobody stays away from a turn that is needed, the bed never
    /// dries between one turn and the next.
    #[test]
    fn leaving_only_what_is_not_needed_empty_never_lets_the_bed_dry(
        gaps in prop::collection::vec(1_i64..9, 4..10),
        bed in 8_u32..28,
    ) {
        let (habitat, state) = steady(f64::from(bed));
        let bin = bin(&habitat, &state);
        let mut days = 0;
        let mut turns: Vec<ComingTurn> = (gaps.iter())
            .map(|gap| {
                days += gap;
                ComingTurn { at: day(days), duty: Duty::Feeding, places: 1, held: 1 }
            })
            .collect();
        // One after the other is left empty, asked anew each time, as far as the bin lets it.
        for at in 0..turns.len() - 1 {
            turns[at].held = 0;
            let found = need(&bin, &turns, at).unwrap();
            turns[at].held = u32::from(found.verdict == Verdict::Needed);
        }
        let mut state = state.clone();
        for turn in turns.iter().filter(|turn| turn.held > 0) {
            state = state.advanced(&habitat, turn.at - TimeDelta::minutes(1));
            let dry = state.vitals.unattended >= habitat.settings.unattended_days;
            prop_assert!(!dry, "dry before {}", turn.at);
            state = state.advanced(&habitat, turn.at);
            state.vitals.attend();
        }
    }
}
