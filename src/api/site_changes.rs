//! Sites as they are to be.

use super::exact::{VolumeL, Whole};
use super::hour::Hour;
use super::problem::Problem;
use super::schemas::{ContainerName, FoodOrGroup, LongName, ReminderDays, YearOfAir, ZoneName};
use super::site_codes::{LanguageCode, NeighboursSeeCode, Outlet, PaperSize, Units};
use crate::desk::change::Change;
use crate::desk::open_site::NewSite;
use crate::desk::site_change::{AirChange, ContainerChange, SiteChange};
use serde::{Deserialize, Deserializer, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::food::{Class, Paper, SiteFoodEntry};
use wormrota_domain::ids::{ContainerId, MemberId};
use wormrota_domain::site::{Language, NeighboursSee, ScrapOutlet, UnitSystem};

/// A site to be opened.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewSite, example = json!({
    "name": "Elm Court", "zone": "America/Chicago", "units": "us", "language": "en",
    "paper": "letter", "scrap_outlets": ["garden_heap"], "my_name": "Ada"
}))]
pub struct NewSiteBody {
    /// What people will call it; 1 to 100 characters.
    #[schema(value_type = LongName)]
    name: String,
    /// Its time zone, by the name in the IANA database.
    #[schema(value_type = ZoneName)]
    zone: String,
    /// The units in which sentences are worded.
    #[schema(value_type = Units)]
    units: UnitSystem,
    /// The language of sentences.
    #[schema(value_type = LanguageCode)]
    language: Language,
    /// The paper that it shreds for bedding.
    #[schema(value_type = PaperSize)]
    paper: Paper,
    /// Whether it is a school.
    #[serde(default)]
    is_school: bool,
    /// Mean outdoor air of each month in degrees Celsius, January first.
    #[serde(default)]
    #[schema(value_type = Option<YearOfAir>)]
    monthly_air_c: Option<Vec<f64>>,
    /// Where scraps can go that no bin takes.
    #[serde(default)]
    #[schema(value_type = Vec<Outlet>)]
    scrap_outlets: Vec<ScrapOutlet>,
    /// What you are called there.
    #[schema(value_type = LongName)]
    my_name: String,
}

/// What is to change about a site; what is absent stays as it is.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SiteChange, example = json!({
    "units": "metric",
    "foods": [{"subject": "onion-skin", "class": "never"}],
    "containers": [{"name": "green caddy", "volume_l": 7}],
    "quiet_from": "20:00", "quiet_until": "07:30", "reminder_days": [2, 0]
}))]
pub struct SiteChangeBody {
    /// A new name.
    #[schema(value_type = Option<LongName>)]
    name: Option<String>,
    /// Other units.
    #[schema(value_type = Option<Units>)]
    units: Option<UnitSystem>,
    /// Another language.
    #[schema(value_type = Option<LanguageCode>)]
    language: Option<Language>,
    /// Other paper.
    #[schema(value_type = Option<PaperSize>)]
    paper: Option<Paper>,
    /// Another year of air; null when it is not known any more.
    #[serde(default, deserialize_with = "present")]
    #[schema(value_type = Option<YearOfAir>)]
    monthly_air_c: AirBody,
    /// Other outlets, in the place of all the old ones.
    #[schema(value_type = Option<Vec<Outlet>>)]
    scrap_outlets: Option<Vec<ScrapOutlet>>,
    /// Another list of foods treated more strictly, in the place of the whole old one.
    #[schema(max_items = 200)]
    foods: Option<Vec<FoodBody>>,
    /// Other containers, in the place of all the old ones.
    #[schema(max_items = 40)]
    containers: Option<Vec<ContainerChangeBody>>,
    /// What residents see of each other.
    #[schema(value_type = Option<NeighboursSeeCode>)]
    neighbours_see: Option<NeighboursSee>,
    /// Who gets what the caretaker leaves unanswered: a member who can sign in; null when
    /// nobody does any more.
    #[serde(default)]
    #[schema(value_type = Option<Uuid>)]
    deputy_id: Change<Uuid>,
    /// Until how many days before a turn its place can be given back: 0 is until the end of
    /// its own day.
    #[schema(value_type = Option<u32>, minimum = 0, maximum = 28)]
    give_back_days: Option<Whole>,
    /// When the hours begin in which nobody is written to. They end the next day when
    /// `quiet_until` is earlier, and leave six hours of the day at least.
    quiet_from: Option<Hour>,
    /// When they are over.
    quiet_until: Option<Hour>,
    /// How many days before a turn its holder is reminded, 0 for its morning, each once; an
    /// empty list for never. Members can have days of their own.
    #[schema(value_type = Option<ReminderDays>)]
    reminder_days: Option<Vec<Whole>>,
    /// Whether every absence counts in the next rota; false when only those do that are not
    /// excused.
    absences_cost: Option<bool>,
}

