//! What may be set about a closure. The model's own constants stand in
//! [`crate::living_bin::settings`].

use super::closing::ClosingError;
use crate::units::Fraction;
use serde::{Deserialize, Serialize};

/// The constants of a closure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ClosureSettings {
    /// The share of the worms at the last turn that must live on every day of the span (our
    /// suggestion: a stock that lost a fifth is back within a month of good feeding).
    pub wanted_share: Fraction,
    /// How much faster a bed dries in a heated room than in an unheated one of the same
    /// warmth (our suggestion; heated air is drier).
    pub heated_drying: f64,
    /// By how many days at 20 degrees Celsius the first turn after may come later than a visit
    /// could (our suggestion: the last turn before and the first turn after lie outside the
    /// closed days, and three closed weeks are fine without anybody, which is common
    /// practice). The worms that die meanwhile count.
    pub first_turn_grace_days: f64,
    /// A bin with less than this share of its worms is lost (our suggestion: two months unfed
    /// and untended are the end, which is common practice).
    pub lost_share: Fraction,
    /// With a smaller share of its worms than this a bin goes through the ramp again (our
    /// suggestion).
    pub ramp_below: Fraction,
    /// How many visits the search tries before it goes on without a proof that there is no plan
    /// with fewer (our suggestion: about a second).
    pub most_tried: u32,
}

impl Default for ClosureSettings {
    fn default() -> Self {
        Self {
            wanted_share: Fraction(0.8),
            heated_drying: 1.5,
            first_turn_grace_days: 2.0,
            lost_share: Fraction(0.25),
            ramp_below: Fraction(0.9),
            most_tried: 10_000,
        }
    }
}

impl ClosureSettings {
    /// The settings, if every constant is within the range in which a plan means anything.
    ///
    /// # Errors
    /// Names the first constant that is not.
    pub fn checked(self) -> Result<Self, ClosingError> {
        let ranges = [
            ("wanted_share", self.wanted_share.0, 0.05, 1.0),
            ("heated_drying", self.heated_drying, 1.0, 3.0),
            (
                "first_turn_grace_days",
                self.first_turn_grace_days,
                0.0,
                7.0,
            ),
            ("lost_share", self.lost_share.0, 0.0, 1.0),
            ("ramp_below", self.ramp_below.0, 0.0, 1.0),
            ("most_tried", f64::from(self.most_tried), 1.0, 1e6),
        ];
        let wrong = ranges
            .iter()
            .find(|(_, value, least, most)| !(value >= least && value <= most));
        match wrong {
            Some(&(name, value, least, most)) => Err(ClosingError::Setting {
                name,
                value,
                least,
                most,
            }),
            None => Ok(self),
        }
    }
}
