//! What a plan for a closed span starts from.

use super::settings::ClosureSettings;
use crate::coded::coded;
use crate::living_bin::habitat::Habitat;
use crate::living_bin::outlook::Booking;
use crate::living_bin::state::BinState;
use crate::living_bin::time::days_between;
use chrono::{DateTime, Utc};
use thiserror::Error;

coded! {
    /// Whether the building is heated while it is shut.
    Heating {
        /// As warm as when people are there, and drier.
        On = "on",
        /// It follows the air outside.
        Off = "off",
    }
}

/// A day on which the site is shut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClosedDay {
    /// The instant at which somebody would come, such as the site's noon.
    pub at: DateTime<Utc>,
    /// Somebody could come.
    pub can_visit: bool,
    /// Somebody will: it is agreed on.
    pub comes: bool,
}

/// A closed span, seen from now, for one bin.
#[derive(Debug, Clone, Copy)]
pub struct Closing<'a> {
    /// The bin and where it stands.
    pub habitat: &'a Habitat,
    /// The bin now.
    pub state: &'a BinState,
    /// Its bookings, in order of time. What is due up to the last turn counts as fed; what is
    /// due later keeps its room at the last turn, and is not fed.
    pub bookings: &'a [Booking],
    /// When somebody looks after the bin for the last time before.
    pub last_turn: DateTime<Utc>,
    /// Whether somebody looks after it then; if not, it is left as it stands at that moment.
    pub is_looked_after: bool,
    /// Every closed day, in order.
    pub days: &'a [ClosedDay],
    /// When somebody looks after the bin for the first time after.
    pub first_turn: DateTime<Utc>,
    /// Heating during the span.
    pub heating: Heating,
    /// The constants.
    pub settings: ClosureSettings,
}

/// Days ahead up to which a bin is reckoned as it stands; a last turn later than that finds it
/// as it is now, since whoever feeds it meanwhile is not known yet (our suggestion: two weeks
/// without a meal change little).
const REACH_DAYS: f64 = 14.0;

/// The bin from which a plan for a last turn at `last_turn` starts: as it is now, or, for a last
/// turn far ahead, as if it had been looked after until then as it was until now.
#[must_use]
pub fn looked_after_until(state: &BinState, last_turn: DateTime<Utc>) -> BinState {
    let mut state = state.clone();
    if days_between(state.at, last_turn) > REACH_DAYS {
        state.at = last_turn;
        state.vitals.attend();
    }
    state
}

/// Why there is nothing to plan.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ClosingError {
    /// No closed day.
    #[error("no day is closed")]
    NoDays,
    /// Last turn, closed days and first turn must follow each other, from now on.
    #[error("the turns and the closed days do not follow each other")]
    OutOfOrder,
    /// Nothing lives in the bin.
    #[error("the bin has no worms")]
    NoWorms,
    /// A constant outside its range.
    #[error("closure.{name} is {value}; it must lie between {least} and {most}")]
    Setting {
        /// The constant's name.
        name: &'static str,
        /// What it was set to.
        value: f64,
        /// The smallest sensible value.
        least: f64,
        /// The largest sensible value.
        most: f64,
    },
}

impl ClosingError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoDays => "no_closed_days",
            Self::OutOfOrder => "closed_days_out_of_order",
            Self::NoWorms => "no_worms",
            Self::Setting { .. } => "closure_setting_out_of_range",
        }
    }
}

impl Closing<'_> {
    /// Whether there is something to plan.
    ///
    /// # Errors
    /// Says what is wrong.
    pub(crate) fn checked(&self) -> Result<(), ClosingError> {
        self.settings.checked()?;
        if self.days.is_empty() {
            return Err(ClosingError::NoDays);
        }
        let moments: Vec<DateTime<Utc>> = self.moments().collect();
        let rising = moments.windows(2).all(|pair| pair[0] < pair[1]);
        if !rising || self.last_turn < self.state.at {
            return Err(ClosingError::OutOfOrder);
        }
        if self.state.is_without_worms(self.habitat) {
            return Err(ClosingError::NoWorms);
        }
        Ok(())
    }

    /// The last turn, every closed day, the first turn.
    pub(crate) fn moments(&self) -> impl Iterator<Item = DateTime<Utc>> + '_ {
        let days = self.days.iter().map(|day| day.at);
        std::iter::once(self.last_turn)
            .chain(days)
            .chain(std::iter::once(self.first_turn))
    }
}
