//! What somebody saw in a bin, and what the model learns from it.
//!
//! People judge what is left of the last meal in five steps; each step is an interval.
//! "Nothing left" only says that the bin is at least so fast. More food than the log can
//! explain is most likely food that nobody logged, and never evidence that the bin is slow.

use super::settings::ModelSettings;
use super::speed::{SpeedBand, Tracks, grid};
use crate::coded::coded;
use crate::units::{Fraction, Grams, Kg};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

coded! {
    /// How much of the last meal is still there, all that lies in the bin counted.
    Left {
        /// Nothing.
        None = "none",
        /// A little: up to a quarter.
        Little = "little",
        /// About half: a quarter to six tenths.
        Half = "half",
        /// Most: six to nine tenths.
        Most = "most",
        /// All of it, or more than was in the last meal.
        All = "all",
    }
}

impl Left {
    /// The interval as shares of the last meal; `None` where there is no bound.
    fn bounds(self) -> (Option<f64>, Option<f64>) {
        match self {
            Self::None => (None, Some(0.05)),
            Self::Little => (Some(0.05), Some(0.25)),
            Self::Half => (Some(0.25), Some(0.60)),
            Self::Most => (Some(0.60), Some(0.90)),
            Self::All => (Some(0.90), None),
        }
    }
}

coded! {
    /// How the bin smells.
    Smell {
        /// Of earth, or not at all.
        Earthy = "earthy",
        /// Sour or rotten: the sign of too much food, too little air.
        Sour = "sour",
        /// Of ammonia: too little carbon.
        Ammonia = "ammonia",
    }
}

coded! {
    /// How wet the bed is: squeeze a handful.
    Dampness {
        /// Crumbles: no drop, no shine.
        Dry = "dry",
        /// Like a wrung-out sponge: a drop or two.
        Right = "right",
        /// Water runs.
        Wet = "wet",
    }
}

impl Dampness {
    /// The moisture that each step stands for (our suggestion, around the 70 to 85 % of
    /// Kaplan et al. 1980).
    #[must_use]
    pub fn moisture(self) -> Fraction {
        match self {
            Self::Dry => Fraction(0.62),
            Self::Right => Fraction(0.78),
            Self::Wet => Fraction(0.88),
        }
    }
}

coded! {
    /// Animals that came uninvited, and worms that want out.
    Visitor {
        /// Fruit flies: food lies open.
        FruitFlies = "fruit_flies",
        /// Ants: the bed is dry.
        Ants = "ants",
        /// Mites in numbers: wet, or too much food.
        Mites = "mites",
        /// Worms on the walls or the lid.
        WormsClimbing = "worms_climbing",
        /// Liquid stands at the bottom.
        Liquid = "liquid",
        /// Rats or mice.
        Rodents = "rodents",
    }
}

/// What somebody saw. Everything is optional: a check with one answer is a check.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// What is left of the last meal.
    pub left: Option<Left>,
    /// There is food that nobody logged.
    #[serde(default)]
    pub unlogged: bool,
    /// The smell.
    pub smell: Option<Smell>,
    /// Wet or dry.
    pub dampness: Option<Dampness>,
    /// What else was seen.
    #[serde(default)]
    pub visitors: Vec<Visitor>,
}

/// What a check taught.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Lesson {
    /// The speed, learnt anew.
    pub speed: SpeedBand,
    /// Food that is there and that the log does not know, if that explains the check better
    /// than a slow bin.
    pub found: Option<Kg>,
}

/// What a check saw of the last meal, in kilograms with its error.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sight {
    low: f64,
    high: f64,
    /// Standard error of the eye, kg.
    error: f64,
    meal: f64,
}

impl Sight {
    /// What `left` means after a meal of this size.
    pub(crate) fn of(settings: &ModelSettings, left: Left, meal: Kg) -> Self {
        let (low, high) = left.bounds();
        Self {
            low: low.map_or(f64::NEG_INFINITY, |share| share * meal.0),
            high: high.map_or(f64::INFINITY, |share| share * meal.0),
            error: libm::fmax(settings.check_error * meal.0, 1e-6),
            meal: meal.0,
        }
    }

    /// Probability of this sight when so much is there.
    fn probability(&self, there: f64) -> f64 {
        let below = |bound: f64| normal_cdf((bound - there) / self.error);
        libm::fmax(below(self.high) - below(self.low), 0.0)
    }

