//! Free places that nobody gave up: which are looked for, and when.

use super::course::ComingTurn;
use super::manner::Manner;
use super::need::{Verdict, need};
use super::need_tests::{bin, day, fed_on, now, steady};
use super::unheld::sought;
use crate::turns::Duty;
use chrono::{DateTime, Utc};
use proptest::prelude::*;

/// Days that somebody must be looked for before the last moment: what the manner says.
const AHEAD: i64 = 9;

/// The positions of what is looked for, of these days of feedings and how many hold each.
fn looked_for(days: &[(i64, u32)], at: DateTime<Utc>) -> Vec<usize> {
    let (habitat, mut state) = steady(20.0);
    state.advance(&habitat, at);
    let turns = fed_on(days);
    let free: Vec<usize> = (0..turns.len()).filter(|at| days[*at].1 == 0).collect();
    let found = sought(
        &bin(&habitat, &state),
        &turns,
        &free,
        &Manner::default(),
        at,
    );
    found.into_iter().map(|one| one.turn).collect()
}

/// Protects bins whose rota was left empty: somebody is looked for as early as people have all
/// their time to answer, and not before. A bed at 20 degrees dries in 21 days.
#[test]
fn somebody_is_looked_for_as_soon_as_the_rounds_need_it() {
    let days = [(14, 0), (40, 1)];
    assert_eq!(looked_for(&days, day(14 - AHEAD - 1)), Vec::<usize>::new());
    assert_eq!(looked_for(&days, day(14 - AHEAD)), [0]);
    // The turn is later than the last moment: that is what counts.
    let late = [(35, 0), (40, 1)];
    assert_eq!(looked_for(&late, day(21 - AHEAD - 1)), Vec::<usize>::new());
    assert_eq!(looked_for(&late, day(21 - AHEAD + 1)), [0]);
}

/// Protects neighbours from a call for every free place where one person is enough, and gives
/// them the most time.
#[test]
fn of_several_that_would_do_the_last_is_looked_for() {
    let days = [(5, 0), (12, 0), (19, 0), (26, 0), (44, 1)];
    assert_eq!(looked_for(&days, day(4)), Vec::<usize>::new());
    assert_eq!(looked_for(&days, day(10)), [2]);
    // Once somebody comes to that one, the bin goes on for three weeks more.
    let days = [(12, 0), (19, 1), (26, 0), (39, 1)];
    assert_eq!(looked_for(&days, day(10)), Vec::<usize>::new());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// Guards bins from a turn that nobody is looked for in time: with whoever is looked for
    /// there, no free turn is needed whose last moment is near; and each that is looked for is
    /// needed.
    #[test]
    fn nothing_that_is_due_is_left_out_and_nobody_is_bothered_in_vain(
        turns in prop::collection::vec(
            (1_i64..12, prop::sample::select(Duty::ALL), 0_u32..=1),
            1..7,
        ),
        bed in 4_u32..28,
    ) {
        let (habitat, state) = steady(f64::from(bed));
        let bin = bin(&habitat, &state);
        let manner = Manner::default();
        let mut days = 0;
        let mut turns: Vec<ComingTurn> = (turns.into_iter())
            .map(|(gap, duty, held)| {
                days += gap;
                ComingTurn { at: day(days), duty, places: 1, held }
            })
            .collect();
        let free: Vec<usize> = (0..turns.len()).filter(|at| turns[*at].held == 0).collect();
        let found = sought(&bin, &turns, &free, &manner, now());
        for one in &found {
            prop_assert!(free.contains(&one.turn));
            prop_assert_eq!(one.need.verdict, Verdict::Needed);
            turns[one.turn].held = 1;
        }
        for at in free.into_iter().filter(|at| turns[*at].held == 0) {
            let left = need(&bin, &turns, at).unwrap();
            if left.verdict != Verdict::Needed {
                continue;
            }
            // Another free one may do in time.
            let moments = (at..turns.len()).filter(|at| turns[*at].held == 0);
            let last = moments.map(|at| turns[at].at.min(left.deadline)).max().unwrap();
            prop_assert!(manner.begin_at(last) > now(), "{left:?}");
        }
    }
}
