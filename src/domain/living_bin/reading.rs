//! Which measured values can be true, and which of them say something new.

use super::settings::ModelSettings;
use super::time::days_between;
use crate::coded::coded;
use crate::units::{Celsius, Fraction};
use chrono::{DateTime, Utc};

coded! {
    /// What was measured.
    Quantity {
        /// The bed's temperature, degrees Celsius.
        BedTemperature = "bed_c",
        /// The bed's moisture, 0 to 1.
        BedMoisture = "bed_moisture",
        /// The air's temperature, degrees Celsius. Never read as the bed's.
        AirTemperature = "air_c",
    }
}

coded! {
    /// Why a value counts for nothing.
    SetAside {
        /// 85 degrees Celsius: what a common digital probe says before its first
        /// measurement (from memory).
        PowerOnValue = "power_on_value",
        /// -127 degrees Celsius: what software says when no probe answers (from memory).
        NoProbe = "no_probe",
        /// No bed is so hot, so cold, so wet or so dry.
        Impossible = "impossible",
        /// The air is not the bed.
        NotTheBed = "not_the_bed",
    }
}

/// A value that came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// When it was measured.
    pub at: DateTime<Utc>,
    /// What.
    pub quantity: Quantity,
    /// How much, in the quantity's unit.
    pub value: f64,
}

/// Coldest bed that is believed, degrees Celsius.
const COLDEST: f64 = -25.0;
/// Hottest bed that is believed, degrees Celsius.
const HOTTEST: f64 = 70.0;
impl Value {
    /// Why the value counts for nothing, if it does.
    #[must_use]
    pub fn set_aside(&self) -> Option<SetAside> {
        let close = |to: f64| libm::fabs(self.value - to) < 0.01;
        match self.quantity {
            Quantity::AirTemperature => Some(SetAside::NotTheBed),
            Quantity::BedTemperature if close(85.0) => Some(SetAside::PowerOnValue),
            Quantity::BedTemperature if close(-127.0) => Some(SetAside::NoProbe),
            Quantity::BedTemperature => {
                (!(COLDEST..=HOTTEST).contains(&self.value)).then_some(SetAside::Impossible)
            }
            Quantity::BedMoisture => {
                (!(0.05..=1.0).contains(&self.value)).then_some(SetAside::Impossible)
            }
        }
    }
}

/// What of a batch becomes entries on the spine: those that say something new. The values
/// must be in order of time; `last` is the last temperature that counted before them.
#[must_use]
pub fn news(
    settings: &ModelSettings,
    last: Option<(DateTime<Utc>, Celsius)>,
    values: &[Value],
) -> Vec<(DateTime<Utc>, Option<Celsius>, Option<Fraction>)> {
    let mut temperature = last.map(|(at, bed)| (at, bed.0));
    let mut moisture: Option<(DateTime<Utc>, f64)> = None;
    let mut entries = Vec::new();
    for value in values.iter().filter(|value| value.set_aside().is_none()) {
        let (known, step) = match value.quantity {
            Quantity::BedTemperature => (&mut temperature, settings.news_celsius),
            Quantity::BedMoisture => (&mut moisture, settings.news_moisture),
            Quantity::AirTemperature => continue,
        };
        let old = known.is_some_and(|(at, before)| {
            let days = days_between(at, value.at);
            (0.0..settings.news_after_days).contains(&days)
                && libm::fabs(before - value.value) < step
        });
        // A limit is always news: a bin must not stay closed, or open, for a small step.
        let crosses = value.quantity == Quantity::BedTemperature
            && known.is_some_and(|(_, before)| crosses(settings, before, value.value));
        if old && !crosses {
            continue;
        }
        *known = Some((value.at, value.value));
        entries.push(match value.quantity {
            Quantity::BedMoisture => (value.at, None, Some(Fraction(value.value))),
            _ => (value.at, Some(Celsius(value.value)), None),
        });
    }
    entries
}

/// Whether heat closes a bin, or lets it open again, between these two bed temperatures.
fn crosses(settings: &ModelSettings, before: f64, now: f64) -> bool {
    let closed = |bed: f64| bed > settings.heat_closes_above.0;
    let reopened = |bed: f64| bed < settings.heat_reopens_below.0;
    closed(before) != closed(now) || reopened(before) != reopened(now)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{TimeDelta, TimeZone};

    fn at(minutes: i64) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, 7, 1, 12, 0, 0).unwrap() + TimeDelta::minutes(minutes)
    }

    fn bed(minutes: i64, value: f64) -> Value {
        Value {
            at: at(minutes),
            quantity: Quantity::BedTemperature,
            value,
        }
    }

    #[test]
    fn values_that_cannot_be_true_are_set_aside_with_the_reason() {
        let reason = |value| bed(0, value).set_aside().map(SetAside::code);
        assert_eq!(reason(85.0), Some("power_on_value"));
        assert_eq!(reason(-127.0), Some("no_probe"));
        assert_eq!(reason(300.0), Some("impossible"));
        assert_eq!(reason(31.0), None);
        let air = Value {
            quantity: Quantity::AirTemperature,
            ..bed(0, 20.0)
        };
        assert_eq!(air.set_aside(), Some(SetAside::NotTheBed));
    }

    #[test]
    fn a_probe_that_repeats_itself_makes_one_entry_every_half_day() {
        let values: Vec<Value> = (0..24 * 60).step_by(10).map(|m| bed(m, 20.0)).collect();
        let entries = news(&ModelSettings::default(), None, &values);
        assert_eq!(entries.len(), 2);
    }

    #[test]
    fn crossing_the_limit_is_news_however_small_the_step() {
        let values = [bed(0, 29.9), bed(10, 30.1), bed(20, 29.9)];
        assert_eq!(news(&ModelSettings::default(), None, &values).len(), 3);
        let values = [bed(0, 28.1), bed(10, 27.9), bed(20, 28.1)];
        assert_eq!(news(&ModelSettings::default(), None, &values).len(), 3);
    }
}
