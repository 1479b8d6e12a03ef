//! How well a bin is known, and when a look into it would teach most.

use super::gate::Gate;
use super::habitat::Habitat;
use super::state::BinState;
use super::time::{days_between, plus_days};
use chrono::{DateTime, Utc};

/// Somebody is not asked to look again before this many days have passed.
const CHECK_AGAIN_DAYS: f64 = 3.0;
/// How far ahead a moment for a check is looked for, days.
const LOOK_AHEAD_DAYS: f64 = 14.0;
/// Steps of that search, days.
const STEP_DAYS: f64 = 0.25;

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
        let again = plus_days(check, CHECK_AGAIN_DAYS);
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
