//! The coming days of a bin, with the band of what is not known.

use super::climate::BedTemperature;
use super::habitat::Habitat;
use super::outlook::{Booking, Kept, Outlook};
use super::state::BinState;
use super::time::cell_of;
use crate::units::{Grams, Kg};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// A figure with its 90 % band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// 5 % lie below.
    pub low: Kg,
    /// The median.
    pub middle: Kg,
    /// 5 % lie above.
    pub high: Kg,
}

/// One day of a forecast, seen at its first moment (today: now).
#[derive(Debug, Clone, PartialEq)]
pub struct ForecastDay {
    /// The moment.
    pub at: DateTime<Utc>,
    /// The bed's temperature.
    pub bed: BedTemperature,
    /// Food the bin eats in a day.
    pub appetite: Band,
    /// Food not eaten yet, bookings of earlier days kept.
    pub uneaten: Band,
    /// What the bin can take, bookings kept.
    pub room: Grams,
    /// What is kept for bookings that are due before the next day.
    pub kept: Grams,
}

/// What the bin eats in a day at this moment.
#[must_use]
pub fn appetite(habitat: &Habitat, state: &BinState) -> Band {
    let (middle, _) = cell_of(state.at);
    let pace = habitat.pace(state.reading, state.moisture, middle);
    let deviations = habitat.settings.caution;
    let at = |deviations: f64| {
        let z = state.coming_speed(habitat, deviations);
        Kg(libm::exp(z) * state.vitals.worms_kg * pace.eating)
    };
    Band {
        low: at(-deviations),
        middle: at(0.0),
        high: at(deviations),
    }
}

/// Food not eaten yet at this moment.
#[must_use]
pub fn uneaten(habitat: &Habitat, state: &BinState) -> Band {
    let deviations = habitat.settings.caution;
    let at = |deviations: f64| Kg(state.uneaten.at(state.past_speed(habitat, deviations)));
    Band {
        low: at(deviations),
        middle: at(0.0),
        high: at(-deviations),
    }
}

/// The forecast at each of these moments, which must rise and begin at or after the
/// state's own.
#[must_use]
pub fn forecast(
    habitat: &Habitat,
    state: &BinState,
    bookings: &[Booking],
    moments: &[DateTime<Utc>],
) -> Vec<ForecastDay> {
    let outlook = Outlook::cautious(habitat, state);
    let kept = outlook.room(bookings).kept;
    let mut ahead = state.clone();
    let mut next_booking = kept.iter().peekable();
    let mut days = Vec::with_capacity(moments.len());
    for (i, &at) in moments.iter().enumerate() {
        while let Some(booking) = next_booking.next_if(|kept| kept.due_at < at) {
            ahead.advance(habitat, booking.due_at);
            ahead.expect_food(booking.amount.kg());
        }
        ahead.advance(habitat, at);
        let until = moments.get(i + 1).copied();
        let in_day = |k: &&Kept| k.due_at >= at && until.is_none_or(|end| k.due_at < end);
        days.push(ForecastDay {
            at,
            bed: habitat.bed_temperature(state.reading, at),
            appetite: appetite(habitat, &ahead),
            uneaten: uneaten(habitat, &ahead),
            room: outlook.room_at(at, bookings),
            kept: kept.iter().filter(in_day).map(|k| k.amount).sum(),
        });
    }
    days
}
