//! What bins need while their site is shut, and the visits that people agree on.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::closure_plan_bodies::{ClosurePlansBody, body};
use super::exact::Whole;
use super::problem::{self, Problem, ProblemBody};
use super::query;
use super::reader::reader;
use super::schemas::Weekday;
use super::{AppState, responses};
use crate::desk::closure_plan::{PlanFor, see_plan};
use crate::desk::keep_visits::{Agreed, agree_on_plan};
use crate::desk::plan_terms::{PlanTerms, VisitDays};
use crate::desk::{DeskError, FieldError};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::closure::closing::Heating;
use wormrota_domain::ids::{ClosureId, SiteId};

/// Of a hundred worms, how many may be asked to live.
const KEPT: std::ops::RangeInclusive<u32> = 50..=99;

/// Whether the building is heated while it is shut.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum HeatingCode {
    On,
    Off,
}

/// How a plan is asked for.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct PlanQuery {
    /// Whether the building is heated while it is shut; `off` when not given.
    #[param(value_type = Option<HeatingCode>)]
    heating: Option<Heating>,
    /// The weekdays on which somebody can come, such as `2,5`, 1 is Monday; all when not given.
    #[param(pattern = "^[1-7](,[1-7]){0,6}$")]
    visit_weekdays: Option<String>,
    /// With `true` nobody can come on any day.
    no_visits: Option<bool>,
    /// How many of a hundred worms must live on every day; 80 when not given.
    #[param(minimum = 50, maximum = 99)]
    keep_percent: Option<u32>,
}

/// The same for days on which the site could be shut.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct DaysPlanQuery {
    /// The first local day.
    first_day: NaiveDate,
    /// The last local day.
    last_day: NaiveDate,
    /// Whether the building is heated while it is shut; `off` when not given.
    #[param(value_type = Option<HeatingCode>)]
    heating: Option<Heating>,
    /// The weekdays on which somebody can come, such as `2,5`, 1 is Monday; all when not given.
    #[param(pattern = "^[1-7](,[1-7]){0,6}$")]
    visit_weekdays: Option<String>,
    /// With `true` nobody can come on any day.
    no_visits: Option<bool>,
    /// How many of a hundred worms must live on every day; 80 when not given.
    #[param(minimum = 50, maximum = 99)]
    keep_percent: Option<u32>,
}

/// The terms of the plan whose visits are agreed on.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewVisits, example = json!({"heating": "off", "visit_weekdays": [2, 5]}))]
pub struct NewVisitsBody {
    /// Whether the building is heated while it is shut; `off` when absent.
    #[schema(value_type = Option<HeatingCode>)]
    heating: Option<Heating>,
    /// The weekdays on which somebody can come, 1 is Monday; all when absent.
    #[schema(value_type = Option<Vec<Weekday>>, min_items = 1, max_items = 7)]
    visit_weekdays: Option<Vec<Whole>>,
    /// How many of a hundred worms must live on every day; 80 when absent.
    #[schema(value_type = Option<u32>, minimum = 50, maximum = 99)]
    keep_percent: Option<Whole>,
}

/// What came of agreeing on a plan.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AgreedVisits)]
pub struct AgreedBody {
    /// Visits that were added, each a turn with a free place.
    added: usize,
    /// Visits of the plan that were there already.
    there: usize,
    /// Visits that nobody held, and that others take the place of.
    removed: usize,
    /// Bins that no visits can keep, or for which nothing could be planned.
    bins_without_plan: Vec<Uuid>,
}

