//! How fast a bin eats, known only as a band.
//!
//! z = ln(kg of food that a kg of worms eats in a day at its best) is normal with mean m
//! and standard deviation s. What lies uneaten falls as z rises, so its quantile is the
//! run at z's quantile: the state keeps a run for every z of a fixed grid.

use super::settings::ModelSettings;
use super::time::days_between;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// Lowest z of the grid: 0.045 kg a day for a kg of worms.
const GRID_FROM: f64 = -3.1;
const GRID_STEP: f64 = 0.05;
/// Number of runs that a state keeps; the last is z = 0.1, just above a worm's own weight
/// a day, which is the claim often heard and an upper bound (common practice, no source).
pub(crate) const GRID_POINTS: usize = 65;

/// The z values of the grid, rising.
pub(crate) fn grid() -> impl ExactSizeIterator<Item = f64> {
    (0..GRID_POINTS).map(grid_z)
}

#[expect(clippy::cast_precision_loss, reason = "65 points")]
fn grid_z(i: usize) -> f64 {
    GRID_FROM + GRID_STEP * i as f64
}

/// Food that is left uneaten, at every speed of the grid: kilograms, falling with speed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<f64>", into = "Vec<f64>")]
pub struct Tracks([f64; GRID_POINTS]);

impl TryFrom<Vec<f64>> for Tracks {
    type Error = String;

    fn try_from(kilograms: Vec<f64>) -> Result<Self, String> {
        let found = kilograms.len();
        let runs = kilograms.try_into();
        runs.map(Self)
            .map_err(|_| format!("{GRID_POINTS} runs expected, {found} found"))
    }
}

impl From<Tracks> for Vec<f64> {
    fn from(tracks: Tracks) -> Self {
        tracks.0.to_vec()
    }
}

impl Tracks {
    /// The same amount at every speed.
    pub(crate) fn level(kg: f64) -> Self {
        Self([kg; GRID_POINTS])
    }

    /// Food put in: it lies there whatever the speed.
    pub(crate) fn add(&mut self, kg: f64) {
        for run in &mut self.0 {
            *run += kg;
        }
    }

    /// Eats for an effort (kg of worms times days at their best).
    pub(crate) fn eat(&mut self, effort: f64) {
        for (run, z) in self.0.iter_mut().zip(grid()) {
            *run = libm::fmax(*run - libm::exp(z) * effort, 0.0);
        }
    }

    /// Bounds what is left at every speed.
    pub(crate) fn map(&mut self, bound: impl Fn(f64) -> f64) {
        for run in &mut self.0 {
            *run = bound(*run);
        }
    }

    /// What is left at a speed between two of the grid, by a straight line in z; outside
    /// the grid its nearest end.
    pub(crate) fn at(&self, z: f64) -> f64 {
        let place = (z - GRID_FROM) / GRID_STEP;
        let below = libm::floor(place);
        let [first, .., last] = self.0;
        if below < 0.0 {
            return first;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and a cast saturates"
        )]
        let i = below as usize;
        match (self.0.get(i), self.0.get(i.saturating_add(1))) {
            (Some(low), Some(high)) => low + (high - low) * (place - below),
            _ => last,
        }
    }

    /// What is left at the grid's speed nearest to z, and that speed.
    pub(crate) fn nearest(&self, z: f64) -> (f64, f64) {
        let place = libm::round((z - GRID_FROM) / GRID_STEP);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a cast saturates, and min keeps it on the grid"
        )]
        let i = (place as usize).min(GRID_POINTS - 1);
        (self.0.get(i).copied().unwrap_or(0.0), libm::exp(grid_z(i)))
    }
}

/// What is known of one bin's speed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SpeedBand {
    /// Mean of z.
    pub mean: f64,
    /// Standard deviation of z when last learnt.
    pub sd: f64,
    /// When it was last learnt: at a check, or at stocking.
    pub learnt_at: DateTime<Utc>,
}

impl SpeedBand {
    /// The handbook's band, for a bin of which nothing is known.
    pub(crate) fn prior(settings: &ModelSettings, at: DateTime<Utc>) -> Self {
        Self {
            mean: libm::log(settings.speed_median),
            sd: settings.speed_log_sd,
            learnt_at: at,
        }
    }

    /// Standard deviation of z at a later time: news ages, but what is known never gets
    /// worse than the handbook's band.
    pub(crate) fn sd_at(&self, settings: &ModelSettings, t: DateTime<Utc>) -> f64 {
        let days = libm::fmax(days_between(self.learnt_at, t), 0.0);
        let widest = libm::fmax(self.sd, settings.speed_log_sd);
        let aged = libm::sqrt(self.sd * self.sd + settings.speed_drift_per_day * days);
        libm::fmin(aged, widest)
    }

    /// z so many standard deviations from the middle, with a further spread (as from an
    /// unmeasured temperature) added in; never above the cap.
    pub(crate) fn quantile(
        &self,
        settings: &ModelSettings,
        t: DateTime<Utc>,
        deviations: f64,
        further_sd: f64,
    ) -> f64 {
        let sd = self.sd_at(settings, t);
        let both = libm::sqrt(sd * sd + further_sd * further_sd);
        libm::fmin(self.mean + deviations * both, libm::log(settings.speed_cap))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Duration, TimeZone};

    #[test]
    fn a_run_between_two_speeds_lies_between_them() {
        let mut tracks = Tracks::level(1.0);
        tracks.eat(1.0);
        let z = GRID_FROM + 10.3 * GRID_STEP;
        let exact = 1.0 - libm::exp(z);
        assert!((tracks.at(z) - exact).abs() < 1e-4);
        assert!((tracks.at(-99.0) - (1.0 - libm::exp(GRID_FROM))).abs() < 1e-12);
        assert!(tracks.at(99.0).abs() < 1e-12);
    }

    #[test]
    fn slower_worms_leave_more() {
        let mut tracks = Tracks::level(2.0);
        tracks.eat(3.0);
        let left: Vec<f64> = tracks.into();
        assert!(left.windows(2).all(|pair| pair[0] >= pair[1]));
    }

    #[test]
    fn the_band_widens_without_checks_but_not_beyond_the_handbook() {
        let s = ModelSettings::default();
        let at = Utc.with_ymd_and_hms(2026, 5, 4, 8, 0, 0).unwrap();
        let known = SpeedBand {
            mean: -1.3,
            sd: 0.1,
            learnt_at: at,
        };
        let after = |days| known.sd_at(&s, at + Duration::days(days));
        assert!(after(10) > after(1) && after(1) > after(0));
        assert!((after(100_000) - s.speed_log_sd).abs() < 1e-12);
    }

    #[test]
    fn admission_never_believes_a_speed_above_the_cap() {
        let s = ModelSettings::default();
        let at = Utc.with_ymd_and_hms(2026, 5, 4, 8, 0, 0).unwrap();
        let wild = SpeedBand {
            mean: 2.0,
            sd: 0.1,
            learnt_at: at,
        };
        let z = wild.quantile(&s, at, -s.caution, 0.0);
        assert!(libm::exp(z) <= s.speed_cap + 1e-12);
    }
}
