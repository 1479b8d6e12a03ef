//! Patterns: how often a bin is due.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::exact::Whole;
use super::hour::{Hour, hour};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::{Problem, ProblemBody};
use super::turns::{DutyCode, TurnCountsBody};
use super::{AppState, responses};
use crate::desk::change::Change;
use crate::desk::keep_pattern::{
    NewPattern, PatternChange, change_pattern, end_pattern, make_pattern,
};
use crate::desk::patterns::{Pattern, list_patterns, see_pattern};
use actix_web::{HttpResponse, delete, get, patch, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, ClassId, PatternId, SiteId};
use wormrota_domain::turns::Duty;

/// A pattern to be made.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewPattern, example = json!({
    "bin_id": "0198f3c1-2f60-7c1e-9d55-1f2a3b4c5d6e", "rule": "FREQ=WEEKLY;BYDAY=TU,FR",
    "first_day": "2026-12-01", "last_day": "2027-06-25", "places": 2, "effort": 1,
    "opens": "17:00", "closes": "20:00"
}))]
pub struct NewPatternBody {
    /// The bin.
    bin_id: Uuid,
    /// What is to be done; `feeding` when absent.
    #[schema(value_type = Option<DutyCode>)]
    duty: Option<Duty>,
    /// A recurrence rule as RFC 5545 has it, read as local days: what stands behind `RRULE:`.
    /// It must end, by UNTIL, COUNT or `last_day`, within 1,098 days.
    #[schema(value_type = String, min_length = 1, max_length = 500, pattern = "^[!-~]+$")]
    rule: String,
    /// The local day on which the rule begins; intervals are counted from it.
    first_day: NaiveDate,
    /// The last local day, if the rule does not say.
    last_day: Option<NaiveDate>,
    /// How many people a turn takes.
    #[schema(value_type = u32, minimum = 1, maximum = 20)]
    places: Whole,
    /// What a turn costs each of them, beside other turns; 1 is usual.
    #[schema(value_type = u32, minimum = 1, maximum = 20)]
    effort: Whole,
    /// From when on, on a clock on the site's wall; only together with `closes`.
    opens: Option<Hour>,
    /// Until when.
    closes: Option<Hour>,
    /// A class whose pupils take the turns: one of yours, or any for an educator.
    class_id: Option<Uuid>,
}

/// What is to change about a pattern; what is absent stays as it is, on single turns too.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PatternChange, example = json!({"rule": "FREQ=WEEKLY;BYDAY=FR", "places": 1}))]
pub struct PatternChangeBody {
    /// Another rule.
    #[schema(value_type = Option<String>, min_length = 1, max_length = 500, pattern = "^[!-~]+$")]
    rule: Option<String>,
    /// Another day on which it begins.
    first_day: Option<NaiveDate>,
    /// Another last day; null for none besides the rule's.
    #[serde(default)]
    #[schema(value_type = Option<NaiveDate>)]
    last_day: Change<NaiveDate>,
    /// As many people. Places that somebody holds stay.
    #[schema(value_type = Option<u32>, minimum = 1, maximum = 20)]
    places: Option<Whole>,
    /// As much effort.
    #[schema(value_type = Option<u32>, minimum = 1, maximum = 20)]
    effort: Option<Whole>,
    /// From when on; null, together with `closes`, for all day.
    #[serde(default)]
    #[schema(value_type = Option<Hour>)]
    opens: Change<Hour>,
    /// Until when.
    #[serde(default)]
    #[schema(value_type = Option<Hour>)]
    closes: Change<Hour>,
}

/// How often a bin is due.
#[derive(Serialize, ToSchema)]
#[schema(as = Pattern)]
pub struct PatternBody {
    id: Uuid,
    bin_id: Uuid,
    #[schema(value_type = DutyCode)]
    duty: Duty,
    /// A recurrence rule (RFC 5545), read as local days.
    rule: String,
    first_day: NaiveDate,
    last_day: Option<NaiveDate>,
    places: i16,
    effort: i16,
    /// From when on, such as `17:00`; null when all day.
    opens: Option<String>,
    closes: Option<String>,
    /// Whether the pupils of a class take the turns.
    is_of_a_class: bool,
    /// Which class that is, if you may see it.
    class_id: Option<Uuid>,
    created_at: DateTime<Utc>,
    /// Since when it makes no more turns, if it has ended.
    ended_at: Option<DateTime<Utc>>,
}

/// A pattern that was made.
#[derive(Serialize, ToSchema)]
#[schema(as = MadePattern)]
pub struct MadePatternBody {
    #[serde(flatten)]
    pattern: PatternBody,
    /// How many turns it has, from today on. Days on which the site is shut have none.
    turns_made: usize,
    /// Their days, in order.
    days: Vec<NaiveDate>,
}

/// A pattern that was changed, or has ended.
#[derive(Serialize, ToSchema)]
#[schema(as = ChangedPattern)]
pub struct ChangedPatternBody {
    #[serde(flatten)]
    pattern: PatternBody,
    /// What became of its turns, from today on.
    turns: TurnCountsBody,
}

