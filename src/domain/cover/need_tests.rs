//! What a bin needs, in plain cases.

use super::course::{Bin, ComingTurn};
use super::need::{LOSS_BORNE, Need, Reason, Verdict, need};
use crate::living_bin::climate::{BedReading, Climate};
use crate::living_bin::gate::Gate;
use crate::living_bin::habitat::{BinShape, Habitat};
use crate::living_bin::settings::ModelSettings;
use crate::living_bin::state::BinState;
use crate::site::Spot;
use crate::turns::Duty;
use crate::units::{Celsius, Fraction, Grams, Kg, Litres, SquareMetres};
use chrono::{DateTime, TimeDelta, TimeZone, Utc};

pub(super) fn now() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 6, 1, 18, 0, 0).unwrap()
}

pub(super) fn day(days: i64) -> DateTime<Utc> {
    now() + TimeDelta::days(days)
}

/// A bin whose bed keeps one temperature, looked after just now.
pub(super) fn steady(bed: f64) -> (Habitat, BinState) {
    let habitat = Habitat {
        settings: ModelSettings {
            reading_fades_days: 1e9,
            ..ModelSettings::default()
        },
        shape: BinShape {
            surface: SquareMetres(0.25),
            volume: Litres(60.0),
            spot: Spot::Indoors,
        },
        climate: Climate([bed; 12]),
    };
    let stocked_at = day(-140);
    let mut state = BinState::stocked(&habitat.settings, Kg(0.5), Kg(4.0), stocked_at);
    state.at = now();
    state.reading = Some(BedReading {
        bed: Celsius(bed),
        at: now(),
    });
    state.expect_food(Kg(0.4));
    state.last_fed_at = Some(now());
    (habitat, state)
}

fn turn(days: i64, duty: Duty, held: u32) -> ComingTurn {
    ComingTurn {
        at: day(days),
        duty,
        places: 1,
        held,
    }
}

pub(super) fn fed_on(days: &[(i64, u32)]) -> Vec<ComingTurn> {
    (days.iter())
        .map(|(days, held)| turn(*days, Duty::Feeding, *held))
        .collect()
}

fn asked(bed: f64, turns: &[ComingTurn], at: usize) -> Need {
    let (habitat, state) = steady(bed);
    need(&bin(&habitat, &state), turns, at).unwrap()
}

pub(super) fn bin<'a>(habitat: &'a Habitat, state: &'a BinState) -> Bin<'a> {
    Bin {
        habitat,
        state,
        meal: Grams(500),
    }
}

fn outcome(need: &Need) -> (Verdict, Reason) {
    (need.verdict, need.reason)
}

/// Guards neighbours from being asked for what the bin can do without: fed weekly, it bears one
/// empty turn.
#[test]
fn one_empty_week_of_three_is_borne() {
    let found = asked(20.0, &fed_on(&[(7, 0), (14, 1), (21, 1)]), 0);
    assert_eq!(found.verdict, Verdict::NotNeeded);
    assert_eq!(found.reason, Reason::CanWait);
    assert_eq!(found.gap_days(), Some(14.0));
    assert!(
        (found.bears_days() - 21.0).abs() < 0.01,
        "{}",
        found.bears_days()
    );
    assert_eq!((found.last_care_at, found.seen_at), (now(), day(14)));
    assert!(found.worms_without.0 > 0.99 && found.worms_with >= found.worms_without);
}

/// Guards caretakers from deadlines that are past: a bed that is dry already is said to be, unless
/// somebody is sure to see to it before the turn.
#[test]
fn a_bed_that_is_dry_already_is_said_to_be() {
    let (habitat, mut state) = steady(20.0);
    state.vitals.unattended = habitat.settings.unattended_days + 1.0;
    let dry = |turns: &[ComingTurn], at| need(&bin(&habitat, &state), turns, at).unwrap().is_dry;
    assert!(dry(&fed_on(&[(7, 0), (14, 1)]), 0));
    assert!(!dry(&fed_on(&[(3, 1), (7, 0), (14, 1)]), 1));
    assert!(!asked(20.0, &fed_on(&[(14, 0), (28, 1)]), 0).is_dry);
}

