//! How a bin stands at a moment of a closure.

use super::drying::moisture_after;
use super::ground::Ground;
use crate::coded::coded;
use crate::living_bin::climate::BedTemperature;
use crate::living_bin::forecast::{Band, uneaten};
use crate::living_bin::state::BinState;
use crate::units::Fraction;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

coded! {
    /// What a plan must keep.
    Broken {
        /// The bed is too dry for the worms.
        Damp = "damp",
        /// Fewer worms live than wanted, though the bed is damp.
        Worms = "worms",
    }
}

/// A share of the worms at the last turn, with its band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ShareBand {
    /// The least of five courses: as expected, and with a colder bed, a warmer bed, slower or
    /// faster worms, each at the end of its 90 % band.
    pub low: Fraction,
    /// As expected: the course by which a plan is judged.
    pub middle: Fraction,
    /// The most of the five.
    pub high: Fraction,
}

/// A bin when somebody comes, before anything is done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Standing {
    /// When.
    pub at: DateTime<Utc>,
    /// The worms that live.
    pub share: ShareBand,
    /// Food not eaten yet.
    pub uneaten: Band,
    /// The bed's moisture.
    pub moisture: Fraction,
    /// The bed's temperature.
    pub bed: BedTemperature,
}

/// The bin at a moment, its share given.
pub(crate) fn standing(ground: &Ground, state: &BinState, share: ShareBand) -> Standing {
    Standing {
        at: state.at,
        share,
        uneaten: uneaten(&ground.habitat, state),
        moisture: moisture_after(&ground.habitat.settings, state.vitals.unattended),
        bed: ground.habitat.bed_temperature(state.reading, state.at),
    }
}
