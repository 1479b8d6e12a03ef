//! Days on which a site is shut.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{DayPageQuery, PageOf, PageWanted, after_day};
use super::problem::Problem;
use super::turns::TurnCountsBody;
use super::{AppState, responses};
use crate::desk::closures::{Closure, list_closures};
use crate::desk::keep_closure::{NewClosure, end_closure, make_closure};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ClosureId, SiteId};

/// Days on which a site is to be shut.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewClosure, example = json!({"first_day": "2026-12-21", "last_day": "2027-01-03"}))]
pub struct NewClosureBody {
    /// The first local day.
    first_day: NaiveDate,
    /// The last local day: today or later, 400 days in all at most, and within 1,098 days
    /// from today.
    last_day: NaiveDate,
}

/// Days on which a site is shut.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Closure)]
pub struct ClosureBody {
    id: Uuid,
    first_day: NaiveDate,
    last_day: NaiveDate,
    created_at: DateTime<Utc>,
}

/// A closure that was made.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = MadeClosure)]
pub struct MadeClosureBody {
    id: Uuid,
    first_day: NaiveDate,
    last_day: NaiveDate,
    /// What became of the turns: those called off, and how many places on them are held.
    /// Whoever holds one keeps it, but not the room that they booked with it.
    turns: TurnCountsBody,
}

/// What opening a site again did.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = EndedClosure)]
pub struct EndedClosureBody {
    /// What became of the turns: those that are on again, and those that patterns wanted
    /// there.
    turns: TurnCountsBody,
}

/// Days on which a site is shut and that are not over, in order.
#[utoipa::path(
    tag = "turns",
    params(("site_id" = Uuid, Path, description = "The site"), DayPageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of closures", body = PageOf<ClosureBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/closures")]
pub(super) async fn index_closures(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<ClosureBody>>, Problem> {
    let after = page.after_day()?;
    let errand = who.errand(&state, None).await?;
    let closures = list_closures(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        closures,
        |closure| after_day(closure.first_day, closure.id.0),
        ClosureBody::from,
    )))
}

/// Shuts a site for days: turns on them are called off, and no pattern makes any there; for
/// caretakers, teachers and educators.
#[utoipa::path(
    tag = "turns",
    request_body = NewClosureBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Shut", body = MadeClosureBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/closures")]
pub(super) async fn create_closure(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewClosureBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewClosure {
        first_day: body.value.first_day,
        last_day: body.value.last_day,
    };
    let made = make_closure(&state.desk, errand, SiteId(*site), new).await?;
    Ok(HttpResponse::Created().json(MadeClosureBody {
        id: made.id.0,
        first_day: new.first_day,
        last_day: new.last_day,
        turns: made.turns.into(),
    }))
}

/// Opens a site again on the days of a closure that is not over: turns are on again, unless
/// somebody called them off by hand.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("closure_id" = Uuid, Path, description = "The closure"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Open again", body = EndedClosureBody),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/closures/{closure_id}")]
pub(super) async fn delete_closure(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<EndedClosureBody>, Problem> {
    let errand = who.errand(&state, None).await?;
    let turns = end_closure(&state.desk, errand, SiteId(path.0), ClosureId(path.1)).await?;
    Ok(web::Json(EndedClosureBody {
        turns: turns.into(),
    }))
}

impl From<Closure> for ClosureBody {
    fn from(closure: Closure) -> Self {
        Self {
            id: closure.id.0,
            first_day: closure.first_day,
            last_day: closure.last_day,
            created_at: closure.created_at,
        }
    }
}