/// A year of air: tells null from absent.
#[derive(Debug, Default)]
enum AirBody {
    #[default]
    Absent,
    Null,
    Months(Vec<f64>),
}

/// A food that a site treats more strictly than the catalogue.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SiteFood)]
pub struct FoodBody {
    /// An item or group of the catalogue.
    #[schema(value_type = FoodOrGroup)]
    subject: String,
    /// How it is treated here.
    class: StrictnessCode,
}

/// How strictly a food is treated.
#[derive(Debug, Clone, Copy, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum StrictnessCode {
    /// Only a little at a time.
    Sparing,
    /// Not at all.
    Never,
}

/// A container as it is to be.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ContainerChange)]
pub struct ContainerChangeBody {
    /// The container it was so far; absent for a new one.
    id: Option<Uuid>,
    /// What people call it.
    #[schema(value_type = ContainerName)]
    name: String,
    /// What it holds when full, with at most three decimals.
    #[schema(value_type = f64, minimum = 0.1, maximum = 120, multiple_of = 0.001)]
    volume_l: VolumeL,
}

impl TryFrom<NewSiteBody> for NewSite {
    type Error = Problem;

    fn try_from(body: NewSiteBody) -> Result<Self, Problem> {
        Ok(Self {
            name: body.name,
            zone: body.zone,
            units: body.units,
            language: body.language,
            paper: body.paper,
            is_school: body.is_school,
            monthly_air_c: body.monthly_air_c.map(a_year).transpose()?,
            scrap_outlets: body.scrap_outlets,
            my_name: body.my_name,
        })
    }
}

impl TryFrom<SiteChangeBody> for SiteChange {
    type Error = Problem;

    fn try_from(body: SiteChangeBody) -> Result<Self, Problem> {
        Ok(Self {
            name: body.name,
            units: body.units,
            language: body.language,
            paper: body.paper,
            monthly_air_c: match body.monthly_air_c {
                AirBody::Absent => AirChange::Keep,
                AirBody::Null => AirChange::NotKnown,
                AirBody::Months(months) => AirChange::To(a_year(months)?),
            },
            scrap_outlets: body.scrap_outlets,
            foods: body.foods.map(|foods| {
                foods
                    .into_iter()
                    .map(|food| {
                        let class = match food.class {
                            StrictnessCode::Sparing => Class::Sparing,
                            StrictnessCode::Never => Class::Never,
                        };
                        SiteFoodEntry {
                            subject: food.subject,
                            class,
                        }
                    })
                    .collect()
            }),
            containers: body.containers.map(|containers| {
                containers
                    .into_iter()
                    .map(|container| ContainerChange {
                        id: container.id.map(ContainerId),
                        name: container.name,
                        volume_ml: container.volume_l.0,
                    })
                    .collect()
            }),
            neighbours_see: body.neighbours_see,
            deputy: body.deputy_id.map(MemberId),
            give_back_days: body.give_back_days.map(|days| days.0),
            quiet_from: body.quiet_from.map(|hour| hour.0),
            quiet_until: body.quiet_until.map(|hour| hour.0),
            reminder_days: (body.reminder_days)
                .map(|days| days.into_iter().map(|days| days.0).collect()),
            absences_cost: body.absences_cost,
        })
    }
}

fn a_year(months: Vec<f64>) -> Result<[f64; 12], Problem> {
    months.try_into().map_err(|_| {
        Problem::fields(vec![crate::desk::FieldError::new(
            "/monthly_air_c",
            "must have 12 entries, January first",
        )])
    })
}

/// Only called when the member is there.
fn present<'de, D: Deserializer<'de>>(deserializer: D) -> Result<AirBody, D::Error> {
    let months = Option::<Vec<f64>>::deserialize(deserializer)?;
    Ok(months.map_or(AirBody::Null, AirBody::Months))
}
