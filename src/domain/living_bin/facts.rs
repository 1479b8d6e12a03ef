//! How well a bin is known, and when a look into it would teach most.

use super::gate::Gate;
use super::habitat::Habitat;
use super::state::BinState;
use super::time::{days_between, plus_days};
use chrono::{DateTime, Utc};

/// How far ahead a moment for a check is looked for, days.
const LOOK_AHEAD_DAYS: f64 = 14.0;
/// Steps of that search, days.
const STEP_DAYS: f64 = 0.25;

/// How well a bin's speed is known, in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sureness {
    /// Only what handbooks say.
    Handbook,
    /// Within about a third.
    Rough,
    /// Within about a sixth.
    Fair,
    /// Better than that.
    Good,
}

impl Sureness {
    /// The stable code.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Handbook => "handbook",
            Self::Rough => "rough",
            Self::Fair => "fair",
            Self::Good => "good",
        }
    }
}

/// What is known of a bin's speed, beside the handbook's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpeedFacts {
    /// kg of food a kg of worms eats in a day at its best: 5 %, median, 95 %.
    pub speed: (f64, f64, f64),
    /// The handbook's median.
    pub handbook: f64,
    /// How well it is known.
    pub sureness: Sureness,
    /// How many checks taught it.
    pub lessons: u32,
}

/// What is known of a bin's speed at the state's instant.
#[must_use]
pub fn speed_facts(habitat: &Habitat, state: &BinState) -> SpeedFacts {
    let s = &habitat.settings;
    let sd = state.speed.sd_at(s, state.at);
    let at = |deviations: f64| libm::exp(state.speed.quantile(s, state.at, deviations, 0.0));
    let sureness = if state.lessons == 0 || sd >= s.speed_log_sd {
        Sureness::Handbook
    } else if sd > 0.17 {
        Sureness::Rough
    } else if sd > 0.10 {
        Sureness::Fair
    } else {
        Sureness::Good
    };
    SpeedFacts {
        speed: (at(-s.caution), at(0.0), at(s.caution)),
        handbook: s.speed_median,
        sureness,
        lessons: state.lessons,
    }
}

/// When somebody should look into the bin: at once if it is held; else when so much of
/// the last meal should be left that every answer teaches. `None` when there is
/// nothing to see: no meal since the last check, or it will last for weeks.
#[must_use]
pub fn check_due_at(habitat: &Habitat, state: &BinState) -> Option<DateTime<Utc>> {
    if let Gate::Held { since, .. } = state.gate {
        return Some(since);
    }
    let fed_at = state.last_fed_at?;
    if state.last_check_at.is_some_and(|check| check >= fed_at) {
        return None;
    }
    let telling = state.last_meal.0 * habitat.settings.check_when_left;
    let not_before = state.last_check_at.map_or(state.at, |check| {
        let again = plus_days(check, habitat.settings.look_again_days);
        again.max(state.at)
    });
    let mut ahead = state.clone();
    while days_between(state.at, ahead.at) <= LOOK_AHEAD_DAYS {
        let (left, _) = ahead.uneaten.nearest(ahead.speed.mean);
        if left <= telling {
            return Some(ahead.at.max(not_before));
        }
        let next = plus_days(ahead.at, STEP_DAYS);
        ahead.advance(habitat, next);
    }
    None
}
