//! What is to change about a site, and what becomes of its row.

use super::DeskError;
use super::change::Change;
use super::sites::quiet;
use crate::store::sites::SiteRow;
use chrono::NaiveTime;
use std::collections::BTreeSet;
use wormrota_domain::food::{Paper, SiteFoodEntry};
use wormrota_domain::ids::{ContainerId, MemberId};
use wormrota_domain::letters::{QuietHours, QuietRefusal};
use wormrota_domain::site::{Language, NeighboursSee, ScrapOutlet, UnitSystem};

/// What is to change; `None` leaves a thing as it is.
#[derive(Debug, Clone, Default)]
pub struct SiteChange {
    /// A new name.
    pub name: Option<String>,
    /// Other units of display.
    pub units: Option<UnitSystem>,
    /// Another language.
    pub language: Option<Language>,
    /// Other paper.
    pub paper: Option<Paper>,
    /// Another year of air.
    pub monthly_air_c: AirChange,
    /// Other outlets, in the place of all the old ones.
    pub scrap_outlets: Option<Vec<ScrapOutlet>>,
    /// Another food list, in the place of the whole old one.
    pub foods: Option<Vec<SiteFoodEntry>>,
    /// Other containers, in the place of all the old ones.
    pub containers: Option<Vec<ContainerChange>>,
    /// What residents see of each other.
    pub neighbours_see: Option<NeighboursSee>,
    /// Another deputy.
    pub deputy: Change<MemberId>,
    /// Another number of days before a turn until which its place can be given back.
    pub give_back_days: Option<u32>,
    /// When the hours are to begin in which nobody is written to.
    pub quiet_from: Option<NaiveTime>,
    /// When they are to be over.
    pub quiet_until: Option<NaiveTime>,
    /// How many days before a turn its holder is to be reminded.
    pub reminder_days: Option<Vec<u32>>,
    /// Whether every absence counts in the next rota.
    pub absences_cost: Option<bool>,
}

impl SiteChange {
    /// Writes what stands in the site's own row.
    pub(super) fn apply(&self, row: &mut SiteRow) {
        row.revision += 1;
        if let Some(name) = &self.name {
            row.name.clone_from(name);
        }
        if let Some(units) = self.units {
            units.code().clone_into(&mut row.units);
        }
        if let Some(language) = self.language {
            language.code().clone_into(&mut row.language);
        }
        if let Some(paper) = self.paper {
            paper.code().clone_into(&mut row.paper);
        }
        match self.monthly_air_c {
            AirChange::Keep => {}
            AirChange::NotKnown => row.monthly_air_c = None,
            AirChange::To(air) => row.monthly_air_c = Some(air.into()),
        }
        if let Some(outlets) = &self.scrap_outlets {
            row.scrap_outlets = outlets_as_json(outlets);
        }
        if let Some(seen) = self.neighbours_see {
            row.neighbours_see = Some(seen.code().to_owned());
        }
        self.deputy.map(|deputy| deputy.0).apply(&mut row.deputy_id);
        if let Some(days) = self.give_back_days {
            row.give_back_days = i16::try_from(days).ok();
        }
        if let Some(days) = &self.reminder_days {
            let days = days.iter().filter_map(|days| i16::try_from(*days).ok());
            row.reminder_days = Some(days.collect());
        }
        row.absences_cost = self.absences_cost.or(row.absences_cost);
    }

    /// Writes the hours in which nobody is written to; the end that is not given stays.
    pub(super) fn apply_quiet_hours(&self, row: &mut SiteRow) -> Result<(), DeskError> {
        if self.quiet_from.is_none() && self.quiet_until.is_none() {
            return Ok(());
        }
        let before = quiet(row.quiet_from, row.quiet_until)?;
        let from = self.quiet_from.unwrap_or(before.from());
        let until = self.quiet_until.unwrap_or(before.until());
        let pointer = match self.quiet_until {
            Some(_) => "/quiet_until",
            None => "/quiet_from",
        };
        QuietHours::new(from, until).map_err(|refusal| {
            let detail = match refusal {
                QuietRefusal::Empty => "must not be when the quiet hours begin, or end",
                QuietRefusal::TooLong => "must leave six hours of the day for letters",
            };
            DeskError::conflict(pointer, detail)
        })?;
        row.quiet_from = Some(from);
        row.quiet_until = Some(until);
        Ok(())
    }

    /// The names of what is to change.
    pub(super) fn fields(&self) -> Vec<&'static str> {
        [
            ("name", self.name.is_some()),
            ("units", self.units.is_some()),
            ("language", self.language.is_some()),
            ("paper", self.paper.is_some()),
            ("monthly_air_c", self.monthly_air_c != AirChange::Keep),
            ("scrap_outlets", self.scrap_outlets.is_some()),
            ("foods", self.foods.is_some()),
            ("containers", self.containers.is_some()),
            ("neighbours_see", self.neighbours_see.is_some()),
            ("deputy_id", self.deputy.is_one()),
            ("give_back_days", self.give_back_days.is_some()),
            ("quiet_from", self.quiet_from.is_some()),
            ("quiet_until", self.quiet_until.is_some()),
            ("reminder_days", self.reminder_days.is_some()),
            ("absences_cost", self.absences_cost.is_some()),
        ]
        .into_iter()
        .filter_map(|(name, changes)| changes.then_some(name))
        .collect()
    }
}

/// What is to become of a site's year of air.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub enum AirChange {
    /// It stays.
    #[default]
    Keep,
    /// It is not known any more.
    NotKnown,
    /// The mean of each month in degrees Celsius, January first.
    To([f64; 12]),
}

/// A container as it is to be.
#[derive(Debug, Clone)]
pub struct ContainerChange {
    /// The container it was so far; a new one without.
    pub id: Option<ContainerId>,
    /// What people call it.
    pub name: String,
    /// What it holds, in millilitres.
    pub volume_ml: i32,
}

/// Nowhere on Earth is a month's mean outside this.
pub(super) fn air_is_sane(air: &[f64; 12]) -> bool {
    air.iter().all(|month| (-60.0..=60.0).contains(month))
}

/// The words of outlets, each once, as the table keeps them.
pub(super) fn outlets_as_json(outlets: &[ScrapOutlet]) -> serde_json::Value {
    let once: BTreeSet<_> = outlets.iter().copied().collect();
    once.into_iter().map(ScrapOutlet::code).collect()
}
