//! What must hold for every bin, tried on thousands of random ones.

use super::climate::{BedReading, Climate};
use super::event::{Dated, Event, FedLine, How, replay};
use super::gate::{Gate, Sign};
use super::habitat::{BinShape, Habitat};
use super::limit::Limit;
use super::outlook::{Booking, Outlook, Step};
use super::settings::ModelSettings;
use super::state::{BinState, Meal};
use super::time::{days_between, plus_days};
use crate::food::Composition;
use crate::ids::BookingId;
use crate::site::Spot;
use crate::units::{Celsius, Grams, Kg, Litres, SquareMetres};
use chrono::{DateTime, TimeZone, Utc};
use proptest::prelude::*;
use uuid::Uuid;

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn epoch() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 2, 11, 9, 17, 0).unwrap()
}

/// 70 % water, 2.4 % nitrogen and C:N 15, as the catalogue's usual mix.
fn scraps(kg: f64) -> Meal {
    let nitrogen = kg * 0.3 * 0.024;
    Meal {
        composition: Composition {
            mass: Kg(kg),
            water: Kg(kg * 0.7),
            carbon: Kg(nitrogen * 15.0),
            nitrogen: Kg(nitrogen),
        },
        sparing: Kg(0.0),
        coffee: Kg(0.0),
    }
}

fn fed(kg: f64) -> Event {
    let lines = vec![FedLine {
        food: "usual-mix".into(),
        amount: Grams::rounded_up(Kg(kg)),
    }];
    Event::Fed {
        lines,
        meal: scraps(kg),
        bedding: Grams(20),
        how: How::Told,
    }
}

prop_compose! {
    fn any_habitat()(
        surface in 0.1..1.0f64,
        litres in 30.0..250.0f64,
        spot in prop_oneof![Just(Spot::Indoors), Just(Spot::Sheltered), Just(Spot::Outdoors)],
        warmer in -4.0..12.0f64,
    ) -> Habitat {
        let mut climate = Climate::default();
        climate.0.iter_mut().for_each(|month| *month += warmer);
        let shape = BinShape { surface: SquareMetres(surface), volume: Litres(litres), spot };
        Habitat { settings: ModelSettings::default(), shape, climate }
    }
}

/// A history: gaps in days, amounts in kilograms.
fn any_feedings() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((0.05..12.0f64, 0.0..1.5f64), 0..8)
}

fn dated(feedings: &[(f64, f64)], stocked_days_ago: f64, worms: i64) -> Vec<Dated> {
    let start = plus_days(epoch(), -stocked_days_ago);
    let stocked = Event::Stocked {
        worms: Grams(worms),
        bedding: Grams(1500),
    };
    let mut events = vec![Dated {
        at: start,
        event: stocked,
    }];
    let mut day = 0.0;
    for (gap, kg) in feedings {
        day += gap;
        events.push(Dated {
            at: plus_days(start, day),
            event: fed(*kg),
        });
    }
    events
}

prop_compose! {
    /// A bin with a past, now.
    fn any_bin()(
        habitat in any_habitat(),
        feedings in any_feedings(),
        young in 0.0..60.0f64,
        worms in 50..3000i64,
        reading in prop::option::of(5.0..32.0f64),
        wait in 0.0..9.0f64,
    ) -> (Habitat, BinState) {
        let past: f64 = feedings.iter().map(|(gap, _)| gap).sum();
        let events = dated(&feedings, past + young, worms);
        let mut state = replay(&habitat, None, &events).pop().flatten().unwrap();
        state.reading = reading.map(|bed| BedReading { bed: Celsius(bed), at: state.at });
        let now = plus_days(state.at, wait);
        let state = state.advanced(&habitat, now);
        (habitat, state)
    }
}

fn any_bookings() -> impl Strategy<Value = Vec<(f64, i64)>> {
    prop::collection::vec((0.0..27.0f64, 1..2500i64), 0..5)
}

fn booked(now: DateTime<Utc>, mut promises: Vec<(f64, i64)>) -> Vec<Booking> {
    promises.sort_by(|a, b| a.0.total_cmp(&b.0));
    let booking = |(i, (day, grams)): (usize, (f64, i64))| Booking {
        id: BookingId(Uuid::from_u128(i as u128)),
        due_at: plus_days(now, day),
        promised: Grams(grams),
    };
    promises.into_iter().enumerate().map(booking).collect()
}

/// Runs a bin forward step by step, feeding `x` now and at each booking as much of the
/// promise as each rule alone would keep. Unlike the closed form in `room`.
struct Run {
    /// A rule is broken somewhere. A booking of which nothing can be kept still guards its
    /// day.
    breaks: bool,
    /// What is kept for each booking by the uneaten food and by the area rule, kg.
    kept: Vec<(f64, f64)>,
}

