//! The named rules that bound what may be fed.

use serde::{Deserialize, Serialize};

/// A rule with a number. What may be fed is the least that any of them leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Limit {
    /// All that lies in the bin must be eaten within a week at the cautious speed.
    Eating,
    /// The same while the bin is young and takes only a share of it.
    Ramp,
    /// The week's food for the surface.
    Area,
    /// The layer over the fed pocket.
    Depth,
    /// The space left in the vessel.
    Fill,
    /// The bed is too hot: nothing may be fed until it has cooled.
    TooHot,
    /// The bed is too cold: the worms do not eat.
    TooCold,
    /// Somebody saw a sign of overfeeding: nothing until a check is clear.
    Signs,
    /// The same, but nobody looked for a week: a handful at a time.
    Handful,
    /// After one clear check, half of what could be eaten within a week.
    Resuming,
    /// No worms were put in yet, or none live.
    NoWorms,
    /// How much of the bin's food may be of the sparing list.
    SparingShare,
    /// How much of the bin's food may be coffee and tea.
    CoffeeShare,
}

impl Limit {
    /// The stable code, as the API and the wording use it.
    #[must_use]
    pub fn code(self) -> &'static str {
        match self {
            Self::Eating => "eating",
            Self::Ramp => "ramp",
            Self::Area => "area",
            Self::Depth => "depth",
            Self::Fill => "fill",
            Self::TooHot => "too_hot",
            Self::TooCold => "too_cold",
            Self::Signs => "signs",
            Self::Handful => "handful",
            Self::Resuming => "resuming",
            Self::NoWorms => "no_worms",
            Self::SparingShare => "sparing_share",
            Self::CoffeeShare => "coffee_share",
        }
    }
}
