//! What limits a bin at one moment of an outlook.

use crate::living_bin::habitat::Habitat;
use crate::living_bin::limit::Limit;
use crate::living_bin::time::days_between;
use chrono::{DateTime, Utc};

/// What a held bin got of the handful that may go in every few days.
#[derive(Debug, Clone, Copy)]
pub(super) struct LastMeal {
    /// When food went in last, if it ever did.
    pub fed_at: Option<DateTime<Utc>>,
    /// What went in then, with what went in few enough days before, kg.
    pub kg: f64,
}

impl LastMeal {
    /// What went in so few days before an instant that it still counts, kg.
    pub(super) fn counted(self, habitat: &Habitat, at: DateTime<Utc>) -> f64 {
        let recent = |fed| days_between(fed, at) < habitat.settings.handful_days;
        if self.fed_at.is_some_and(recent) {
            self.kg
        } else {
            0.0
        }
    }

    pub(super) fn fed(&mut self, habitat: &Habitat, at: DateTime<Utc>, kg: f64) {
        if kg > 0.0 {
            self.kg = self.counted(habitat, at) + kg;
            self.fed_at = Some(at);
        }
    }
}

/// What limits the bin at one moment of an outlook.
pub(super) struct Moment {
    /// What could be eaten between the outlook's start and this moment, kg.
    pub eaten: f64,
    /// What the area rule lets go between the outlook's start and this moment, kg.
    pub let_go: f64,
    pub eating: f64,
    pub ramp: f64,
    /// What the gate lets through of what could be eaten.
    pub share: f64,
    pub depth: f64,
    pub fill: f64,
    pub area: f64,
    pub closed: Option<Limit>,
    /// The most that one meal may be, while nobody looks at a held bin.
    pub handful: Option<f64>,
}

impl Moment {
    fn may_eat(&self) -> f64 {
        self.eating * self.ramp * self.share
    }

    /// The most that may lie in the bin, kg.
    pub(super) fn most_uneaten(&self) -> f64 {
        libm::fmin(self.may_eat(), libm::fmin(self.depth, self.fill))
    }

    /// Each rule on what lies in the bin, by name.
    pub(super) fn uneaten_limits(&self) -> [(Limit, f64); 3] {
        let eating = if self.share < 1.0 {
            Limit::Resuming
        } else if self.ramp < 1.0 {
            Limit::Ramp
        } else {
            Limit::Eating
        };
        [
            (eating, self.may_eat()),
            (Limit::Depth, self.depth),
            (Limit::Fill, self.fill),
        ]
    }
}