fn run(steps: &[Step], bookings: &[Booking], x: f64, keep: Option<&[(f64, f64)]>) -> Run {
    let (mut lies, mut load) = (steps[0].uneaten + x, steps[0].area_load + x);
    let over = |step: &Step, lies: f64, load: f64| {
        lies > step.most_uneaten + 1e-9 || load > step.area + 1e-9
    };
    let mut breaks = steps[0].closed || over(&steps[0], lies, load);
    let mut kept = Vec::new();
    for (i, (step, booking)) in steps[1..].iter().zip(bookings).enumerate() {
        lies = (lies - step.eaten_since_last).max(0.0);
        load = (load - step.let_go_since_last).max(0.0);
        let open = if step.closed { 0.0 } else { 1.0 };
        let of = |left: f64| open * left.min(booking.promised.kg().0).max(0.0);
        let (a, b) = match keep {
            Some(keep) => keep[i],
            None => (of(step.most_uneaten - lies), of(step.area - load)),
        };
        (lies, load) = (lies + a, load + b);
        kept.push((a, b));
        breaks |= over(step, lies, load);
    }
    Run { breaks, kept }
}

/// The most that can be fed now without breaking a rule or a booking.
fn bisected(outlook: &Outlook<'_>, bookings: &[Booking]) -> f64 {
    let steps = outlook.steps(bookings);
    let kept = run(&steps, bookings, 0.0, None).kept;
    let (mut fits, mut too_much) = (0.0, 50.0);
    for _ in 0..60 {
        let half = f64::midpoint(fits, too_much);
        if run(&steps, bookings, half, Some(&kept)).breaks {
            too_much = half;
        } else {
            fits = half;
        }
    }
    fits
}