/// What each bin needs before, during and after a closure, as things stand: the last meal,
/// bedding and water, the fewest visits with their days, and what to begin with again; or that
/// the bin should move to a host. For caretakers, teachers and educators.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("closure_id" = Uuid, Path, description = "The closure"),
        PlanQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The plans", body = ClosurePlansBody),
        responses::Reading,
        (status = 409, description = "ended_already: the closure is over",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[get("/v1/sites/{site_id}/closures/{closure_id}/plan")]
pub(super) async fn show_closure_plan(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<ClosurePlansBody>, Problem> {
    let query: PlanQuery = query::read(&request)?;
    let of = PlanFor::Closure(ClosureId(path.1));
    show(&state, who, SiteId(path.0), of, query).await
}

/// The same for days on which the site is not shut yet. Nothing is written.
#[utoipa::path(
    tag = "turns",
    params(("site_id" = Uuid, Path, description = "The site"), DaysPlanQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The plans", body = ClosurePlansBody),
        responses::Reading,
        (status = 409, description = "conflicting_fields: the site could not be shut on these days",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[get("/v1/sites/{site_id}/closures/plan")]
pub(super) async fn show_plan_of_days(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    request: HttpRequest,
) -> Result<web::Json<ClosurePlansBody>, Problem> {
    let query: DaysPlanQuery = query::read(&request)?;
    let of = PlanFor::Days(query.first_day, query.last_day);
    let terms = PlanQuery {
        heating: query.heating,
        visit_weekdays: query.visit_weekdays,
        no_visits: query.no_visits,
        keep_percent: query.keep_percent,
    };
    show(&state, who, SiteId(*site), of, terms).await
}

/// Agrees on the visits that the plan asks for as things stand: each becomes a turn with a free
/// place that takes place although the site is shut. What somebody holds is kept, and the rest is
/// planned around it; what is free is kept where the plan has use for it, and taken away where
/// not. What is there already is not added again.
/// For caretakers, teachers and educators.
#[utoipa::path(
    tag = "turns",
    request_body = NewVisitsBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("closure_id" = Uuid, Path, description = "The closure"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Agreed", body = AgreedBody),
        responses::Writing,
        (status = 409, description = "ended_already, or idempotency_key_reused",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 412, description = "changed_meanwhile: the closure has other days now; ask again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[post("/v1/sites/{site_id}/closures/{closure_id}/visits")]
pub(super) async fn create_visits(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewVisitsBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let terms = body.value.terms()?;
    let (site, closure) = (SiteId(path.0), ClosureId(path.1));
    let agreed = agree_on_plan(&state.desk, errand, site, closure, terms).await?;
    Ok(HttpResponse::Created().json(AgreedBody::from(agreed)))
}

async fn show(
    state: &AppState,
    who: SignedIn,
    site: SiteId,
    of: PlanFor,
    query: PlanQuery,
) -> Result<web::Json<ClosurePlansBody>, Problem> {
    let terms = query.terms()?;
    let heating = terms.heating;
    let errand = who.errand(state, None).await?;
    let plans = see_plan(&state.desk, errand.clone(), site, of, terms).await?;
    let (voice, _) = reader(state, &errand, site).await?;
    Ok(web::Json(body(plans, heating, &voice)))
}

impl PlanQuery {
    fn terms(self) -> Result<PlanTerms, Problem> {
        let bad = |detail| Problem::new(&problem::BAD_QUERY, detail);
        let kept = self.keep_percent;
        if kept.is_some_and(|kept| !KEPT.contains(&kept)) {
            return Err(bad("`keep_percent` must be a whole number from 50 to 99."));
        }
        let weekdays = (self.visit_weekdays.as_deref())
            .map(|typed| typed.split(',').map(weekday).collect::<Option<Vec<_>>>());
        let visit_days = match weekdays {
            _ if self.no_visits == Some(true) => VisitDays::Never,
            None => VisitDays::Every,
            Some(Some(weekdays)) => VisitDays::On(weekdays),
            Some(None) => {
                let detail = "`visit_weekdays` must be numbers from 1 to 7 with commas between.";
                return Err(bad(detail));
            }
        };
        Ok(terms(self.heating, visit_days, kept))
    }
}

impl NewVisitsBody {
    fn terms(self) -> Result<PlanTerms, DeskError> {
        let mut errors = Vec::new();
        let kept = self.keep_percent.map(|kept| kept.0);
        if kept.is_some_and(|kept| !KEPT.contains(&kept)) {
            errors.push(FieldError::new("/keep_percent", "must be from 50 to 99"));
        }
        let typed = self.visit_weekdays.unwrap_or_default();
        let weekdays = typed.iter().map(|day| weekday(&day.0.to_string()));
        let weekdays: Option<Vec<_>> = weekdays.collect();
        if weekdays.is_none() || typed.len() > 7 {
            let detail = "must be one to seven weekdays, each from 1 to 7";
            errors.push(FieldError::new("/visit_weekdays", detail));
        }
        if !errors.is_empty() {
            return Err(DeskError::Invalid(errors));
        }
        let visit_days = match weekdays {
            Some(weekdays) if !weekdays.is_empty() => VisitDays::On(weekdays),
            _ => VisitDays::Every,
        };
        Ok(terms(self.heating, visit_days, kept))
    }
}

fn terms(heating: Option<Heating>, visit_days: VisitDays, kept: Option<u32>) -> PlanTerms {
    PlanTerms {
        heating: heating.unwrap_or(PlanTerms::default().heating),
        visit_days,
        keep: kept.map(|kept| f64::from(kept) / 100.0),
    }
}

/// A weekday by its number, 1 is Monday.
fn weekday(typed: &str) -> Option<chrono::Weekday> {
    let number: u8 = typed.parse().ok()?;
    chrono::Weekday::try_from(number.checked_sub(1)?).ok()
}

impl From<Agreed> for AgreedBody {
    fn from(agreed: Agreed) -> Self {
        Self {
            added: agreed.added,
            there: agreed.there,
            removed: agreed.removed,
            bins_without_plan: agreed.without_plan.into_iter().map(|bin| bin.0).collect(),
        }
    }
}
