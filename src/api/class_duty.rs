//! Who of a class is when.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::hour::hour;
use super::problem::{Problem, ProblemBody};
use super::query;
use super::schemas::{Label, TwoKeys};
use super::{AppState, responses};
use crate::desk::class_duty::{By, Sharing, share_out};
use crate::desk::duty_by_hand::put_pupil;
use crate::desk::see_duty::{DutyPlace, DutyTurn, list_duty, see_duty};
use actix_web::{HttpRequest, get, post, put, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId};

/// Which days are wanted.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct DutyQuery {
    /// The first local day; today when absent.
    from: Option<NaiveDate>,
    /// The last local day, at most 400 days on; four weeks when absent.
    to: Option<NaiveDate>,
}

/// Turns of a class to be shared out among its pupils.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewDuty, example = json!({
    "from": "2026-11-26", "to": "2026-12-18", "by": "in_order"
}))]
pub struct NewDutyBody {
    /// The first local day: today or later.
    from: NaiveDate,
    /// The last local day, not after the last one of the class.
    to: NaiveDate,
    by: ByBody,
    /// Pupils who go together or not at all; only `in_order`.
    #[serde(default)]
    #[schema(value_type = Vec<TwoKeys>, max_items = 30)]
    pairs: Vec<[Uuid; 2]>,
}

/// Who is chosen: `in_order`, everybody once before anybody twice; `planner`, as even as can be
/// in effort.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(as = DutyBy)]
enum ByBody {
    InOrder,
    Planner,
}

/// Turns that were shared out.
#[derive(Serialize, ToSchema)]
#[schema(as = DutyShared)]
pub struct DutySharedBody {
    /// Places that a pupil got.
    filled: usize,
    /// Places that stay free: nobody was there for them.
    still_free: usize,
    /// The turns of these days, as one comes after the other.
    turns: Vec<DutyTurnBody>,
}

/// Turns of a class.
#[derive(Serialize, ToSchema)]
#[schema(as = Duty)]
pub struct DutyBody {
    /// As one comes after the other.
    turns: Vec<DutyTurnBody>,
}

/// A turn of a class.
#[derive(Serialize, ToSchema)]
#[schema(as = DutyTurn)]
pub struct DutyTurnBody {
    turn_id: Uuid,
    bin_id: Uuid,
    bin_name: String,
    on_date: NaiveDate,
    /// What is to be done: `feeding`, `watering`, `looking`, `harvest` or `tidying`.
    duty: String,
    /// From when on, as a clock at the site shows it; null when at any hour.
    #[schema(example = "10:30")]
    opens: Option<String>,
    /// Until when.
    #[schema(example = "11:15")]
    closes: Option<String>,
    called_off: bool,
    places: Vec<DutyPlaceBody>,
}

/// A place of it.
#[derive(Serialize, ToSchema)]
#[schema(as = DutyPlace)]
pub struct DutyPlaceBody {
    place_id: Uuid,
    /// Whether somebody has it.
    held: bool,
    pupil_id: Option<Uuid>,
    /// What the pupil is called; null once they are erased.
    #[schema(value_type = Option<Label>)]
    label: Option<String>,
    /// Whether the pupil is away on that day: exchange them.
    away: bool,
}

/// Who is to have a place.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = DutyHolder, example = json!({"pupil_id": null}))]
pub struct HolderBody {
    /// A pupil of the class; null makes the place free.
    pupil_id: Option<Uuid>,
}

/// Who of a class is when; for the adults of the class, and for educators.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        DutyQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The turns of the class", body = DutyBody),
        responses::Reading,
        (status = 409, description = "conflicting_fields: too many days, or none",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[get("/v1/sites/{site_id}/classes/{class_id}/duty")]
pub(super) async fn show_duty(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<DutyBody>, Problem> {
    let query: DutyQuery = query::read(&request)?;
    let (site, class) = (SiteId(path.0), ClassId(path.1));
    let errand = who.errand(&state, None).await?;
    let days = (query.from, query.to);
    let turns = list_duty(&state.desk, errand, site, class, days).await?;
    Ok(web::Json(body(turns)))
}

/// Shares out the turns of a class among its pupils. Places that somebody has stay theirs, and
/// what pupils had in this school year counts. Who is away on a day is passed over.
#[utoipa::path(
    tag = "classes",
    request_body = NewDutyBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Shared out", body = DutySharedBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/classes/{class_id}/duty")]
pub(super) async fn create_duty(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewDutyBody>,
) -> Result<web::Json<DutySharedBody>, Problem> {
    let (site, class) = (SiteId(path.0), ClassId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let new = body.value;
    let sharing = Sharing {
        from: new.from,
        to: new.to,
        by: match new.by {
            ByBody::InOrder => By::InOrder,
            ByBody::Planner => By::Planner,
        },
        pairs: (new.pairs.into_iter())
            .map(|pair| pair.map(PupilId))
            .collect(),
    };
    let days = (Some(new.from), Some(new.to));
    let shared = share_out(&state.desk, errand.clone(), site, class, sharing).await?;
    let turns = list_duty(&state.desk, errand, site, class, days).await?;
    Ok(web::Json(DutySharedBody {
        filled: shared.filled,
        still_free: shared.still_free,
        turns: turns.into_iter().map(DutyTurnBody::from).collect(),
    }))
}

/// Gives a place of a class's turn to a pupil of the class, or makes it free.
#[utoipa::path(
    tag = "classes",
    request_body = HolderBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("place_id" = Uuid, Path, description = "The place"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The turn as it is now", body = DutyBody),
        responses::Writing,
    )
)]
#[put("/v1/sites/{site_id}/classes/{class_id}/duty/{place_id}")]
pub(super) async fn put_duty_place(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
    body: Body<HolderBody>,
) -> Result<web::Json<DutyBody>, Problem> {
    let (site, class, place) = (SiteId(path.0), ClassId(path.1), PlaceId(path.2));
    let errand = who.errand(&state, body.ticket).await?;
    let pupil = body.value.pupil_id.map(PupilId);
    let turn = put_pupil(&state.desk, errand.clone(), site, class, place, pupil).await?;
    let turns = see_duty(&state.desk, errand, site, class, vec![turn]).await?;
    Ok(web::Json(self::body(turns)))
}

/// Turns of a class, said.
pub(super) fn body(turns: Vec<DutyTurn>) -> DutyBody {
    DutyBody {
        turns: turns.into_iter().map(DutyTurnBody::from).collect(),
    }
}

impl From<DutyTurn> for DutyTurnBody {
    fn from(turn: DutyTurn) -> Self {
        Self {
            turn_id: turn.id.0,
            bin_id: turn.bin.0,
            bin_name: turn.bin_name,
            on_date: turn.on_date,
            duty: turn.duty,
            opens: turn.hours.map(|(opens, _)| hour(opens)),
            closes: turn.hours.map(|(_, closes)| hour(closes)),
            called_off: turn.is_called_off,
            places: turn.places.into_iter().map(DutyPlaceBody::from).collect(),
        }
    }
}

impl From<DutyPlace> for DutyPlaceBody {
    fn from(place: DutyPlace) -> Self {
        Self {
            place_id: place.id.0,
            held: place.is_held,
            pupil_id: place.pupil.map(|pupil| pupil.0),
            label: place.label,
            away: place.is_away,
        }
    }
}
