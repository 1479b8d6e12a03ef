//! Adding turns by hand, and changing them.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::exact::Whole;
use super::hour::Hour;
use super::problem::{Problem, ProblemBody};
use super::turns::{DutyCode, TurnBody, tagged};
use super::{AppState, responses};
use crate::desk::change::Change;
use crate::desk::keep_turn::{NewTurn, TurnChange, add_turn, change_turn};
use crate::desk::turns::see_turn;
use actix_web::{HttpResponse, patch, post, web};
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, ClassId, SiteId, TurnId};
use wormrota_domain::turns::Duty;

/// A turn to be added by hand.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewTurn, example = json!({
    "bin_id": "0198f3c1-2f60-7c1e-9d55-1f2a3b4c5d6e", "duty": "harvest",
    "on_date": "2026-12-05", "places": 4, "effort": 3, "opens": "10:00", "closes": "13:00"
}))]
pub struct NewTurnBody {
    /// The bin.
    bin_id: Uuid,
    /// What is to be done; `feeding` when absent.
    #[schema(value_type = Option<DutyCode>)]
    duty: Option<Duty>,
    /// The local day: today, or within 1,098 days.
    on_date: NaiveDate,
    /// How many people it takes.
    #[schema(value_type = u32, minimum = 1, maximum = 20)]
    places: Whole,
    /// What it costs each of them, beside other turns; 1 is usual.
    #[schema(value_type = u32, minimum = 1, maximum = 20)]
    effort: Whole,
    /// From when on, on a clock on the site's wall; only together with `closes`.
    opens: Option<Hour>,
    /// Until when.
    closes: Option<Hour>,
    /// A class whose pupils take it: one of yours, or any for an educator.
    class_id: Option<Uuid>,
}

/// What is to change about a turn; what is absent stays as it is.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = TurnChange, example = json!({"called_off": true}))]
pub struct TurnChangeBody {
    /// Whether it does not take place. Whoever holds a place keeps it, but not the
    /// room that they booked with it.
    called_off: Option<bool>,
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

/// Adds one turn with free places; for caretakers, teachers and educators.
#[utoipa::path(
    tag = "turns",
    request_body = NewTurnBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Added", body = TurnBody,
        headers(("Location" = String, description = "The address of the turn"),
            ("ETag" = String, description = "For If-Match of a change"))), responses::Writing)
)]
#[post("/v1/sites/{site_id}/turns")]
pub(super) async fn create_turn(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewTurnBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewTurn {
        bin: BinId(body.value.bin_id),
        duty: body.value.duty.unwrap_or(Duty::Feeding),
        on_date: body.value.on_date,
        places: body.value.places.0,
        effort: body.value.effort.0,
        opens: body.value.opens.map(|hour| hour.0),
        closes: body.value.closes.map(|hour| hour.0),
        class: body.value.class_id.map(ClassId),
    };
    let id = add_turn(&state.desk, errand.clone(), site, new).await?;
    let turn = see_turn(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created()
        .insert_header(("Location", format!("/v1/sites/{site}/turns/{id}")))
        .insert_header(etag(turn.revision))
        .json(TurnBody::from(turn)))
}

/// Changes one turn, today's or a later one: calls it off or on again, or gives it other
/// places, effort or hours.
#[utoipa::path(
    tag = "turns",
    request_body = TurnChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("turn_id" = Uuid, Path, description = "The turn"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The turn as it is now", body = TurnBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read it again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}/turns/{turn_id}")]
pub(super) async fn update_turn(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    if_match: IfMatch,
    body: Body<TurnChangeBody>,
) -> Result<HttpResponse, Problem> {
    let (site, turn) = (SiteId(path.0), TurnId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let change = TurnChange {
        called_off: body.value.called_off,
        places: body.value.places.map(|places| places.0),
        effort: body.value.effort.map(|effort| effort.0),
        opens: body.value.opens.map(|hour| hour.0),
        closes: body.value.closes.map(|hour| hour.0),
    };
    change_turn(&state.desk, errand.clone(), site, turn, if_match.0, change).await?;
    Ok(tagged(see_turn(&state.desk, errand, site, turn).await?))
}
