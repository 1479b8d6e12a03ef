//! Whether a bin that showed signs of overfeeding may be fed again.
//!
//! A sign closes it. The first clear check opens it by half; a second one, at least three
//! days later, opens it fully. Where nobody looks for a week, a handful may go in: a bin is
//! never closed for good.

use super::check::{Check, Left, Smell};
use super::settings::ModelSettings;
use super::time::days_between;
use crate::coded::coded;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

coded! {
    /// A sign of overfeeding.
    Sign {
        /// A sour or rotten smell.
        SourSmell = "sour_smell",
        /// A smell of ammonia.
        AmmoniaSmell = "ammonia_smell",
        /// Old food lies there after a week.
        OldFood = "old_food",
    }
}

/// The gate of a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(tag = "gate", rename_all = "snake_case")]
pub enum Gate {
    /// Feeding as the limits allow.
    #[default]
    Open,
    /// No feeding: somebody saw a sign of overfeeding.
    Held {
        /// The sign.
        sign: Sign,
        /// When it was last seen.
        since: DateTime<Utc>,
    },
    /// Half of what the limits allow, after one clear check.
    Half {
        /// When that check was.
        since: DateTime<Utc>,
    },
}

/// What the gate lets through at an instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Passage {
    /// This share of what may lie in the bin.
    Share(f64),
    /// Nothing.
    Shut(Sign, DateTime<Utc>),
    /// A handful, and no more until it was eaten.
    Handful(Sign, DateTime<Utc>),
}

impl Gate {
    /// What it lets through.
    pub(crate) fn passage(self, settings: &ModelSettings, at: DateTime<Utc>) -> Passage {
        match self {
            Self::Open => Passage::Share(1.0),
            Self::Half { .. } => Passage::Share(0.5),
            Self::Held { sign, since } => {
                if days_between(since, at) >= settings.hold_days {
                    Passage::Handful(sign, since)
                } else {
                    Passage::Shut(sign, since)
                }
            }
        }
    }

    /// The gate after a check; `days_since_meal` since food last went in.
    pub(crate) fn after(
        self,
        settings: &ModelSettings,
        check: &Check,
        days_since_meal: f64,
        at: DateTime<Utc>,
    ) -> Self {
        if let Some(sign) = sign_of(settings, check, days_since_meal) {
            return Self::Held { sign, since: at };
        }
        if !is_clear(check) {
            return self;
        }
        match self {
            Self::Held { .. } => Self::Half { since: at },
            Self::Half { since } if days_between(since, at) >= settings.clear_days => Self::Open,
            Self::Open | Self::Half { .. } => self,
        }
    }
}

fn sign_of(settings: &ModelSettings, check: &Check, days_since_meal: f64) -> Option<Sign> {
    let lies = matches!(check.left, Some(Left::Half | Left::Most | Left::All));
    match check.smell {
        Some(Smell::Sour) => Some(Sign::SourSmell),
        Some(Smell::Ammonia) => Some(Sign::AmmoniaSmell),
        _ if lies && days_since_meal >= settings.uneaten_days => Some(Sign::OldFood),
        _ => None,
    }
}

/// A check that can open a gate says that the bin smells well and that little is left.
fn is_clear(check: &Check) -> bool {
    let little = matches!(check.left, Some(Left::None | Left::Little));
    check.smell == Some(Smell::Earthy) && little
}
