//! Days on which members are away.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::absences::{Absence, list_absences, see_absence};
use crate::desk::tell_absence::{NewAbsence, end_absence, tell_absence};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{AbsenceId, MemberId, SiteId};

/// Days to be away. No reason is asked for.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewAbsence, example = json!({"first_day": "2026-12-19", "last_day": "2027-01-03"}))]
pub struct NewAbsenceBody {
    /// The first local day: today or later.
    first_day: NaiveDate,
    /// The last local day; when absent, away until further notice.
    last_day: Option<NaiveDate>,
}

/// Days away.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Absence)]
pub struct AbsenceBody {
    id: Uuid,
    first_day: NaiveDate,
    /// Null until further notice.
    last_day: Option<NaiveDate>,
    created_at: DateTime<Utc>,
}

/// Days away that were told, with what lies within them.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AbsenceTold)]
pub struct AbsenceToldBody {
    #[serde(flatten)]
    absence: AbsenceBody,
    /// Turns on these days of which the member holds a place, the earliest first. They stay the
    /// member's until they are given back or moved.
    turn_ids: Vec<Uuid>,
}

/// The absences of a member, your own or, if you look after the site, anybody's, in the order in
/// which they were told.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of absences", body = PageOf<AbsenceBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/members/{member_id}/absences")]
pub(super) async fn index_absences(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<AbsenceBody>>, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_absences(&state.desk, errand, site, member, after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |absence| after_id(absence.id.0),
        AbsenceBody::from,
    )))
}

/// Tells that a member is away: you, or, if you look after the site, anybody. No turn is planned
/// for them on these days. Places that they hold already are named, and stay where they are.
#[utoipa::path(
    tag = "rota",
    request_body = NewAbsenceBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Told", body = AbsenceToldBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/members/{member_id}/absences")]
pub(super) async fn create_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewAbsenceBody>,
) -> Result<HttpResponse, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewAbsence {
        first_day: body.value.first_day,
        last_day: body.value.last_day,
    };
    let told = tell_absence(&state.desk, errand.clone(), site, member, new).await?;
    let absence = see_absence(&state.desk, errand, site, member, told.id).await?;
    Ok(HttpResponse::Created().json(AbsenceToldBody {
        absence: absence.into(),
        turn_ids: told.turns.iter().map(|turn| turn.0).collect(),
    }))
}

/// Takes an absence back. One that has begun ends yesterday: days that have passed stay as they
/// were.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        ("absence_id" = Uuid, Path, description = "The absence"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Taken back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/members/{member_id}/absences/{absence_id}")]
pub(super) async fn delete_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, member, absence) = (SiteId(path.0), MemberId(path.1), AbsenceId(path.2));
    let errand = who.errand(&state, None).await?;
    end_absence(&state.desk, errand, site, member, absence).await?;
    Ok(HttpResponse::NoContent().finish())
}

impl From<Absence> for AbsenceBody {
    fn from(absence: Absence) -> Self {
        Self {
            id: absence.id.0,
            first_day: absence.first_day,
            last_day: absence.last_day,
            created_at: absence.created_at,
        }
    }
}
