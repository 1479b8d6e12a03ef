//! How warm the bed is: read, or assumed from where the bin stands and the month.

use super::settings::{FollowsAir, ModelSettings};
use super::time::days_between;
use crate::site::Spot;
use crate::units::Celsius;
use chrono::{DateTime, Datelike, Utc};
use serde::{Deserialize, Serialize};

/// The monthly means of the air outside, January to December, degrees Celsius.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Climate(pub [f64; 12]);

impl Default for Climate {
    /// A mild northern climate with cool summers (our suggestion; a site should give its
    /// own figures).
    fn default() -> Self {
        Self([
            4.0, 5.0, 7.0, 10.0, 14.0, 17.0, 19.0, 19.0, 16.0, 12.0, 7.0, 5.0,
        ])
    }
}

impl Climate {
    /// Air temperature at an instant: linear between the middles of the months.
    fn air(&self, t: DateTime<Utc>) -> f64 {
        let into_month = (f64::from(t.day()) - 0.5) / 30.5 - 0.5;
        let month = t.month0() as usize;
        let neighbour = if into_month < 0.0 {
            (month + 11) % 12
        } else {
            (month + 1) % 12
        };
        let here = self.0.get(month).copied().unwrap_or(15.0);
        let there = self.0.get(neighbour).copied().unwrap_or(here);
        here + (there - here) * libm::fabs(into_month)
    }

    /// What the bed is taken to have when nobody measured.
    #[must_use]
    pub fn assumed_bed(&self, settings: &ModelSettings, spot: Spot, t: DateTime<Utc>) -> Celsius {
        let FollowsAir { base, share } = match spot {
            Spot::Indoors => settings.bed_indoors,
            Spot::Sheltered => settings.bed_sheltered,
            Spot::Outdoors => settings.bed_outdoors,
        };
        Celsius(base.0 * (1.0 - share) + self.air(t) * share)
    }
}

/// A bed temperature that somebody or a probe measured. Air is never read as bed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BedReading {
    /// Degrees Celsius.
    pub bed: Celsius,
    /// When.
    pub at: DateTime<Utc>,
}

/// The bed's temperature at an instant, with its spread (one standard deviation).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BedTemperature {
    /// Degrees Celsius.
    pub bed: Celsius,
    /// One standard deviation, degrees Celsius.
    pub sd: f64,
    /// Nobody measured lately: the figure comes from spot and month.
    pub assumed: bool,
}

/// A reading's news fades exponentially towards what is assumed, and its spread grows.
#[must_use]
pub(crate) fn bed_temperature(
    settings: &ModelSettings,
    climate: &Climate,
    spot: Spot,
    reading: Option<BedReading>,
    t: DateTime<Utc>,
) -> BedTemperature {
    let assumed = climate.assumed_bed(settings, spot, t);
    let far = settings.assumed_temperature_sd;
    let Some(reading) = reading else {
        return BedTemperature {
            bed: assumed,
            sd: far,
            assumed: true,
        };
    };
    let age = libm::fmax(days_between(reading.at, t), 0.0);
    let kept = libm::exp(-age / settings.reading_fades_days);
    let news = reading.bed - climate.assumed_bed(settings, spot, reading.at);
    let near = settings.read_temperature_sd;
    let variance = far * far + (near * near - far * far) * kept * kept;
    BedTemperature {
        bed: assumed + news * kept,
        sd: libm::sqrt(libm::fmax(variance, 0.0)),
        assumed: age > settings.reading_fades_days,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeZone;

    fn noon(month: u32, day: u32) -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, month, day, 12, 0, 0).unwrap()
    }

    #[test]
    fn a_bin_outdoors_follows_the_seasons_and_one_indoors_hardly_does() {
        let (settings, climate) = (ModelSettings::default(), Climate::default());
        let bed = |spot, month| climate.assumed_bed(&settings, spot, noon(month, 16)).0;
        let swing = |spot| bed(spot, 7) - bed(spot, 1);
        assert!(swing(Spot::Outdoors) > 12.0);
        assert!(swing(Spot::Sheltered) > 6.0 && swing(Spot::Sheltered) < swing(Spot::Outdoors));
        assert!(swing(Spot::Indoors) < 2.0);
    }

    #[test]
    fn a_fresh_reading_rules_and_an_old_one_is_forgotten() {
        let (settings, climate) = (ModelSettings::default(), Climate::default());
        let reading = BedReading {
            bed: Celsius(29.0),
            at: noon(7, 16),
        };
        let at = |t| bed_temperature(&settings, &climate, Spot::Outdoors, Some(reading), t);
        assert!((at(noon(7, 16)).bed.0 - 29.0).abs() < 1e-9);
        assert!(!at(noon(7, 16)).assumed);
        let later = at(noon(8, 30));
        assert!(later.assumed);
        let forgotten = climate
            .assumed_bed(&settings, Spot::Outdoors, noon(8, 30))
            .0;
        assert!((later.bed.0 - forgotten).abs() < 0.01);
        assert!(later.sd > at(noon(7, 18)).sd && at(noon(7, 18)).sd > at(noon(7, 16)).sd);
    }

    #[test]
    fn air_between_two_months_does_not_jump() {
        let climate = Climate::default();
        let step = climate.air(noon(3, 1)) - climate.air(noon(2, 28));
        assert!(step.abs() < 0.3, "{step}");
    }
}