    /// The same when somebody added an unknown amount, up to one and a half meals, and did
    /// not log it.
    fn probability_with_more(&self, there: f64) -> f64 {
        const STEPS: u32 = 15;
        let more = |i: u32| there + self.meal * 0.1 * f64::from(i);
        (1..=STEPS).map(|i| self.probability(more(i))).sum::<f64>() / f64::from(STEPS)
    }

    /// What may lie there after this sight, kg.
    pub(crate) fn clamp(&self, there: f64) -> f64 {
        let low = libm::fmax(self.low - self.error, 0.0);
        libm::fmin(libm::fmax(there, low), self.high + self.error)
    }
}

/// What somebody saw is not believed when it is less probable than this at every speed: the
/// look was careless, or at another bin.
const MUST_BE_POSSIBLE: f64 = 1e-4;

/// Learns from a sight: the posterior of z on the grid, matched in mean and variance. `None`
/// when no speed could explain it.
/// `temperature_sd` is how far an unmeasured bed temperature may have shifted z.
pub(crate) fn learn(
    settings: &ModelSettings,
    band: &SpeedBand,
    tracks: &Tracks,
    sight: &Sight,
    unlogged: bool,
    temperature_sd: f64,
    at: DateTime<Utc>,
) -> Option<Lesson> {
    let sd = band.sd_at(settings, at);
    let prior: Vec<f64> = grid()
        .map(|z| normal_density((z - band.mean) / sd))
        .collect();
    let logged: Vec<f64> = blurred(
        grid().map(|z| sight.probability(tracks.at(z))).collect(),
        temperature_sd,
    );
    let more: Vec<f64> = blurred(
        grid()
            .map(|z| sight.probability_with_more(tracks.at(z)))
            .collect(),
        temperature_sd,
    );
    let chance = if unlogged {
        1.0
    } else {
        settings.unlogged_chance
    };

    let with_log: Vec<f64> = product(&prior, &logged, 1.0 - chance);
    let with_more: Vec<f64> = product(&prior, &more, chance);
    let (log_weight, more_weight): (f64, f64) = (with_log.iter().sum(), with_more.iter().sum());
    let total = log_weight + more_weight;
    if total <= MUST_BE_POSSIBLE {
        return None;
    }
    let weight = |i: usize| with_log.get(i).unwrap_or(&0.0) + with_more.get(i).unwrap_or(&0.0);
    let mean = grid().enumerate().map(|(i, z)| weight(i) * z).sum::<f64>() / total;
    let square = |z: f64| (z - mean) * (z - mean);
    let variance = grid()
        .enumerate()
        .map(|(i, z)| weight(i) * square(z))
        .sum::<f64>()
        / total;
    let learnt = libm::sqrt(variance + settings.check_wander * settings.check_wander);
    let speed = SpeedBand {
        mean,
        sd: learnt,
        learnt_at: at,
    };
    let surplus = sight.low - tracks.at(mean);
    let likely = more_weight > log_weight;
    let found = (likely && surplus > sight.error).then_some(Kg(surplus));
    Some(Lesson { speed, found })
}

fn product(prior: &[f64], likelihood: &[f64], factor: f64) -> Vec<f64> {
    prior
        .iter()
        .zip(likelihood)
        .map(|(p, l)| p * l * factor)
        .collect()
}

/// A likelihood over the grid, smoothed by a normal of this standard deviation.
fn blurred(values: Vec<f64>, sd: f64) -> Vec<f64> {
    if sd < 1e-6 {
        return values;
    }
    let smooth = |z: f64| {
        let weights = grid().map(|other| normal_density((other - z) / sd));
        let (sum, norm) = weights
            .zip(&values)
            .fold((0.0, 0.0), |(sum, norm), (w, v)| (sum + w * v, norm + w));
        sum / norm
    };
    grid().map(smooth).collect()
}

fn normal_density(x: f64) -> f64 {
    libm::exp(-0.5 * x * x)
}

fn normal_cdf(x: f64) -> f64 {
    0.5 * libm::erfc(-x * core::f64::consts::FRAC_1_SQRT_2)
}

/// Food that a check found and nobody had logged, in whole grams.
#[must_use]
pub(crate) fn found_grams(found: Option<Kg>) -> Option<Grams> {
    found
        .map(Grams::rounded_up)
        .filter(|grams| *grams > Grams::ZERO)
}
