//! Does the model find out how fast a bin is, from what people see once a week, and does
//! it stay safe meanwhile? Synthetic bins of known speed, many seeds.
//!
//! Run with `cargo test -p wormrota-domain calibration -- --nocapture` to read the figures.

#![expect(clippy::cast_precision_loss, reason = "counts of a few hundred")]

use super::check::{Check, Left};
use super::climate::{BedReading, Climate};
use super::event::Event;
use super::facts::check_due_at;
use super::habitat::{BinShape, Habitat};
use super::outlook::Outlook;
use super::settings::ModelSettings;
use super::state::{BinState, Meal};
use super::time::plus_days;
use super::vitals::Larder;
use crate::food::Composition;
use crate::site::Spot;
use crate::units::{Celsius, Kg, Litres, SquareMetres};
use chrono::{DateTime, TimeZone, Utc};

/// A small generator with a seed (`SplitMix64`), so that every run sees the same bins.
struct Chance(u64);

impl Chance {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((x ^ (x >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let (u, v) = (self.uniform().max(1e-12), self.uniform());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// A real bin beside the model of it: the same worms, but its own speed and its own food.
struct Real {
    habitat: Habitat,
    model: BinState,
    speed: f64,
    uneaten: f64,
}

impl Real {
    fn new(speed: f64) -> Self {
        let settings = ModelSettings {
            reading_fades_days: 1e9,
            ..ModelSettings::default()
        };
        let shape = BinShape {
            surface: SquareMetres(0.5),
            volume: Litres(150.0),
            spot: Spot::Indoors,
        };
        let habitat = Habitat {
            settings,
            shape,
            climate: Climate([20.0; 12]),
        };
        let start = Utc.with_ymd_and_hms(2026, 1, 5, 18, 0, 0).unwrap();
        let mut model = BinState::stocked(&habitat.settings, Kg(1.0), Kg(6.0), start);
        model.reading = Some(BedReading {
            bed: Celsius(20.0),
            at: start,
        });
        // Old enough for the ramp to be over.
        model.stocked_at = plus_days(start, -100.0);
        Self {
            habitat,
            model,
            speed,
            uneaten: 0.0,
        }
    }

    fn pass(&mut self, to: DateTime<Utc>) {
        let mut vitals = self.model.vitals;
        let (uneaten_kg, speed) = self.model.uneaten.nearest(self.model.speed.mean);
        let larder = Larder { uneaten_kg, speed };
        let effort = vitals.walk(&self.habitat, self.model.bed(), larder, self.model.at, to);
        self.uneaten = (self.uneaten - self.speed * effort).max(0.0);
        self.model.advance(&self.habitat, to);
    }

    /// What the bin could really eat in the coming week, kg.
    fn week(&self) -> f64 {
        let mut vitals = self.model.vitals;
        vitals.attend();
        let (from, bed) = (self.model.at, self.model.bed());
        let to = plus_days(from, 7.0);
        self.speed * vitals.walk(&self.habitat, bed, Larder::EMPTY, from, to)
    }

    fn room(&self) -> f64 {
        Outlook::cautious(&self.habitat, &self.model)
            .room(&[])
            .amount
            .kg()
            .0
    }

    fn feed(&mut self, kg: f64) {
        let composition = Composition {
            mass: Kg(kg),
            ..Composition::default()
        };
        self.model.feed(
            &self.habitat.settings,
            &Meal {
                composition,
                ..Meal::default()
            },
        );
        self.uneaten += kg;
    }

    /// Somebody looks, with an eye that is off by a tenth of the meal.
    fn look(&mut self, chance: &mut Chance) {
        let meal = self.model.last_meal.0;
        let seen = (self.uneaten / meal + 0.1 * chance.normal()).max(0.0);
        let left = match seen {
            s if s < 0.05 => Left::None,
            s if s < 0.25 => Left::Little,
            s if s < 0.60 => Left::Half,
            s if s < 0.90 => Left::Most,
            _ => Left::All,
        };
        let check = Check {
            left: Some(left),
            ..Check::default()
        };
        let event = Event::Checked {
            check,
            by_visitor: true,
        };
        let at = self.model.at;
        self.model = event
            .apply(&self.habitat, Some(self.model.clone()), at)
            .unwrap();
    }
}

struct Figures {
    median_error: f64,
    within_tenth: f64,
    judged: f64,
    over_limit: f64,
}

/// Eight weeks: a meal of what the service allows, a look when the service asks for it, and
/// (with `unlogged`) now and then a meal that nobody tells of.
fn season(factor: f64, unlogged: f64) -> Figures {
    let mut errors = Vec::new();
    let mut ratios = Vec::new();
    let (mut allowed, mut over) = (0_u32, 0_u32);
    for seed in 0..200 {
        let mut chance = Chance(seed);
        let truth = ModelSettings::default().speed_median * factor;
        let mut bin = Real::new(truth);
        let start = bin.model.at;
        for week in 0..8 {
            let fed_at = plus_days(start, f64::from(week) * 7.0);
            bin.pass(fed_at);
            let room = bin.room();
            if room > 0.05 {
                bin.feed(room);
                allowed += 1;
                over += u32::from(bin.uneaten > bin.week() * (1.0 + 1e-9));
            }
            let secret_day = if chance.uniform() < unlogged {
                chance.uniform() * 3.0
            } else {
                9.0
            };
            let secret = bin.model.last_meal.0 * (0.5 + chance.uniform() * 0.5);
            let due = check_due_at(&bin.habitat, &bin.model).unwrap_or(plus_days(fed_at, 3.5));
            let due = due.max(plus_days(fed_at, 1.0)).min(plus_days(fed_at, 6.0));
            if plus_days(fed_at, secret_day) < due {
                bin.pass(plus_days(fed_at, secret_day));
                bin.uneaten += secret;
            }
            bin.pass(due);
            bin.look(&mut chance);
        }
        let judged = bin.model.speed.mean.exp();
        errors.push((judged / truth - 1.0).abs());
        ratios.push(judged / truth);
    }
    errors.sort_by(f64::total_cmp);
    ratios.sort_by(f64::total_cmp);
    Figures {
        median_error: errors[100],
        within_tenth: errors.iter().filter(|e| **e <= 0.10).count() as f64 / 200.0,
        judged: ratios[100],
        over_limit: f64::from(over) / f64::from(allowed),
    }
}

#[test]
fn eight_weekly_checks_find_the_speed() {
    for factor in [0.6, 1.0, 1.5] {
        let f = season(factor, 0.0);
        println!(
            "speed x {factor}: median error {:.1} %, within 10 % {:.0} %, judged x {:.2}, over the true limit {:.1} %",
            100.0 * f.median_error,
            100.0 * f.within_tenth,
            f.judged,
            100.0 * f.over_limit
        );
        assert!(f.median_error <= 0.10 && f.within_tenth >= 0.65 && f.over_limit <= 0.05);
    }
}

#[test]
fn food_that_nobody_logged_does_not_make_a_bin_slow() {
    for factor in [0.6, 1.0, 1.5] {
        let f = season(factor, 0.25);
        println!(
            "speed x {factor}, a quarter unlogged: median error {:.1} %, judged x {:.2}, over {:.1} %",
            100.0 * f.median_error,
            f.judged,
            100.0 * f.over_limit
        );
        assert!(f.median_error <= 0.15);
    }
}

/// Ten weeks in which nobody looks or measures.
#[test]
fn a_bin_that_nobody_looks_at_stays_safe_and_is_never_closed_for_good() {
    let mut safe_seeds = 0;
    let (mut first, mut last) = (0.0, 0.0);
    for seed in 0..200 {
        let mut chance = Chance(seed);
        let factor = (0.39 * chance.normal()).exp();
        let mut bin = Real::new(ModelSettings::default().speed_median * factor);
        let start = bin.model.at;
        // Known well to begin with, so that there is something to widen.
        bin.model.speed.mean = bin.speed.ln() + 0.1 * chance.normal();
        bin.model.speed.sd = 0.1;
        let mut always_within = true;
        for week in 0..10 {
            bin.pass(plus_days(start, f64::from(week) * 7.0));
            let room = bin.room();
            assert!(room > 0.05, "closed in week {week}");
            first += if week == 0 { room / bin.week() } else { 0.0 };
            last += if week == 9 { room / bin.week() } else { 0.0 };
            bin.feed(room);
            always_within &= bin.uneaten <= bin.week() * (1.0 + 1e-9);
        }
        safe_seeds += u32::from(always_within);
    }
    println!(
        "ten weeks unseen: safe in {:.1} % of seeds; room falls from {:.2} to {:.2} of the true week",
        f64::from(safe_seeds) / 2.0,
        first / 200.0,
        last / 200.0
    );
    assert!(safe_seeds >= 190);
    assert!(last < first);
}
