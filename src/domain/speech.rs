//! How a reader wants things said.

use crate::calendar::SiteZone;
use crate::food::{Container, Paper};
use crate::site::{Language, UnitSystem};

/// How a reader wants things said.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeechOf {
    /// The language.
    pub language: Language,
    /// The units.
    pub units: UnitSystem,
    /// The zone in which days and times are meant.
    pub zone: SiteZone,
    /// The paper in whose sheets bedding is counted.
    pub paper: Paper,
    /// The containers that the site has given names to; the kitchen's own where there are
    /// none.
    pub containers: Vec<Container>,
}

impl SpeechOf {
    /// English and metric, for whoever is not known, and what is not said at a site.
    #[must_use]
    pub const fn plain_english() -> Self {
        Self {
            language: Language::English,
            units: UnitSystem::Metric,
            zone: SiteZone::UTC,
            paper: Paper::A4,
            containers: Vec::new(),
        }
    }
}