/// Guards a bed from drying: three weeks are fine, four are not (common practice, no source).
#[test]
fn a_gap_longer_than_three_weeks_needs_the_turn_and_says_until_when() {
    let found = asked(20.0, &fed_on(&[(14, 0), (28, 1)]), 0);
    assert_eq!(outcome(&found), (Verdict::Needed, Reason::Drying));
    assert_eq!(found.gap_days(), Some(28.0));
    assert_eq!(found.deadline, found.dries_at);
    let off = found.deadline - day(21);
    assert!(off.abs() <= TimeDelta::minutes(1), "{off}");
    assert!(found.worms_without < found.worms_with);
    let edge = asked(20.0, &fed_on(&[(14, 0), (20, 1)]), 0);
    assert_eq!(edge.verdict, Verdict::Helpful, "hungry, but not dry");
}

/// Guards against the same answer in every season: worms in a warm bed live faster. At 10 and
/// 25 degrees Celsius metabolism is 0.705 and 1.181 of that at 20 (reckoned from Johnston et al.
/// 2014), which makes 29.8 and 17.8 days of 21.
#[test]
fn a_cold_bed_bears_more_days_than_a_warm_one() {
    let bears = |bed| asked(bed, &fed_on(&[(7, 0), (14, 1)]), 0).bears_days();
    for (bed, days) in [(10.0, 29.8), (20.0, 21.0), (25.0, 17.8)] {
        assert!((bears(bed) - days).abs() < 0.1, "{bed}: {}", bears(bed));
    }
    let verdict = |bed| asked(bed, &fed_on(&[(12, 0), (25, 1)]), 0).verdict;
    assert_eq!(verdict(25.0), Verdict::Needed);
    assert_ne!(verdict(10.0), Verdict::Needed);
}

/// Guards worms in a bin that is looked at every week and never fed.
#[test]
fn looks_do_not_feed_anybody() {
    let mut turns = fed_on(&[(7, 0)]);
    turns.extend((2..=8).map(|week| turn(7 * week, Duty::Looking, 1)));
    turns.push(turn(63, Duty::Feeding, 1));
    let many = asked(20.0, &turns, 0);
    turns[2].duty = Duty::Feeding;
    let few = asked(20.0, &turns, 0);
    assert_eq!(outcome(&few), (Verdict::Helpful, Reason::Hungry));
    assert_eq!((few.next_care_at, few.seen_at), (Some(day(14)), day(21)));
    assert_eq!(outcome(&many), (Verdict::Needed, Reason::Starving));
    assert!(many.lost_to_hunger > LOSS_BORNE && LOSS_BORNE > few.lost_to_hunger);
    // Hungry from about the 13th day on, then 19 days at 0.55 % a day.
    let borne = many.deadline - many.hungry_at.unwrap();
    assert!(
        (borne - TimeDelta::hours(19 * 24 + 4)).abs() < TimeDelta::hours(6),
        "{borne}"
    );
}

/// Guards a bin for which nobody has put their name down at all.
#[test]
fn when_nobody_is_sure_to_come_the_turn_is_needed() {
    let found = asked(20.0, &fed_on(&[(7, 0), (14, 0), (21, 0)]), 1);
    assert_eq!(outcome(&found), (Verdict::Needed, Reason::Drying));
    assert_eq!((found.next_care_at, found.gap_days()), (None, None));
    assert_eq!(found.seen_at, day(14 + 28));
}

/// Guards people who come in twos from being hunted for the second, and large turns from
/// standing there with one.
#[test]
fn where_others_come_the_bin_is_looked_after() {
    let of = |places, held| {
        let mut turns = fed_on(&[(14, held), (40, 1)]);
        turns[0].places = places;
        outcome(&asked(20.0, &turns, 0))
    };
    assert_eq!(of(2, 0), (Verdict::Needed, Reason::Drying));
    assert_eq!(of(2, 1), (Verdict::NotNeeded, Reason::OthersCome));
    assert_eq!(of(4, 1), (Verdict::Helpful, Reason::OthersCome));
    assert_eq!(of(4, 2), (Verdict::NotNeeded, Reason::OthersCome));
}

