//! Days on which pupils are away from class, and who steps in.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::class_duty::{self, DutyBody};
use super::problem::Problem;
use super::schemas::Label;
use super::{AppState, responses};
use crate::desk::classes::see_class;
use crate::desk::duty_exchange::{exchange, mark_away, mark_back};
use crate::desk::see_duty::see_duty;
use actix_web::{HttpResponse, delete, post, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId};

/// A day on which a pupil is away. No reason is asked for.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewPupilAbsence, example = json!({"on_date": "2026-11-26"}))]
pub struct NewPupilAbsenceBody {
    /// The local day: today, or a later one up to the last one of the class.
    on_date: NaiveDate,
}

/// A pupil who is away on a day, with who could step in.
#[derive(Serialize, ToSchema)]
#[schema(as = PupilAbsence)]
pub struct PupilAbsenceBody {
    pupil_id: Uuid,
    on_date: NaiveDate,
    /// The places that the pupil has on that day. Nothing changes until they are exchanged.
    places: Vec<ProposalBody>,
}

/// A place, and who could step in.
#[derive(Serialize, ToSchema)]
#[schema(as = DutyProposal)]
pub struct ProposalBody {
    place_id: Uuid,
    turn_id: Uuid,
    /// Who is next in the order and there; null when nobody is.
    proposed_pupil_id: Option<Uuid>,
    /// What that pupil is called.
    #[schema(value_type = Option<Label>)]
    proposed_label: Option<String>,
}

/// Who steps in.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = DutyExchange, example = json!({}))]
pub struct ExchangeBody {
    /// A pupil of the class; when absent, whoever is next in the order and there.
    pupil_id: Option<Uuid>,
}

/// Marks a pupil as away on a day, and proposes who steps in. Send the exchange of each place
/// to have it so. Doing it again proposes anew.
#[utoipa::path(
    tag = "classes",
    request_body = NewPupilAbsenceBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("pupil_id" = Uuid, Path, description = "The pupil"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Marked", body = PupilAbsenceBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences")]
pub(super) async fn create_pupil_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
    body: Body<NewPupilAbsenceBody>,
) -> Result<HttpResponse, Problem> {
    let (site, class, pupil) = (SiteId(path.0), ClassId(path.1), PupilId(path.2));
    let errand = who.errand(&state, body.ticket).await?;
    let on_date = body.value.on_date;
    let proposals = mark_away(&state.desk, errand.clone(), site, class, pupil, on_date).await?;
    let class = see_class(&state.desk, errand, site, class).await?;
    let label = |id: PupilId| {
        let found = class.pupils.iter().find(|pupil| pupil.id == id);
        found.map(|pupil| pupil.label.clone())
    };
    Ok(HttpResponse::Created().json(PupilAbsenceBody {
        pupil_id: pupil.0,
        on_date,
        places: proposals
            .into_iter()
            .map(|one| ProposalBody {
                place_id: one.place.0,
                turn_id: one.turn.0,
                proposed_pupil_id: one.pupil.map(|pupil| pupil.0),
                proposed_label: one.pupil.and_then(label),
            })
            .collect(),
    }))
}

/// Takes back that a pupil is away on a day. Places that were exchanged stay so.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("pupil_id" = Uuid, Path, description = "The pupil"),
        ("on_date" = NaiveDate, Path, description = "The day: today or a later one"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Taken back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences/{on_date}")]
pub(super) async fn delete_pupil_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid, NaiveDate)>,
) -> Result<HttpResponse, Problem> {
    let (site, class, pupil) = (SiteId(path.0), ClassId(path.1), PupilId(path.2));
    let errand = who.errand(&state, None).await?;
    mark_back(&state.desk, errand, site, class, pupil, path.3).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Puts somebody in the place of a pupil who is away. If whoever steps in has a later turn, the
/// two change places, as far as the absent pupil can come then; nobody owes anything.
#[utoipa::path(
    tag = "classes",
    request_body = ExchangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("place_id" = Uuid, Path, description = "The place"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The turns that changed, as they are now", body = DutyBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/classes/{class_id}/duty/{place_id}/exchange")]
pub(super) async fn exchange_duty_place(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
    body: Body<ExchangeBody>,
) -> Result<web::Json<DutyBody>, Problem> {
    let (site, class, place) = (SiteId(path.0), ClassId(path.1), PlaceId(path.2));
    let errand = who.errand(&state, body.ticket).await?;
    let named = body.value.pupil_id.map(PupilId);
    let turns = exchange(&state.desk, errand.clone(), site, class, place, named).await?;
    let turns = see_duty(&state.desk, errand, site, class, turns).await?;
    Ok(web::Json(class_duty::body(turns)))
}
