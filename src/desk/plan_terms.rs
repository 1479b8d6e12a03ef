//! How a plan for closed days is asked for.

use chrono::{Datelike, NaiveDate, Weekday};
use wormrota_domain::closure::closing::Heating;

/// On which closed days somebody can come.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum VisitDays {
    /// On all of them.
    #[default]
    Every,
    /// On these weekdays.
    On(Vec<Weekday>),
    /// On none: the building is sealed.
    Never,
}

/// How a plan is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanTerms {
    /// Whether the building is heated while it is shut.
    pub heating: Heating,
    /// On which days somebody can come.
    pub visit_days: VisitDays,
    /// The share of the worms that must live; the usual without.
    pub keep: Option<f64>,
}

impl Default for PlanTerms {
    fn default() -> Self {
        Self {
            heating: Heating::Off,
            visit_days: VisitDays::Every,
            keep: None,
        }
    }
}

impl PlanTerms {
    pub(super) fn allows(&self, day: NaiveDate) -> bool {
        match &self.visit_days {
            VisitDays::Every => true,
            VisitDays::On(weekdays) => weekdays.contains(&day.weekday()),
            VisitDays::Never => false,
        }
    }
}
