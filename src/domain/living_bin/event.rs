//! What happened to a bin, and what it does to the state.

use super::habitat::Habitat;
use super::state::{BinState, Meal};
use crate::units::{Grams, Kg};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// How a feeding came to be on the spine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// The service was asked first and allowed it.
    Allowed,
    /// Somebody said that it was in already; it may be more than the bin can take.
    Told,
}

/// A food and how much of it went in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FedLine {
    /// The food's key in the catalogue.
    pub food: String,
    /// How much.
    pub amount: Grams,
}

/// Something that happened to a bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Event {
    /// Worms were put into fresh bedding. Starts the bin's history, or starts it anew.
    Stocked {
        /// Live worms.
        worms: Grams,
        /// Dry bedding.
        bedding: Grams,
    },
    /// Food went in.
    Fed {
        /// By food, for people.
        lines: Vec<FedLine>,
        /// In sum, for the model.
        meal: Meal,
        /// Dry bedding that went in with it.
        bedding: Grams,
        /// Asked first, or told afterwards.
        how: How,
    },
}

/// An event with its time.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated {
    /// When it happened.
    pub at: DateTime<Utc>,
    /// What.
    pub event: Event,
}

impl Event {
    /// The word for the kind of thing that happened, as it stands in the store.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Stocked { .. } => "stocked",
            Self::Fed { .. } => "fed",
        }
    }

    /// The state right after this event, from the state after the one before it. `None`
    /// where worms have not been put in yet: food in a bin without worms is not reckoned.
    #[must_use]
    pub fn apply(
        &self,
        habitat: &Habitat,
        before: Option<BinState>,
        at: DateTime<Utc>,
    ) -> Option<BinState> {
        match self {
            Self::Stocked { worms, bedding } => {
                let settings = &habitat.settings;
                Some(BinState::stocked(settings, worms.kg(), bedding.kg(), at))
            }
            Self::Fed { meal, bedding, .. } => {
                let mut state = before?.advanced(habitat, at);
                state.feed(meal);
                state.bedding += bedding.kg().max(Kg(0.0));
                Some(state)
            }
        }
    }
}

/// The states after each of these events, in their order, starting from the state before
/// the first of them.
#[must_use]
pub fn replay(
    habitat: &Habitat,
    before: Option<BinState>,
    events: &[Dated],
) -> Vec<Option<BinState>> {
    let mut state = before;
    let next = |dated: &Dated| {
        state = dated.event.apply(habitat, state.take(), dated.at);
        state.clone()
    };
    events.iter().map(next).collect()
}
