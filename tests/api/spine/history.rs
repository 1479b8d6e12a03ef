//! Random histories of bins, and in which order they are told.

use chrono::{DateTime, TimeDelta, Utc};
use rand::RngExt;
use rand::rngs::StdRng;
use rand::seq::IndexedRandom;
use std::collections::BTreeSet;
use wormrota::desk::Desk;
use wormrota::desk::offers::{Amount, Item};
use wormrota_domain::living_bin::check::{Check, Dampness, Left, Smell, Visitor};
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::reading::Quantity;
use wormrota_domain::site::Spot;
use wormrota_domain::units::{Fraction, Grams, Litres, SquareMetres};

/// Something that happened, with when it was told in each of the two bins.
#[derive(Debug, Clone)]
pub(super) struct Chapter {
    pub(super) what: What,
    pub(super) at: DateTime<Utc>,
    pub(super) told: [DateTime<Utc>; 2],
    /// When it is taken back in each bin, if it is.
    pub(super) taken_back: Option<[DateTime<Utc>; 2]>,
}

#[derive(Debug, Clone)]
pub(super) enum What {
    Told {
        items: Vec<Item>,
        bedding: Grams,
    },
    /// Asked for at once in the first bin; in the second, what was allowed there is told.
    PutIn {
        items: Vec<Item>,
    },
    Seen(Check, bool),
    Measured(Quantity, f64),
    Bedded(Grams),
    TakenOut(Grams),
    Sided(Fraction),
}

/// A history with the bin it happens to.
#[derive(Debug, Clone)]
pub(super) struct History {
    pub(super) spot: Spot,
    pub(super) surface_cm2: i32,
    pub(super) worms: Grams,
    pub(super) stocked_at: DateTime<Utc>,
    pub(super) chapters: Vec<Chapter>,
}

/// One step of a recording: a chapter, or taking it back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Step {
    Tell(usize),
    TakeBack(usize),
}

impl History {
    pub(super) fn random(rng: &mut StdRng) -> Self {
        let stocked_at: DateTime<Utc> = "2026-04-01T08:00:00Z".parse().unwrap();
        let stocked_at = stocked_at + TimeDelta::days(rng.random_range(0..200));
        // Some bins are young and some take full meals.
        let begins = stocked_at + TimeDelta::days(rng.random_range(0..45));
        let mut minutes = BTreeSet::new();
        while minutes.len() < 4 + rng.random_range(0..5) {
            minutes.insert(rng.random_range(1..20 * 24 * 60));
        }
        let chapters = minutes
            .into_iter()
            .map(|minute| Chapter::random(rng, begins + TimeDelta::minutes(minute)))
            .collect();
        Self {
            spot: *Spot::ALL.choose(rng).unwrap(),
            surface_cm2: rng.random_range(800..4_000),
            worms: Grams(rng.random_range(150..1_500)),
            stocked_at,
            chapters,
        }
    }

    /// The steps of a recording in the order in which they are taken.
    pub(super) fn steps(&self, bin: usize) -> Vec<(DateTime<Utc>, Step)> {
        let mut steps = Vec::new();
        for (i, chapter) in self.chapters.iter().enumerate() {
            steps.push((chapter.told[bin], Step::Tell(i)));
            let taken_back = chapter.taken_back.map(|at| at[bin]);
            steps.extend(taken_back.map(|at| (at, Step::TakeBack(i))));
        }
        steps.sort();
        steps
    }

    pub(super) fn is_told_in_two_orders(&self) -> bool {
        let order = |bin| self.steps(bin).into_iter().map(|(_, step)| step);
        !order(0).eq(order(1))
    }

    /// The bin as the domain reckons with it.
    pub(super) fn habitat(&self, desk: &Desk) -> Habitat {
        Habitat {
            settings: (*desk.model()).clone(),
            shape: BinShape {
                surface: SquareMetres(f64::from(self.surface_cm2) / 10_000.0),
                volume: Litres(40.0),
                spot: self.spot,
            },
            climate: Climate::default(),
        }
    }
}

impl Chapter {
    pub(super) fn random(rng: &mut StdRng, at: DateTime<Utc>) -> Self {
        let what = What::random(rng);
        let late = |rng: &mut StdRng, days: i64| {
            if days == 0 || rng.random_bool(0.3) {
                at
            } else {
                at + TimeDelta::seconds(rng.random_range(1..days * 86_400))
            }
        };
        let (first, second) = match what {
            What::PutIn { .. } => (0, 15),
            What::Told { .. } | What::Measured(..) => (15, 15),
            // A look is told within a week.
            What::Seen(..) => (6, 6),
            What::Bedded(_) | What::TakenOut(_) | What::Sided(_) => (0, 0),
        };
        let told = [late(rng, first), late(rng, second)];
        let taken_back = rng
            .random_bool(0.25)
            .then(|| told.map(|told| told + TimeDelta::seconds(rng.random_range(1..10 * 86_400))));
        Self {
            what,
            at,
            told,
            taken_back,
        }
    }
}

impl What {
    pub(super) fn random(rng: &mut StdRng) -> Self {
        match rng.random_range(0..100) {
            0..30 => Self::Told {
                items: items(rng, 900),
                bedding: Grams(*[0, 0, 60].choose(rng).unwrap()),
            },
            30..45 => Self::PutIn {
                items: items(rng, 250),
            },
            45..75 => Self::Seen(random_check(rng), rng.random_bool(0.2)),
            75..85 => Self::Measured(Quantity::BedTemperature, rng.random_range(-2.0..37.0)),
            85..90 => Self::Measured(Quantity::BedMoisture, rng.random_range(0.4..0.95)),
            90..94 => Self::Bedded(Grams(rng.random_range(20..500))),
            94..97 => Self::TakenOut(Grams(rng.random_range(20..500))),
            _ => Self::Sided(Fraction(*[0.5, 0.25, 1.0].choose(rng).unwrap())),
        }
    }
}

pub(super) fn items(rng: &mut StdRng, most: i64) -> Vec<Item> {
    let foods = [
        "usual-mix",
        "banana-peel",
        "coffee-grounds",
        "apple-core",
        "onion",
    ];
    let count = rng.random_range(1..=2);
    foods
        .sample(rng, count)
        .map(|food| (*food).to_owned())
        .collect::<Vec<_>>()
        .into_iter()
        .map(|food| Item {
            food,
            amount: Amount::Weighed(Grams(rng.random_range(5..most))),
        })
        .collect()
}

pub(super) fn random_check(rng: &mut StdRng) -> Check {
    let left = [Left::None, Left::Little, Left::Half, Left::Most, Left::All];
    let smell = [Smell::Earthy, Smell::Earthy, Smell::Earthy, Smell::Sour];
    let dampness = [Dampness::Dry, Dampness::Right, Dampness::Wet];
    let some = |rng: &mut StdRng| rng.random_bool(0.7);
    Check {
        left: some(rng).then(|| *left.choose(rng).unwrap()),
        unlogged: rng.random_bool(0.1),
        smell: some(rng).then(|| *smell.choose(rng).unwrap()),
        dampness: some(rng).then(|| *dampness.choose(rng).unwrap()),
        visitors: vec![Visitor::Mites],
    }
}
