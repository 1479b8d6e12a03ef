//! Published figures about worms and surfaces that the model must reproduce when it is
//! given the publisher's own constants. Each names its number in DEVELOPERS.md's table and
//! its source.

use super::climate::{BedReading, Climate};
use super::forecast::appetite;
use super::habitat::{BinShape, Habitat};
use super::settings::ModelSettings;
use super::state::{BinState, Meal};
use super::time::plus_days;
use crate::food::Composition;
use crate::site::Spot;
use crate::units::{
    Celsius, KG_PER_POUND, Kg, Litres, SQUARE_METRES_PER_SQUARE_FOOT, SquareMetres,
};
use chrono::{DateTime, TimeZone, Utc};

fn now() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 6, 1, 10, 0, 0).unwrap()
}

fn habitat(square_feet: f64, settings: ModelSettings) -> Habitat {
    let shape = BinShape {
        surface: SquareMetres(square_feet * SQUARE_METRES_PER_SQUARE_FOOT),
        volume: Litres(500.0),
        spot: Spot::Indoors,
    };
    Habitat {
        settings,
        shape,
        climate: Climate::default(),
    }
}

/// What so many pounds of worms eat in a day at the given speed, at their best, in pounds.
fn pounds_a_day(worms_lb: f64, speed: f64) -> f64 {
    let settings = ModelSettings {
        speed_median: speed,
        ..ModelSettings::default()
    };
    let habitat = habitat(4.0, settings);
    let worms = Kg(worms_lb * KG_PER_POUND);
    let mut state = BinState::stocked(&habitat.settings, worms, Kg(0.0), now());
    state.reading = Some(BedReading {
        bed: Celsius(25.0),
        at: now(),
    });
    appetite(&habitat, &state).middle.0 / KG_PER_POUND
}

fn close(value: f64, expected: f64, within: f64) {
    assert!(
        (value - expected).abs() <= within,
        "{value} is not {expected} within {within}"
    );
}

/// Check value 6: 0.25 lb of food a day at two parts of worms to one of food takes 0.5 lb
/// of worms (Grand Traverse County, Worm Composting).
#[test]
fn check_6_two_parts_of_worms_to_one_of_food() {
    close(pounds_a_day(0.5, 0.5), 0.25, 1e-9);
}

/// Check value 8: a bin of 1 x 2 x 3 ft with up to 6 lb of worms takes up to 6 lb a week
/// (extension bulletin, publisher not shown).
#[test]
fn check_8_six_pounds_of_worms_eat_six_pounds_a_week() {
    close(7.0 * pounds_a_day(6.0, 1.0 / 7.0), 6.0, 1e-9);
}

/// Check value 10: five bins of 4 x 8 ft, 160 ft2, are enough for 150 lb a week (Project
/// HOPE Art educational page).
#[test]
fn check_10_five_school_bins_take_a_week_of_scraps() {
    let takes = habitat(160.0, ModelSettings::default()).area_limit().0 / KG_PER_POUND;
    assert!(takes >= 150.0, "{takes}");
}

/// Check value 11: 2 ft2 at 3 lb/ft2 a week take 6 lb (community guide; Brooklyn Botanic
/// Garden gives the same rate, which is our ceiling of 14.6 kg/m2).
#[test]
fn check_11_the_ceiling_of_the_area_rule() {
    let settings = ModelSettings {
        area_kg_per_m2_week: 14.6,
        ..ModelSettings::default()
    };
    let settings = settings.checked().unwrap();
    close(
        habitat(2.0, settings).area_limit().0 / KG_PER_POUND,
        6.0,
        0.02,
    );
}

/// Check value 12: 1 lb of worms eats about 3.5 lb a week (New York City indoor composting
/// brochure, 2012), half its weight a day.
#[test]
fn check_12_a_pound_of_worms_in_a_week() {
    close(7.0 * pounds_a_day(1.0, 0.5), 3.5, 1e-9);
}

/// Check value 13: 4 ft2 carry 4 lb of worms, which eat 1.00 to 1.33 lb a day (NC State
/// Extension LS-007-08, 2020).
#[test]
fn check_13_four_square_feet_carry_and_eat() {
    let carried = habitat(4.0, ModelSettings::default()).carrying_capacity().0 / KG_PER_POUND;
    close(carried, 4.0, 1e-9);
    close(pounds_a_day(carried, 0.25), 1.0, 1e-9);
    close(pounds_a_day(carried, 1.0 / 3.0), 1.333, 0.001);
}

/// Check value 15: 1.60 kg/m2 are 0.33 lb/ft2 (Ndegwa, Thompson & Das 2000).
#[test]
fn check_15_a_thin_stock_in_customary_units() {
    let settings = ModelSettings {
        worms_kg_per_m2: 1.60,
        ..ModelSettings::default()
    };
    close(
        habitat(1.0, settings).carrying_capacity().0 / KG_PER_POUND,
        0.328,
        0.0005,
    );
}

/// Check value 16: 1.60 kg/m2 eating 0.75 of their weight a day take 8.4 kg/m2 a week
/// (reckoned from Ndegwa, Thompson & Das 2000), within what the area rule can be set to.
#[test]
fn check_16_the_best_vermicompost_in_a_week() {
    let pounds = 1.60 / KG_PER_POUND;
    let a_week = 7.0 * pounds_a_day(pounds, 0.75) * KG_PER_POUND;
    close(a_week, 8.4, 1e-9);
    let settings = ModelSettings {
        area_kg_per_m2_week: a_week,
        ..ModelSettings::default()
    };
    assert!(settings.checked().is_ok());
}

/// Check value 25: 0.30 kg of castings a day for a kg of worms, 27 kg in 90 days (Yadav,
/// Tare & Ahammed 2010; an upper guide). Ours must stay below it even when food never ends.
#[test]
fn check_25_castings_stay_below_the_published_upper_guide() {
    let settings = ModelSettings {
        reading_fades_days: 1e9,
        ..ModelSettings::default()
    };
    let habitat = habitat(2.2, settings);
    let mut state = BinState::stocked(&habitat.settings, Kg(1.0), Kg(0.0), now());
    state.reading = Some(BedReading {
        bed: Celsius(25.0),
        at: now(),
    });
    for week in 0..13 {
        let composition = Composition {
            mass: Kg(20.0),
            ..Composition::default()
        };
        state.feed(
            &habitat.settings,
            &Meal {
                composition,
                ..Meal::default()
            },
        );
        let end = libm::fmin(f64::from(week + 1) * 7.0, 90.0);
        state.advance(&habitat, plus_days(now(), end));
    }
    assert!(
        state.castings.0 > 5.0 && state.castings.0 < 27.0,
        "{:?}",
        state.castings
    );
}

/// Check value 45: 0.5 lb a day are 3.5 lb a week, and 4 ft2 at 1 lb/ft2 a week are enough
/// (general-interest guide).
#[test]
fn check_45_a_household_bin_is_large_enough() {
    let takes = habitat(4.0, ModelSettings::default()).area_limit().0 / KG_PER_POUND;
    assert!(takes >= 3.5, "{takes}");
}
