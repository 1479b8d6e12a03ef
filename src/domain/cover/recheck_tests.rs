//! What empty turns do to each other, in plain cases.

use super::course::ComingTurn;
use super::need::Verdict;
use super::need_tests::{bin, day, fed_on, steady};
use super::recheck::{Changed, first_changed, given_up, left_alone, needs};

/// Guards against empty turns that add up: each alone could stay empty, two together not.
#[test]
fn after_an_empty_turn_the_next_one_is_needed() {
    let (habitat, state) = steady(20.0);
    let bin = bin(&habitat, &state);
    let all_held = fed_on(&[(8, 1), (16, 1), (24, 1), (32, 1)]);
    let verdicts = |turns: &[ComingTurn]| -> Vec<Verdict> {
        needs(&bin, turns).iter().map(|need| need.verdict).collect()
    };
    assert_ne!(verdicts(&all_held)[..3], [Verdict::Needed; 3]);
    let first_empty = fed_on(&[(8, 0), (16, 1), (24, 1), (32, 1)]);
    assert_eq!(verdicts(&first_empty)[1], Verdict::Needed);
    let changed = first_changed(&bin, &first_empty, 0).unwrap();
    assert_eq!((changed.turn, changed.to), (1, Verdict::Needed));
    assert_ne!(changed.from, Verdict::Needed);
    assert_eq!(first_changed(&bin, &first_empty, 9), None::<Changed>);
}

/// Guards against a call for every place of a long absence where one is enough: the first is
/// needed, and once it is held the others are not.
#[test]
fn of_three_places_given_up_together_one_is_needed() {
    let (habitat, state) = steady(20.0);
    let turns = fed_on(&[(8, 0), (15, 0), (22, 0), (28, 1)]);
    let found = given_up(&bin(&habitat, &state), &turns, &[0, 1, 2]);
    let needed: Vec<bool> = (found.iter())
        .map(|need| need.verdict == Verdict::Needed)
        .collect();
    assert_eq!(needed, [true, false, false]);
    assert_eq!(found[2].last_care_at, day(8));
}

/// Guards the caretaker from hearing "it will be fine" (common practice, no source: three weeks
/// are fine, a month costs worms, two months are the end).
#[test]
fn what_becomes_of_a_bin_left_alone_is_told() {
    let (habitat, state) = steady(20.0);
    let turns = fed_on(&[(7, 0), (14, 1)]);
    let moments = [day(7), day(20), day(28), day(60)];
    let told = left_alone(&bin(&habitat, &state), &turns, 0, &moments);
    let drying: Vec<bool> = told.iter().map(|alone| alone.drying).collect();
    assert_eq!(drying, [false, false, true, true]);
    assert!(told[1].worms.0 > 0.9 && told[2].worms.0 < 0.85 && told[3].worms.0 < 0.3);
    assert!(!told[0].hungry && told[3].hungry);
}