/// Guards each duty's own reason.
#[test]
fn each_duty_has_its_own_reason() {
    let (habitat, mut state) = steady(20.0);
    let of = |duty, state: &BinState| {
        let turns = [turn(5, duty, 0), turn(10, Duty::Feeding, 1)];
        outcome(&need(&bin(&habitat, state), &turns, 0).unwrap())
    };
    let can_wait = (Verdict::NotNeeded, Reason::CanWait);
    assert_eq!(of(Duty::Feeding, &state).1, Reason::CanWait);
    assert_eq!(of(Duty::Looking, &state), can_wait);
    assert_eq!(of(Duty::Watering, &state), can_wait);
    state.moisture = Fraction(0.6);
    assert_eq!(
        of(Duty::Watering, &state),
        (Verdict::Helpful, Reason::DryBed)
    );
    let harvest = (Verdict::Helpful, Reason::CastingsWait);
    assert_eq!(of(Duty::Harvest, &state), harvest);
    let tidying = (Verdict::Helpful, Reason::AroundTheBin);
    assert_eq!(of(Duty::Tidying, &state), tidying);
    state.gate = Gate::Half { since: now() };
    let rests = (Verdict::Helpful, Reason::Rests);
    assert_eq!(of(Duty::Looking, &state), rests);
    assert_eq!(of(Duty::Feeding, &state), rests);
    state.gate = Gate::Open;
    state.vitals.worms_kg = 0.0;
    assert_eq!(
        of(Duty::Feeding, &state),
        (Verdict::NotNeeded, Reason::NoWorms)
    );
}

/// Guards people from being asked to feed a bin that is too cold to eat, which still dries.
#[test]
fn nobody_feeds_a_frozen_bin_and_somebody_looks_after_it() {
    let short = asked(3.0, &fed_on(&[(14, 0), (28, 1)]), 0);
    assert_eq!(outcome(&short), (Verdict::NotNeeded, Reason::TakesNothing));
    let long = asked(3.0, &fed_on(&[(14, 0), (60, 1)]), 0);
    assert_eq!(outcome(&long), (Verdict::Needed, Reason::Drying));
}

/// Guards a bed that nobody but a tidier comes near.
#[test]
fn to_tidy_around_a_bin_is_not_to_look_after_it() {
    let mut turns = fed_on(&[(14, 0), (28, 1)]);
    turns.insert(1, turn(16, Duty::Tidying, 1));
    let found = asked(20.0, &turns, 0);
    assert_eq!(outcome(&found), (Verdict::Needed, Reason::Drying));
    assert_eq!(found.next_care_at, Some(day(28)));
    turns[1] = turn(24, Duty::Tidying, 1);
    turns[0].held = 1;
    turns.insert(2, turn(37, Duty::Feeding, 0));
    turns[3].at = day(40);
    let later = asked(20.0, &turns, 2);
    assert_eq!(
        (later.last_care_at, later.verdict),
        (day(14), Verdict::Needed)
    );
    assert!((later.bears_days() - 21.0).abs() < 0.01);
}

/// Guards worms whose hunger began before somebody looked: a look is not a meal.
#[test]
fn a_look_between_does_not_start_hunger_anew() {
    let mut turns = fed_on(&[(7, 1), (30, 0), (40, 1)]);
    turns.insert(1, turn(25, Duty::Looking, 1));
    let looked_at = asked(20.0, &turns, 2);
    turns.remove(1);
    let not = asked(20.0, &turns, 1);
    assert_eq!(looked_at.hungry_at, not.hungry_at);
    assert_eq!(looked_at.lost_to_hunger, not.lost_to_hunger);
    assert_eq!(outcome(&looked_at), (Verdict::Needed, Reason::Starving));
    assert_eq!(outcome(&not), (Verdict::Needed, Reason::Drying));
}

/// Guards the figures against depending on which way they are asked for: followed day by day by
/// hand, the bed begins to dry on the day that was named.
#[test]
fn the_bed_is_dry_after_the_deadline_and_not_before() {
    for bed in [8.0, 14.0, 20.0, 26.0] {
        let found = asked(bed, &fed_on(&[(3, 1), (10, 0)]), 1);
        let (habitat, state) = steady(bed);
        let mut state = state.advanced(&habitat, day(3));
        state.vitals.attend();
        let unattended = |at| {
            let vitals = state.clone().advanced(&habitat, at).vitals;
            vitals.unattended >= habitat.settings.unattended_days
        };
        assert!(unattended(found.deadline), "{bed}");
        assert!(!unattended(found.deadline - TimeDelta::minutes(2)), "{bed}");
    }
}
