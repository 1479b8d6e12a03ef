//! Closures to try plans on.

#![allow(clippy::unwrap_used, reason = "helpers of tests are tests too")]

use super::closing::{ClosedDay, Closing, Heating};
use super::settings::ClosureSettings;
use crate::living_bin::climate::{BedReading, Climate};
use crate::living_bin::gate::{Gate, Sign};
use crate::living_bin::habitat::{BinShape, Habitat};
use crate::living_bin::outlook::Booking;
use crate::living_bin::settings::ModelSettings;
use crate::living_bin::state::BinState;
use crate::living_bin::time::plus_days;
use crate::site::Spot;
use crate::units::{Celsius, Fraction, Kg, Litres, SquareMetres};
use chrono::{DateTime, TimeZone, Utc};

/// One closure, with what it borrows.
#[derive(Debug, Clone)]
pub(super) struct Trial {
    pub(super) habitat: Habitat,
    pub(super) state: BinState,
    pub(super) bookings: Vec<Booking>,
    pub(super) days: Vec<ClosedDay>,
    pub(super) heating: Heating,
    pub(super) settings: ClosureSettings,
}

/// The last turn before: an evening in July.
pub(super) fn last_turn() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 7, 3, 17, 0, 0).unwrap()
}

impl Trial {
    /// A grown bin under a roof with a kilogram of worms, in a bed that keeps one temperature;
    /// shut for so many days from the day after the last turn, and somebody can come on each.
    pub(super) fn steady(bed: f64, days: usize) -> Self {
        let settings = ModelSettings {
            reading_fades_days: 1e9,
            ..ModelSettings::default()
        };
        let shape = BinShape {
            surface: SquareMetres(0.25),
            volume: Litres(100.0),
            spot: Spot::Sheltered,
        };
        let habitat = Habitat {
            settings,
            shape,
            climate: Climate([bed; 12]),
        };
        let stocked = plus_days(last_turn(), -200.0);
        let mut state = BinState::stocked(&habitat.settings, Kg(1.0), Kg(2.0), stocked);
        state.at = last_turn();
        state.castings = Kg(8.0);
        state.reading = Some(BedReading {
            bed: Celsius(bed),
            at: last_turn(),
        });
        Self {
            habitat,
            state,
            bookings: Vec::new(),
            days: closed_days(days),
            heating: Heating::Off,
            settings: ClosureSettings::default(),
        }
    }

    pub(super) fn closing(&self) -> Closing<'_> {
        Closing {
            habitat: &self.habitat,
            state: &self.state,
            bookings: &self.bookings,
            last_turn: last_turn(),
            is_looked_after: true,
            days: &self.days,
            first_turn: plus_days(self.days.last().unwrap().at, 1.0),
            heating: self.heating,
            settings: self.settings,
        }
    }

    /// Any closure on which all sets of visits can be tried: nobody can come on more than seven
    /// of its days. A seed makes it again.
    pub(super) fn any(seed: u64) -> Self {
        let mut chance = Chance(seed);
        let mut trial = Self::steady(chance.between(4.0, 33.0), 5 + chance.below(55));
        let s = &mut trial.habitat.settings;
        if chance.below(2) == 0 {
            s.reading_fades_days = 4.0;
            let warmer = chance.between(-8.0, 14.0);
            trial.habitat.climate = Climate::default();
            for month in &mut trial.habitat.climate.0 {
                *month += warmer;
            }
        }
        trial.habitat.shape.spot = Spot::ALL[chance.below(3)];
        trial.habitat.shape.surface = SquareMetres(chance.between(0.08, 0.6));
        trial.heating = Heating::ALL[chance.below(2)];
        let worms = chance.between(0.05, 2.5);
        let age = [10.0, 30.0, 400.0][chance.below(3)];
        let stocked = plus_days(last_turn(), -age);
        let reading = trial.state.reading;
        trial.state = BinState::stocked(&trial.habitat.settings, Kg(worms), Kg(2.0), stocked);
        trial.state.at = last_turn();
        trial.state.reading = reading.filter(|_| chance.below(4) > 0);
        trial.state.vitals.hunger = chance.between(0.0, 1.0);
        if chance.below(4) == 0 {
            trial
                .state
                .expect_food(Kg(chance.between(0.0, 2.0 * worms)));
        }
        if chance.below(6) == 0 {
            let (sign, since) = (Sign::SourSmell, plus_days(last_turn(), -1.0));
            trial.state.gate = Gate::Held { sign, since };
        }
        trial.settings.wanted_share = Fraction(chance.between(0.6, 0.99));
        trial.days.iter_mut().for_each(|day| day.can_visit = false);
        for _ in 0..chance.below(8) {
            let day = chance.below(trial.days.len());
            trial.days[day].can_visit = true;
        }
        trial
    }
}

/// So many days on which somebody can come, at the same hour as the last turn.
pub(super) fn closed_days(days: usize) -> Vec<ClosedDay> {
    let day = |at| ClosedDay {
        at,
        can_visit: true,
        comes: false,
    };
    let days = u32::try_from(days).unwrap();
    (1..=days)
        .map(|i| day(plus_days(last_turn(), f64::from(i))))
        .collect()
}

/// Numbers as good as random, the same for a seed on every machine (the step and the mixing of
/// `SplitMix64`, Steele, Lea & Flood 2014).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % end as u64).unwrap()
    }

    #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
    fn between(&mut self, from: f64, to: f64) -> f64 {
        let unit = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        from + (to - from) * unit
    }
}
