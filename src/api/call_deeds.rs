//! What people do about calls: answer them, give the place to somebody, leave it empty, look
//! for somebody all the same; and say that they cannot come in the first place.

use super::absences::GivenUpBody;
use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::needs::NeedVoice;
use super::places::HeldPlaceBody;
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::cover::answer_call::answer_call;
use crate::desk::cover::cannot_come;
use crate::desk::cover::keep_call::{assign_call, leave_empty, look_all_the_same};
use crate::desk::{Desk, DeskError, Errand};
use actix_web::{HttpResponse, post, web};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{CallId, MemberId, PlaceId, SiteId, TurnId};

/// Yes or no to a call.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewCallAnswer, example = json!({"answer": "yes"}))]
pub struct NewAnswerBody {
    /// What you say.
    answer: YesOrNo,
}

/// An answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum YesOrNo {
    /// I come.
    Yes,
    /// I cannot.
    No,
}

/// What came of an answer.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CallAnswered)]
pub struct AnsweredBody {
    /// The place that is yours now; null after a no.
    place: Option<HeldPlaceBody>,
}

/// Who is to come.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewCallAssignment, example = json!({"member_id": "0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f"}))]
pub struct NewAssignmentBody {
    /// The member.
    member_id: Uuid,
    /// Gives them the place even on a weekday that they would rather not have.
    #[serde(default)]
    overrule: bool,
}

/// Says yes to a call, and then the place is yours, or no, and then you are not asked again. The
/// first yes has the place; whoever comes second gets `no_free_place`.
#[utoipa::path(
    tag = "cover",
    request_body = NewAnswerBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("call_id" = Uuid, Path, description = "The call"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Answered", body = AnsweredBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/calls/{call_id}/answer")]
pub(super) async fn create_call_answer(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewAnswerBody>,
) -> Result<web::Json<AnsweredBody>, Problem> {
    let (site, call) = (SiteId(path.0), CallId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let yes = body.value.answer == YesOrNo::Yes;
    let held = answer_call(&state.desk, errand, site, call, yes).await?;
    Ok(web::Json(AnsweredBody {
        place: held.map(HeldPlaceBody::from),
    }))
}

/// Gives the place of a call to a member; for caretakers, teachers and educators.
#[utoipa::path(
    tag = "cover",
    request_body = NewAssignmentBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("call_id" = Uuid, Path, description = "The call"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Given", body = HeldPlaceBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/calls/{call_id}/assignment")]
pub(super) async fn create_call_assignment(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewAssignmentBody>,
) -> Result<web::Json<HeldPlaceBody>, Problem> {
    let (site, call) = (SiteId(path.0), CallId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let to = (MemberId(body.value.member_id), body.value.overrule);
    let held = assign_call(&state.desk, errand, site, call, to).await?;
    Ok(web::Json(held.into()))
}

/// Leaves the place of a call empty, if the bin can do without; for caretakers, teachers and
/// educators. Doing it while the bin needs somebody is `place_needed`.
#[utoipa::path(
    tag = "cover",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("call_id" = Uuid, Path, description = "The call"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "It stays empty"),
        responses::Deleting,
    )
)]
#[post("/v1/sites/{site_id}/calls/{call_id}/left_empty")]
pub(super) async fn leave_call_empty(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    decided(&state, who, path.into_inner(), leave_empty).await
}

/// Looks for somebody though the bin could do without; for caretakers, teachers and educators.
/// Doing it again changes nothing.
#[utoipa::path(
    tag = "cover",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("call_id" = Uuid, Path, description = "The call"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Somebody is looked for"),
        responses::Deleting,
    )
)]
#[post("/v1/sites/{site_id}/calls/{call_id}/search")]
pub(super) async fn search_for_call(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    decided(&state, who, path.into_inner(), look_all_the_same).await
}

/// What somebody who keeps the rota decides about a call.
async fn decided(
    state: &AppState,
    who: SignedIn,
    (site, call): (Uuid, Uuid),
    deed: impl AsyncFnOnce(&Desk, Errand, SiteId, CallId) -> Result<(), DeskError>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(state, None).await?;
    deed(&state.desk, errand, SiteId(site), CallId(call)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Says that the holder of a place cannot come: you, or, if you look after the site, anybody.
/// Nobody asks why. The place is free from then on, and somebody else is looked for if the bin
/// needs the turn. On a place that nobody holds, caretakers, teachers and educators have somebody
/// looked for whether it does or not; doing that again changes nothing.
#[utoipa::path(
    tag = "cover",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("turn_id" = Uuid, Path, description = "The turn"),
        ("place_id" = Uuid, Path, description = "The place"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Given up, or looked for", body = GivenUpBody),
        responses::Deleting,
    )
)]
#[post("/v1/sites/{site_id}/turns/{turn_id}/places/{place_id}/call")]
pub(super) async fn create_call(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, turn, place) = (SiteId(path.0), TurnId(path.1), PlaceId(path.2));
    let errand = who.errand(&state, None).await?;
    let given_up = cannot_come::cannot_come(&state.desk, errand.clone(), site, turn, place).await?;
    let voice = NeedVoice::of(&state, &errand, site).await?;
    Ok(HttpResponse::Created().json(GivenUpBody::said(given_up, &voice)))
}
