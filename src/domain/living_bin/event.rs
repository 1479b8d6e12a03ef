//! What happened to a bin, and what it does to the state.

use super::check::Check;
use super::habitat::Habitat;
use super::state::{BinState, Meal};
use crate::units::{Celsius, Fraction, Grams, Kg};
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
    /// Somebody looked into the bin.
    Checked {
        /// What they saw.
        check: Check,
        /// They were a visitor, whose word never holds a bin.
        by_visitor: bool,
    },
    /// Food was there that nobody had logged. The check that found it has reset what lies
    /// uneaten; this entry is for people and for reports.
    Found {
        /// How much.
        amount: Grams,
    },
    /// Food was taken out again.
    TakenOut {
        /// How much.
        amount: Grams,
    },
    /// The bed was measured, by hand or by a probe.
    Measured {
        /// Bed temperature.
        bed: Option<Celsius>,
        /// Bed moisture.
        moisture: Option<Fraction>,
    },
    /// Dry bedding and water went in without food.
    Bedded {
        /// Dry bedding.
        dry: Grams,
    },
    /// An earlier entry was taken back: it never happened.
    Withdrawn,
    /// From now on only this share of the surface is fed, as before a harvest; 1 is all.
    Sided {
        /// The share.
        share: Fraction,
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
            Self::Checked { .. } => "checked",
            Self::Found { .. } => "found",
            Self::TakenOut { .. } => "taken_out",
            Self::Measured { .. } => "measured",
            Self::Bedded { .. } => "bedded",
            Self::Withdrawn => "withdrawn",
            Self::Sided { .. } => "sided",
        }
    }

    /// The state right after a check, and food that it found and nobody had logged. Any
    /// other event leaves the state as it is.
    #[must_use]
    pub fn seen(
        &self,
        habitat: &Habitat,
        before: BinState,
        at: DateTime<Utc>,
    ) -> (BinState, Option<Grams>) {
        let mut state = before.advanced(habitat, at);
        let found = match self {
            Self::Checked { check, by_visitor } => state.check(habitat, check, *by_visitor),
            _ => None,
        };
        (state, found)
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
                state.feed(&habitat.settings, meal);
                state.bedding += bedding.kg().max(Kg(0.0));
                Some(state)
            }
            Self::Checked { .. } => Some(self.seen(habitat, before?, at).0),
            Self::Found { .. } | Self::Withdrawn => Some(before?.advanced(habitat, at)),
            Self::TakenOut { amount } => {
                let mut state = before?.advanced(habitat, at);
                state.take_out(amount.kg());
                Some(state)
            }
            Self::Measured { bed, moisture } => {
                let mut state = before?.advanced(habitat, at);
                state.measure(habitat, *bed, *moisture);
                Some(state)
            }
            Self::Bedded { dry } => {
                let mut state = before?.advanced(habitat, at);
                state.bedding += dry.kg().max(Kg(0.0));
                state.vitals.attend();
                Some(state)
            }
            Self::Sided { share } => {
                let mut state = before?.advanced(habitat, at);
                state.fed_share = share.0;
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
