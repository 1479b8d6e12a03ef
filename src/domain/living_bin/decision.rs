//! The decision on an offer of food: accepted, accepted if, or refused because.
//!
//! A decision is a value with codes and numbers; the service turns it into a sentence. How it
//! comes about stands in [`super::decide`].

use super::gate::Sign;
use super::limit::Limit;
use super::outlook::BestDay;
use crate::food::{Class, Why};
use crate::ids::BinId;
use crate::site::ScrapOutlet;
use crate::units::{Celsius, Grams};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// The answer in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It may go in.
    Accepted,
    /// It may go in if the conditions are met.
    AcceptedIf,
    /// It may not go in.
    Refused,
}

impl Outcome {
    /// The stable code.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Accepted => "accepted",
            Self::AcceptedIf => "accepted_if",
            Self::Refused => "refused",
        }
    }
}

/// A decision on one offer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Decision {
    /// The answer in one word.
    pub outcome: Outcome,
    /// The moment for which it was reckoned.
    pub at: DateTime<Utc>,
    /// What was offered in all.
    pub offered: Grams,
    /// What of it would have to go in at once: without foods that never go in, and without
    /// more of the sparing ones than their share.
    pub wanted: Grams,
    /// What may go in: nothing when refused.
    pub allowed: Grams,
    /// What the bin could take at that moment, bookings kept.
    pub room: Grams,
    /// The offer, food by food.
    pub lines: Vec<LineVerdict>,
    /// What must be done for the allowed amount to go in.
    pub conditions: Vec<Condition>,
    /// Why it was refused, each broken rule with its numbers; empty unless refused.
    pub reasons: Vec<Reason>,
    /// When all of it would fit; `None` if it fits now or not within the days looked at.
    pub fits_at: Option<DateTime<Utc>>,
    /// Where it does not fit on any of the days: the most that fits, and when.
    pub most: Option<BestDay>,
    /// Other bins of the site that could take all of it now.
    pub other_bins: Vec<OtherBin>,
    /// Where else the site says that scraps may go.
    pub outlets: Vec<ScrapOutlet>,
    /// The bed's temperature was assumed, not measured.
    pub temperature_assumed: bool,
    /// The version of the equations.
    pub model_version: i32,
    /// The fingerprint of the constants.
    pub settings_revision: String,
}

/// One food of an offer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LineVerdict {
    /// The food's key in the catalogue.
    pub food: String,
    /// How much was offered.
    pub offered: Grams,
    /// How much of it may go in.
    pub allowed: Grams,
    /// Welcome, sparing or never, at this site.
    pub class: Class,
    /// Why it is not welcome.
    pub why: Option<Why>,
}

/// What must be done for the allowed amount to go in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Condition {
    /// These foods never go in.
    LeaveOut {
        /// Keys in the catalogue.
        foods: Vec<String>,
    },
    /// Only so much of these foods together.
    LessOf {
        /// Keys in the catalogue.
        foods: Vec<String>,
        /// The rule on their share.
        limit: Limit,
        /// The most of them together.
        at_most: Grams,
    },
    /// The guess may be over by less than its own error: stop when the line is reached.
    StopAt {
        /// The line.
        amount: Grams,
    },
    /// Cut these small.
    CutSmall {
        /// Keys in the catalogue.
        foods: Vec<String>,
    },
    /// Mix in dry bedding.
    AddBedding {
        /// Dry mass.
        dry: Grams,
    },
    /// Wet the bedding.
    AddWater {
        /// Millilitres.
        millilitres: i64,
    },
}

/// A broken rule, with its numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reason {
    /// The rule.
    #[serde(flatten)]
    pub rule: Rule,
    /// What the rule would let in.
    pub leaves: Grams,
    /// The rule guards food promised for this later moment.
    pub guards: Option<DateTime<Utc>>,
}

/// A rule and the numbers that it was judged by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Rule {
    /// Only foods that never go in were offered.
    NeverFood {
        /// Keys in the catalogue.
        foods: Vec<String>,
    },
    /// All that lies in the bin must be eaten within a week.
    Eating {
        /// Food not eaten yet, at the cautious speed.
        uneaten: Grams,
    },
    /// A young bin takes only a share.
    Ramp {
        /// The week since stocking, from 1.
        week: u32,
        /// The share of the full amount, percent.
        percent: u32,
        /// Food not eaten yet, at the cautious speed.
        uneaten: Grams,
    },
    /// The week's food for the surface.
    Area {
        /// What the surface takes in a week.
        a_week: Grams,
    },
    /// The layer over the fed pocket.
    Depth {
        /// The deepest layer, millimetres.
        millimetres: u32,
    },
    /// The space in the vessel.
    Fill {
        /// How full it may be, percent.
        percent: u32,
    },
    /// The bed is too hot.
    TooHot {
        /// The bed now.
        bed: Celsius,
        /// It opens again below this.
        opens_below: Celsius,
        /// Above this worms die.
        deadly_above: Celsius,
    },
    /// The bed is too cold.
    TooCold {
        /// The bed now.
        bed: Celsius,
    },
    /// Somebody saw a sign of overfeeding.
    Signs {
        /// The sign.
        sign: Sign,
        /// When.
        since: DateTime<Utc>,
    },
    /// The same, and nobody has looked for a week: a handful at a time.
    Handful {
        /// The sign.
        sign: Sign,
        /// When.
        since: DateTime<Utc>,
    },
    /// Half of the full amount, after one clear check.
    Resuming {
        /// The share of the full amount, percent.
        percent: u32,
        /// Food not eaten yet, at the cautious speed.
        uneaten: Grams,
    },
    /// No worms, or none that live.
    NoWorms,
    /// Too much of the sparing list.
    SparingShare {
        /// The most of the bin's food, percent.
        percent: u32,
        /// Keys in the catalogue.
        foods: Vec<String>,
    },
    /// Too much coffee and tea.
    CoffeeShare {
        /// The most of the bin's food, percent.
        percent: u32,
        /// Keys in the catalogue.
        foods: Vec<String>,
    },
}

/// Another bin of the site with room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct OtherBin {
    /// Which.
    pub id: BinId,
    /// What it could take now.
    pub room: Grams,
}

impl Decision {
    /// A refused offer gets another bin that could take it now, or another way. Looking at
    /// other bins costs reading them, so it is done only for refusals.
    #[must_use]
    pub fn sent_elsewhere(mut self, others: &[OtherBin], outlets: &[ScrapOutlet]) -> Self {
        if self.outcome == Outcome::Refused {
            self.outlets = outlets.to_vec();
            let fits = |other: &&OtherBin| self.wanted > Grams::ZERO && other.room >= self.wanted;
            self.other_bins = others.iter().filter(fits).copied().collect();
        }
        self
    }
}