proptest! {
    #![proptest_config(cases(20_000))]

    /// The closed form of `room` against bisection over a step by step run.
    #[test]
    fn the_closed_form_of_room_equals_bisection(
        (habitat, state) in any_bin(),
        promises in any_bookings(),
    ) {
        let bookings = booked(state.at, promises);
        let outlook = Outlook::cautious(&habitat, &state);
        let room = outlook.room(&bookings);
        let kept = run(&outlook.steps(&bookings), &bookings, 0.0, None).kept;
        let expected = bisected(&outlook, &bookings);
        for (told, (by_eating, by_area)) in room.kept.iter().zip(kept) {
            let gap = by_eating.min(by_area) - told.amount.kg().0;
            prop_assert!((-1e-8..0.001 + 1e-8).contains(&gap), "{gap} off: {told:?}");
        }
        let gap = expected - room.amount.kg().0;
        prop_assert!((-1e-8..0.001 + 1e-8).contains(&gap), "{expected} against {room:?}");
    }
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn what_is_allowed_keeps_every_limit_and_booking(
        (habitat, state) in any_bin(),
        promises in any_bookings(),
        share in 0.0..=1.0f64,
    ) {
        let bookings = booked(state.at, promises);
        let outlook = Outlook::cautious(&habitat, &state);
        let room = outlook.room(&bookings);
        let kept = run(&outlook.steps(&bookings), &bookings, 0.0, None).kept;
        let amount = Grams::rounded_down(room.amount.kg() * share);
        if amount > Grams::ZERO {
            prop_assert!(!run(&outlook.steps(&bookings), &bookings, amount.kg().0, Some(&kept)).breaks);
        }
        let after = outlook.fed(amount).room(&bookings);
        prop_assert_eq!(after.kept, room.kept, "a booking lost room to a feeding");
        let (left, expected) = (after.amount.0, room.amount.less(amount).0);
        prop_assert!((left - expected).abs() <= 1, "room falls one for one, within rounding");
    }

    /// Protects worms in a bin that rests: what may go in now, what is kept for bookings and what
    /// is forecast for later days is one handful every few days, whoever brings it. Followed
    /// meal by meal.
    #[test]
    fn a_bin_that_rests_gets_one_handful_every_few_days(
        (habitat, state) in any_bin(),
        promises in any_bookings(),
        share in 0.0..=1.0f64,
        day in 0.0..27.0f64,
    ) {
        let s = &habitat.settings;
        let since = plus_days(state.at, -s.hold_days);
        let gate = Gate::Held { sign: Sign::SourSmell, since };
        let state = BinState { gate, ..state };
        let bookings = booked(state.at, promises);
        let outlook = Outlook::cautious(&habitat, &state);
        let room = outlook.room(&bookings);
        let amount = Grams::rounded_down(room.amount.kg() * share);
        let after = outlook.clone().fed(amount).room(&bookings);
        prop_assert_eq!(&after.kept, &room.kept, "a booking lost room to a feeding");

        let before = state.last_fed_at.map(|fed| (fed, state.last_meal.0));
        let now = (state.at, amount.kg().0);
        let kept = room.kept.iter().map(|kept| (kept.due_at, kept.amount.kg().0));
        let mut meals: Vec<_> = kept.filter(|meal| meal.1 > 0.0).collect();
        if amount > Grams::ZERO {
            meals.insert(0, now);
        }
        let (mut last, mut counted) = before.unwrap_or((state.stocked_at, 0.0));
        for (at, kg) in meals {
            let soon = days_between(last, at) < s.handful_days;
            counted = if soon { counted + kg } else { kg };
            last = at;
            prop_assert!(counted <= s.handful_kg + 0.001, "{counted} kg at {at}");
        }
        let then = outlook.room_at(plus_days(state.at, day), &bookings);
        prop_assert!(then.kg().0 <= s.handful_kg, "{then:?}");
    }

    #[test]
    fn room_falls_one_for_one_with_uneaten_food(
        (habitat, state) in any_bin(),
        promises in any_bookings(),
        more in 0.0..2.0f64,
    ) {
        let bookings = booked(state.at, promises);
        let outlook = Outlook::cautious(&habitat, &state);
        let (less, full) = (outlook.room(&bookings), outlook.with_uneaten(more).room(&bookings));
        let fallen = less.amount.kg().0 - full.amount.kg().0;
        let expected = less.amount.kg().0.min(more);
        prop_assert!(fallen <= expected + 0.0011, "{fallen}, {expected}");
        // The area rule counts what was fed, not what lies there.
        if less.bound_by() != Limit::Area {
            prop_assert!(fallen >= expected - 0.0011, "{fallen}, {expected}");
        }
    }

    #[test]
    fn room_rises_with_worms_and_with_appetite(
        (habitat, state) in any_bin(),
        promises in any_bookings(),
        worms in 1.0..3.0f64,
        speed in 1.0..3.0f64,
    ) {
        let bookings = booked(state.at, promises);
        let outlook = Outlook::cautious(&habitat, &state);
        let room = outlook.room(&bookings).amount;
        let more = outlook.with_more_worms(worms).room(&bookings).amount;
        prop_assert!(more >= room, "{room:?} fell to {more:?} with more worms");
        let faster = outlook.with_speed(speed).room(&bookings);
        prop_assert!(faster.amount >= room, "{:?} fell to {faster:?}", outlook.room(&bookings));
    }

    #[test]
    fn advancing_in_two_steps_equals_advancing_in_one(
        (habitat, state) in any_bin(),
        first in 0.0..70.0f64,
        second in 0.0..40.0f64,
    ) {
        let (middle, end) = (plus_days(state.at, first), plus_days(state.at, first + second));
        let once = state.clone().advanced(&habitat, end);
        let twice = state.advanced(&habitat, middle).advanced(&habitat, end);
        prop_assert!(apart(&once, &twice) < 1e-9, "{}", apart(&once, &twice));
        prop_assert_eq!(once.vitals.too_hot, twice.vitals.too_hot);
    }

    #[test]
    fn a_late_entry_replayed_equals_entry_in_order(
        habitat in any_habitat(),
        feedings in any_feedings(),
        late in any::<prop::sample::Index>(),
        worms in 50..3000i64,
    ) {
        let all = dated(&feedings, 60.0, worms);
        let in_order = replay(&habitat, None, &all).pop().flatten().unwrap();
        // The late one is left out, the rest goes in, then everything from it on again.
        let missing = late.index(all.len());
        let before = missing.checked_sub(1)
            .and_then(|last| replay(&habitat, None, &all[..=last]).pop().flatten());
        let replayed = replay(&habitat, before, &all[missing..]).pop().flatten().unwrap();
        prop_assert_eq!(replayed, in_order);
    }

    /// What a copy of the service reads back from the store is what another wrote.
    #[test]
    fn a_stored_state_comes_back_bit_for_bit((_, state) in any_bin()) {
        let text = serde_json::to_string(&state).unwrap();
        prop_assert_eq!(serde_json::from_str::<BinState>(&text).unwrap(), state);
    }
}

/// The largest difference between two states, in kilograms (and in days of neglect).
fn apart(a: &BinState, b: &BinState) -> f64 {
    let (ta, tb): (Vec<f64>, Vec<f64>) = (a.uneaten.clone().into(), b.uneaten.clone().into());
    let tracks = ta.iter().zip(&tb).map(|(x, y)| (x - y).abs());
    let others = [
        a.vitals.worms_kg - b.vitals.worms_kg,
        a.effort_made - b.effort_made,
        a.effort_blurred - b.effort_blurred,
        a.vitals.hunger - b.vitals.hunger,
        a.vitals.unattended - b.vitals.unattended,
        a.castings.0 - b.castings.0,
        a.bedding.0 - b.bedding.0,
        a.area_load.0 - b.area_load.0,
    ];
    tracks
        .chain(others.iter().map(|d| d.abs()))
        .fold(0.0, f64::max)
}
