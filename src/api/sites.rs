//! Sites.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::exact::{VolumeL, Whole, litres};
use super::hour::{Hour, hour};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::{Problem, ProblemBody};
use super::schemas::{ContainerName, FoodOrGroup, LongName, ReminderDays, YearOfAir, ZoneName};
use super::{AppState, responses};
use crate::desk::change::Change;
use crate::desk::change_site::{AirChange, ContainerChange, SiteChange, change_site};
use crate::desk::open_site::{NewSite, open_site};
use crate::desk::sites::{Site, SiteView, list_sites, see_site};
use actix_web::{HttpResponse, get, patch, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Deserializer, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::food::{Class, Paper, SiteFoodEntry};
use wormrota_domain::ids::{ContainerId, MemberId, SiteId};
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

/// `metric` or `us`.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum Units {
    Metric,
    Us,
}

/// English or Spanish.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum LanguageCode {
    En,
    Es,
}

/// The format of paper.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum PaperSize {
    A4,
    Letter,
}

/// Where scraps can go that no bin takes.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum Outlet {
    OrganicsCollection,
    GardenHeap,
    DropOffPoint,
}

/// What residents see of each other: only whom to ask, what everybody is called, or also
/// where they live.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum NeighboursSeeCode {
    Keepers,
    Names,
    NamesAndFlats,
}

/// What somebody is at a site.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum RoleCode {
    Resident,
    Caretaker,
    Teacher,
    Educator,
}

/// The sites that you belong to.
#[utoipa::path(
    tag = "sites",
    params(PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of sites", body = PageOf<SiteSummaryBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites")]
pub(super) async fn index_sites(
    state: web::Data<AppState>,
    who: SignedIn,
    page: PageWanted,
) -> Result<web::Json<PageOf<SiteSummaryBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let sites = list_sites(&state.desk, errand, after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        sites,
        |site| after_id(site.id.0),
        summary,
    )))
}

/// Opens a site; needs an educator's account. You become its first member.
#[utoipa::path(
    tag = "sites",
    request_body = NewSiteBody,
    params(KeyHeader),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Opened", body = SiteBody,
            headers(("Location" = String, description = "The address of the site"))),
        responses::Writing,
    )
)]
#[post("/v1/sites")]
pub(super) async fn create_site(
    state: web::Data<AppState>,
    who: SignedIn,
    body: Body<NewSiteBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewSite {
        name: body.value.name,
        zone: body.value.zone,
        units: body.value.units,
        language: body.value.language,
        paper: body.value.paper,
        is_school: body.value.is_school,
        monthly_air_c: body.value.monthly_air_c.map(a_year).transpose()?,
        scrap_outlets: body.value.scrap_outlets,
        my_name: body.value.my_name,
    };
    let id = open_site(&state.desk, errand.clone(), new).await?;
    let view = see_site(&state.desk, errand, id).await?;
    Ok(HttpResponse::Created()
        .insert_header(("Location", format!("/v1/sites/{id}")))
        .json(SiteBody::from(view)))
}

/// One site.
#[utoipa::path(
    tag = "sites",
    params(("site_id" = Uuid, Path, description = "The site")),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The site", body = SiteBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}")]
pub(super) async fn show_site(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let view = see_site(&state.desk, errand, SiteId(*site)).await?;
    Ok(tagged(view))
}

/// Changes a site. Food lists can be made stricter than the catalogue, never milder.
#[utoipa::path(
    tag = "sites",
    request_body = SiteChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The site as it is now", body = SiteBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read it again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}")]
pub(super) async fn update_site(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    if_match: IfMatch,
    body: Body<SiteChangeBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let change = change(body.value)?;
    change_site(&state.desk, errand.clone(), site, if_match.0, change).await?;
    let view = see_site(&state.desk, errand, site).await?;
    Ok(tagged(view))
}

/// A site with the tag that a change of it may name.
fn tagged(view: SiteView) -> HttpResponse {
    let tag = etag(view.site.revision);
    HttpResponse::Ok()
        .insert_header(tag)
        .json(SiteBody::from(view))
}

fn change(body: SiteChangeBody) -> Result<SiteChange, Problem> {
    Ok(SiteChange {
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

fn summary(site: Site) -> SiteSummaryBody {
    SiteSummaryBody {
        id: site.id.0,
        name: site.name,
        zone: site.zone.name(),
        is_school: site.is_school,
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