/// The patterns of a site that go on.
#[utoipa::path(
    tag = "turns",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of patterns", body = PageOf<PatternBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/patterns")]
pub(super) async fn index_patterns(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<PatternBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let patterns = list_patterns(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        patterns,
        |pattern| after_id(pattern.id.0),
        PatternBody::from,
    )))
}

/// Makes a pattern and all its turns, with free places; for caretakers, teachers and
/// educators.
#[utoipa::path(
    tag = "turns",
    request_body = NewPatternBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Made", body = MadePatternBody,
        headers(("Location" = String, description = "The address of the pattern"),
            ("ETag" = String, description = "For If-Match of a change"))), responses::Writing)
)]
#[post("/v1/sites/{site_id}/patterns")]
pub(super) async fn create_pattern(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewPatternBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let new = new_pattern(body.value);
    let made = make_pattern(&state.desk, errand.clone(), site, new).await?;
    let id = made.id;
    let pattern = see_pattern(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created()
        .insert_header(("Location", format!("/v1/sites/{site}/patterns/{id}")))
        .insert_header(etag(pattern.revision))
        .json(MadePatternBody {
            pattern: pattern.into(),
            turns_made: made.days.len(),
            days: made.days,
        }))
}

/// One pattern, ended or not.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("pattern_id" = Uuid, Path, description = "The pattern"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The pattern", body = PatternBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/patterns/{pattern_id}")]
pub(super) async fn show_pattern(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let pattern = see_pattern(&state.desk, errand, SiteId(path.0), PatternId(path.1)).await?;
    Ok(HttpResponse::Ok()
        .insert_header(etag(pattern.revision))
        .json(PatternBody::from(pattern)))
}

/// Changes a pattern, and its turns from today on. Nobody loses a place: a turn that the
/// pattern does not want any more stays, flagged, while somebody holds a place of it.
#[utoipa::path(
    tag = "turns",
    request_body = PatternChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("pattern_id" = Uuid, Path, description = "The pattern"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The pattern as it is now", body = ChangedPatternBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read it again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}/patterns/{pattern_id}")]
pub(super) async fn update_pattern(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    if_match: IfMatch,
    body: Body<PatternChangeBody>,
) -> Result<HttpResponse, Problem> {
    let (site, id) = (SiteId(path.0), PatternId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let change = PatternChange {
        rule: body.value.rule,
        first_day: body.value.first_day,
        last_day: body.value.last_day,
        places: body.value.places.map(|places| places.0),
        effort: body.value.effort.map(|effort| effort.0),
        opens: body.value.opens.map(|hour| hour.0),
        closes: body.value.closes.map(|hour| hour.0),
    };
    let turns = change_pattern(&state.desk, errand.clone(), site, id, if_match.0, change).await?;
    let pattern = see_pattern(&state.desk, errand, site, id).await?;
    Ok(changed(pattern, turns.into()))
}

/// Ends a pattern: its turns from today on go, but for those that somebody holds, which stay,
/// flagged. Doing it again changes nothing.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("pattern_id" = Uuid, Path, description = "The pattern"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The pattern as it is now", body = ChangedPatternBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/patterns/{pattern_id}")]
pub(super) async fn delete_pattern(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, id) = (SiteId(path.0), PatternId(path.1));
    let errand = who.errand(&state, None).await?;
    let turns = end_pattern(&state.desk, errand.clone(), site, id).await?;
    let pattern = see_pattern(&state.desk, errand, site, id).await?;
    Ok(changed(pattern, turns.into()))
}

fn new_pattern(body: NewPatternBody) -> NewPattern {
    NewPattern {
        bin: BinId(body.bin_id),
        duty: body.duty.unwrap_or(Duty::Feeding),
        rule: body.rule,
        first_day: body.first_day,
        last_day: body.last_day,
        places: body.places.0,
        effort: body.effort.0,
        opens: body.opens.map(|hour| hour.0),
        closes: body.closes.map(|hour| hour.0),
        class: body.class_id.map(ClassId),
    }
}

fn changed(pattern: Pattern, turns: TurnCountsBody) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header(etag(pattern.revision))
        .json(ChangedPatternBody {
            pattern: pattern.into(),
            turns,
        })
}

impl From<Pattern> for PatternBody {
    fn from(pattern: Pattern) -> Self {
        Self {
            id: pattern.id.0,
            bin_id: pattern.bin.0,
            duty: pattern.duty,
            rule: pattern.rule,
            first_day: pattern.first_day,
            last_day: pattern.last_day,
            places: pattern.places,
            effort: pattern.effort,
            opens: pattern.opens.map(hour),
            closes: pattern.closes.map(hour),
            is_of_a_class: pattern.is_of_a_class,
            class_id: pattern.class.map(|class| class.0),
            created_at: pattern.created_at,
            ended_at: pattern.ended_at,
        }
    }
}
