//! Sites as they are answered.

use super::exact::litres;
use super::hour::hour;
use super::site_codes::{LanguageCode, NeighboursSeeCode, Outlet, PaperSize, RoleCode, Units};
use crate::desk::sites::{Site, SiteView};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::food::Paper;
use wormrota_domain::site::{Language, NeighboursSee, ScrapOutlet, UnitSystem};

/// A container that scraps are measured with.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Container)]
pub struct ContainerBody {
    id: Uuid,
    name: String,
    volume_l: f64,
}

/// A site in a list.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SiteSummary)]
pub struct SiteSummaryBody {
    id: Uuid,
    name: String,
    zone: &'static str,
    is_school: bool,
}

/// A site.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Site)]
pub struct SiteBody {
    id: Uuid,
    name: String,
    /// The IANA name of its time zone.
    zone: &'static str,
    #[schema(value_type = Units)]
    units: UnitSystem,
    #[schema(value_type = LanguageCode)]
    language: Language,
    #[schema(value_type = PaperSize)]
    paper: Paper,
    is_school: bool,
    /// Mean outdoor air of each month in degrees Celsius, January first, when known.
    monthly_air_c: Option<Vec<f64>>,
    #[schema(value_type = Vec<Outlet>)]
    scrap_outlets: Vec<ScrapOutlet>,
    /// Foods treated more strictly than usual.
    foods: Vec<SiteFoodBody>,
    /// What scraps are measured with.
    containers: Vec<ContainerBody>,
    created_at: DateTime<Utc>,
    /// What residents see of each other.
    #[schema(value_type = NeighboursSeeCode)]
    neighbours_see: NeighboursSee,
    /// Who gets what the caretaker leaves unanswered, if anybody; shown to the deputy and
    /// to whoever looks after the site.
    deputy_id: Option<Uuid>,
    /// Until how many days before a turn its place can be given back.
    give_back_days: u8,
    /// When the hours begin in which nobody is written to, such as `21:00`.
    quiet_from: String,
    /// When they are over.
    quiet_until: String,
    /// How many days before a turn its holder is reminded, 0 for its morning.
    reminder_days: Vec<u8>,
    /// Whether every absence counts in the next rota, excused or not.
    absences_cost: bool,
    /// Who you are there.
    my_member_id: Uuid,
    /// What you are there.
    #[schema(value_type = Vec<RoleCode>)]
    my_roles: Vec<Role>,
}

/// A food that a site treats more strictly than the catalogue, as it stands.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SiteFoodEntry)]
pub struct SiteFoodBody {
    subject: String,
    class: String,
}

impl From<Site> for SiteSummaryBody {
    fn from(site: Site) -> Self {
        Self {
            id: site.id.0,
            name: site.name,
            zone: site.zone.name(),
            is_school: site.is_school,
        }
    }
}

impl From<SiteView> for SiteBody {
    fn from(view: SiteView) -> Self {
        let me = view.membership.member;
        let may_know = view.membership.may(Deed::ChangeSite);
        let deputy = view.site.deputy.filter(|deputy| may_know || *deputy == me);
        Self {
            id: view.site.id.0,
            name: view.site.name,
            zone: view.site.zone.name(),
            units: view.site.units,
            language: view.site.language,
            paper: view.site.paper,
            is_school: view.site.is_school,
            monthly_air_c: view.site.monthly_air_c.map(Vec::from),
            scrap_outlets: view.site.scrap_outlets,
            foods: view
                .foods
                .into_iter()
                .map(|food| SiteFoodBody {
                    subject: food.subject,
                    class: food.class,
                })
                .collect(),
            containers: view
                .containers
                .into_iter()
                .map(|container| ContainerBody {
                    id: container.id.0,
                    name: container.name,
                    volume_l: litres(container.volume_ml),
                })
                .collect(),
            created_at: view.site.created_at,
            neighbours_see: view.site.neighbours_see,
            deputy_id: deputy.map(|deputy| deputy.0),
            give_back_days: view.site.give_back_days,
            quiet_from: hour(view.site.quiet.from()),
            quiet_until: hour(view.site.quiet.until()),
            reminder_days: view.site.reminder_days,
            absences_cost: view.site.absences_cost,
            my_member_id: view.membership.member.0,
            my_roles: view.membership.roles,
        }
    }
}
