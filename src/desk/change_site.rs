//! Changing a site: its name, how things are shown, its food list and its containers.

use super::change::Change;
use super::fields::Check;
use super::membership::admit;
use super::sites::quiet;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::sites::{self, ContainerRow, SiteFoodRow, SiteRow};
use crate::store::{Conn, letters, members};
use chrono::NaiveTime;
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeSet;
use wormrota_domain::access::Deed;
use wormrota_domain::food::{
    Container, ContainerError, Paper, SiteFoodEntry, SiteFoodError, SiteFoodList,
};
use wormrota_domain::ids::{ContainerId, MemberId, SiteId};
use wormrota_domain::letters::{QuietHours, QuietRefusal};
use wormrota_domain::site::{
    Language, MOST_GIVE_BACK_DAYS, NeighboursSee, ScrapOutlet, UnitSystem,
};
use wormrota_domain::units::Litres;

/// Entries that a food list may have.
const MOST_FOODS: usize = 200;
/// Containers that a site may have.
const MOST_CONTAINERS: usize = 40;

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
    fn apply(&self, row: &mut SiteRow) {
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
    fn apply_quiet_hours(&self, row: &mut SiteRow) -> Result<(), DeskError> {
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
    fn fields(&self) -> Vec<&'static str> {
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

/// Changes a site; with `expected`, only if its revision is still that one.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`].
pub async fn change_site(
    desk: &Desk,
    errand: Errand,
    id: SiteId,
    expected: Option<i64>,
    mut change: SiteChange,
) -> Result<(), DeskError> {
    let mut check = Check::default();
    if let Some(name) = &mut change.name {
        *name = check.name("/name", name, 100);
    }
    if let AirChange::To(air) = &change.monthly_air_c
        && !air_is_sane(air)
    {
        check.wrong("/monthly_air_c", "must be between -60 and 60 degrees");
    }
    let most = u32::from(MOST_GIVE_BACK_DAYS);
    if change.give_back_days.is_some_and(|days| days > most) {
        check.wrong("/give_back_days", format!("must be 0 to {most} days"));
    }
    if let Some(days) = &change.reminder_days {
        let days = check.reminder_days(days);
        change.reminder_days = Some(days.into_iter().map(u32::from).collect());
    }
    if let Some(foods) = &change.foods {
        check_foods(&mut check, foods);
    }
    if let Some(containers) = &mut change.containers {
        check_containers(&mut check, containers);
    }
    check.done()?;

    desk.write(
        "change a site",
        errand,
        change,
        move |conn, errand, change| {
            async move {
                let who = admit(conn, errand, id, Deed::ChangeSite).await?;
                let mut row = sites::lock(conn, id)
                    .await?
                    .ok_or(DeskError::NotFound(Noun::Site))?;
                if expected.is_some_and(|revision| revision != row.revision) {
                    return Err(DeskError::ChangedMeanwhile);
                }
                if let Change::To(deputy) = change.deputy {
                    insist_on_deputy(conn, id, deputy).await?;
                }
                change.apply(&mut row);
                change.apply_quiet_hours(&mut row)?;
                sites::update(conn, &row).await?;
                if change.quiet_from.is_some() || change.quiet_until.is_some() {
                    letters::wake(conn, id, clock::wall()).await?;
                }
                if let Some(foods) = &change.foods {
                    sites::replace_foods(conn, id, &food_rows(id, foods)).await?;
                }
                if let Some(containers) = &change.containers {
                    let known: BTreeSet<_> = sites::containers(conn, id)
                        .await?
                        .into_iter()
                        .map(|row| row.id)
                        .collect();
                    let mut rows = Vec::new();
                    for (index, container) in containers.iter().enumerate() {
                        if container.id.is_some_and(|old| !known.contains(&old.0)) {
                            return Err(DeskError::conflict(
                                format!("/containers/{index}/id"),
                                "must be a container of this site, or absent for a new one",
                            ));
                        }
                        rows.push(ContainerRow {
                            site_id: id.0,
                            id: container.id.map_or_else(clock::fresh_id, |old| old.0),
                            name: container.name.clone(),
                            volume_ml: container.volume_ml,
                        });
                    }
                    sites::replace_containers(conn, id, &rows).await?;
                }
                let changed = json!({ "fields": change.fields() });
                trail::leave(
                    conn,
                    &who,
                    errand.now,
                    "site_changed",
                    Subject::Site,
                    changed,
                )
                .await
            }
            .boxed()
        },
    )
    .await
}

/// A deputy is somebody who can sign in and was let in: pupils are no members.
async fn insist_on_deputy(
    conn: &mut Conn,
    site: SiteId,
    deputy: MemberId,
) -> Result<(), DeskError> {
    let people = members::who_can_sign_in(conn, site).await?;
    if people.iter().any(|(member, _)| *member == deputy) {
        Ok(())
    } else {
        Err(DeskError::conflict(
            "/deputy_id",
            "must be a member of this site who can sign in",
        ))
    }
}

/// Whether the list has a sane size and is stricter than the catalogue all through.
fn check_foods(check: &mut Check, foods: &[SiteFoodEntry]) {
    if foods.len() > MOST_FOODS {
        check.wrong("/foods", format!("must have at most {MOST_FOODS} entries"));
        return;
    }
    let Err(error) = SiteFoodList::parse(foods) else {
        return;
    };
    let known = !matches!(error, SiteFoodError::Unknown { .. });
    let (line, field, detail) = match error {
        SiteFoodError::Unknown { line, nearest, .. } if nearest.is_empty() => (
            line,
            "subject",
            "must be a food or group of the catalogue".to_owned(),
        ),
        SiteFoodError::Unknown { line, nearest, .. } => (
            line,
            "subject",
            format!(
                "must be a food or group of the catalogue, such as {}",
                nearest.join(" or ")
            ),
        ),
        SiteFoodError::Loosens { line, at_least, .. } => (
            line,
            "class",
            format!(
                "must be {} or stricter: a list can be stricter than the catalogue, not milder",
                at_least.code()
            ),
        ),
        SiteFoodError::Twice { line, .. } => (line, "subject", "must not come twice".to_owned()),
    };
    let pointer = format!("/foods/{line}/{field}");
    if known {
        check.conflict(pointer, detail);
    } else {
        check.wrong(pointer, detail);
    }
}

/// A food list as the table keeps it.
pub(super) fn food_rows(site: SiteId, foods: &[SiteFoodEntry]) -> Vec<SiteFoodRow> {
    foods
        .iter()
        .map(|entry| SiteFoodRow {
            site_id: site.0,
            subject: entry.subject.clone(),
            class: entry.class.code().to_owned(),
        })
        .collect()
}

fn check_containers(check: &mut Check, containers: &mut [ContainerChange]) {
    if containers.len() > MOST_CONTAINERS {
        check.wrong(
            "/containers",
            format!("must have at most {MOST_CONTAINERS} entries"),
        );
    }
    let mut names = BTreeSet::new();
    let mut ids = BTreeSet::new();
    for (index, container) in containers.iter_mut().enumerate() {
        let pointer = format!("/containers/{index}/name");
        container.name = check.name(&pointer, &container.name, Container::LONGEST_NAME);
        // Whoever measures with it may write it either way.
        if !names.insert(container.name.to_lowercase()) {
            check.conflict(pointer, "must not come twice");
        }
        if container.id.is_some_and(|id| !ids.insert(id)) {
            check.conflict(format!("/containers/{index}/id"), "must not come twice");
        }
        let volume = Litres(f64::from(container.volume_ml) / 1000.0);
        // What the domain would not take could be stored, but never be measured with.
        if let Err(ContainerError::Volume(_)) = Container::new("any", volume) {
            let (least, most) = (Container::SMALLEST.0, Container::LARGEST.0);
            check.wrong(
                format!("/containers/{index}/volume_l"),
                format!("must be {least} to {most} litres"),
            );
        }
    }
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
