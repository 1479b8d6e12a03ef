//! Places of turns: taking, giving, changing and giving them back.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::decisions::{DecisionBody, decision_body};
use super::exact::AmountKg;
use super::feedings::{FeedingConflict, refused};
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::Errand;
use crate::desk::change::Change;
use crate::desk::change_place::{PlaceChange, change_place};
use crate::desk::give_place_back::give_place_back;
use crate::desk::held_place::{Held, Placed};
use crate::desk::take_place::{Taking, take_place};
use actix_web::http::StatusCode;
use actix_web::{HttpResponse, HttpResponseBuilder, delete, patch, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, PlaceId, SiteId, TurnId};

/// Who is to get a free place of a turn.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewPlace, example = json!({"kept": true}))]
pub struct NewPlaceBody {
    /// What you mean to bring: room for it is booked in the bin. More than 0, with at most three
    /// decimals; on a feeding, within 28 days.
    #[schema(value_type = Option<f64>, exclusive_minimum = 0, maximum = 50, multiple_of = 0.001, example = 0.3)]
    amount_kg: Option<AmountKg>,
    /// Who gets it; you without. Whoever looks after the site names others.
    member_id: Option<Uuid>,
    /// Whether a rota that is drafted later leaves it alone: it does where you took it yourself,
    /// unless you say otherwise.
    kept: Option<bool>,
    /// Gives it to a member even on a weekday that they would rather not have.
    #[serde(default)]
    overrule: bool,
}

/// What is to change about a place; what is absent stays as it is.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PlaceChange, example = json!({"kept": true}))]
pub struct PlaceChangeBody {
    /// Another amount that you mean to bring; null gives the room back. Only its holder says so.
    #[serde(default)]
    #[schema(value_type = Option<f64>, exclusive_minimum = 0, maximum = 50, multiple_of = 0.001, example = 0.2)]
    amount_kg: Change<AmountKg>,
    /// Whether a rota that is drafted later leaves it alone.
    kept: Option<bool>,
    /// Another member who gets it; what the one before had booked is given back.
    member_id: Option<Uuid>,
    /// Who holds it as far as you know: if it is somebody else by now, nothing happens.
    holder_id: Option<Uuid>,
    /// Gives it to a member even on a weekday that they would rather not have.
    #[serde(default)]
    overrule: bool,
}

/// A place as its holder has it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = HeldPlace)]
pub struct HeldPlaceBody {
    id: Uuid,
    turn_id: Uuid,
    bin_id: Uuid,
    on_date: NaiveDate,
    /// 1, 2 and so on.
    seat: i16,
    /// Who holds it.
    member_id: Uuid,
    /// How they came to it.
    #[schema(value_type = HowCode)]
    how: &'static str,
    /// Whether a rota that is drafted later leaves it alone.
    kept: bool,
    held_since: DateTime<Utc>,
    /// The booking of what they bring, if they said how much.
    booking_id: Option<Uuid>,
    /// What was decided about the amount, when this request named one.
    #[serde(skip_serializing_if = "Option::is_none")]
    decision: Option<DecisionBody>,
}

/// Took it oneself, was given it by whoever looks after the site, by a rota, or by the duty of a
/// class.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a word of the store")]
enum HowCode {
    Taken,
    Assigned,
    Rota,
    Duty,
}

/// Takes a free place of a turn, or gives it to a member. With an amount, room for it is booked
/// in the same step: if the bin cannot take it, you hold no place either.
#[utoipa::path(
    tag = "turns",
    request_body = NewPlaceBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("turn_id" = Uuid, Path, description = "The turn"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Held", body = HeldPlaceBody),
        responses::Writing,
        (status = 409, description = "no_free_place, held_already, turn_over, rules_broken, \
            feeding_refused with the decision, booked_already, or another conflict",
            body = FeedingConflict, content_type = "application/problem+json"),
    )
)]
#[post("/v1/sites/{site_id}/turns/{turn_id}/places")]
pub(super) async fn create_place(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewPlaceBody>,
) -> Result<HttpResponse, Problem> {
    let (site, turn) = (SiteId(path.0), TurnId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let taking = Taking {
        member: body.value.member_id.map(MemberId),
        amount: body.value.amount_kg.map(|amount| amount.0),
        kept: body.value.kept,
        overrule: body.value.overrule,
    };
    let placed = take_place(&state.desk, errand.clone(), site, turn, taking).await?;
    answer(&state, &errand, site, StatusCode::CREATED, placed).await
}

/// Changes a place: you say another amount for your own; whoever looks after the site keeps it
/// or gives it to another member.
#[utoipa::path(
    tag = "turns",
    request_body = PlaceChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("turn_id" = Uuid, Path, description = "The turn"),
        ("place_id" = Uuid, Path, description = "The place"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The place as it is now", body = HeldPlaceBody),
        responses::Writing,
        (status = 409, description = "not_the_holder, held_already, turn_over, rules_broken, \
            feeding_refused with the decision, booked_already, or another conflict",
            body = FeedingConflict, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}/turns/{turn_id}/places/{place_id}")]
pub(super) async fn update_place(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
    body: Body<PlaceChangeBody>,
) -> Result<HttpResponse, Problem> {
    let (site, turn, place) = (SiteId(path.0), TurnId(path.1), PlaceId(path.2));
    let errand = who.errand(&state, body.ticket).await?;
    let change = PlaceChange {
        amount: body.value.amount_kg.map(|amount| amount.0),
        kept: body.value.kept,
        to: body.value.member_id.map(MemberId),
        holder: body.value.holder_id.map(MemberId),
        overrule: body.value.overrule,
    };
    let placed = change_place(&state.desk, errand.clone(), site, turn, place, change).await?;
    answer(&state, &errand, site, StatusCode::OK, placed).await
}

/// Gives a place back, and what was booked with it: your own until the site's deadline
/// (`give_back_days` of the site), anybody's for whoever looks after the site.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("turn_id" = Uuid, Path, description = "The turn"),
        ("place_id" = Uuid, Path, description = "The place"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Given back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/turns/{turn_id}/places/{place_id}")]
pub(super) async fn delete_place(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, turn, place) = (SiteId(path.0), TurnId(path.1), PlaceId(path.2));
    let errand = who.errand(&state, None).await?;
    give_place_back(&state.desk, errand, site, turn, place).await?;
    Ok(HttpResponse::NoContent().finish())
}

async fn answer(
    state: &AppState,
    errand: &Errand,
    site: SiteId,
    status: StatusCode,
    placed: Placed,
) -> Result<HttpResponse, Problem> {
    let (held, booked) = match placed {
        Placed::Held(held, None) => {
            return Ok(HttpResponseBuilder::new(status).json(HeldPlaceBody::from(*held)));
        }
        Placed::Held(held, Some(booked)) => (Some(held), booked),
        Placed::Refused(booked) => (None, booked),
    };
    let (voice, names) = reader(state, errand, site).await?;
    let id = Some(booked.decision_id.0);
    let decision = decision_body(id, &booked.decision, &voice, &names, booked.decided_at);
    let Some(held) = held else {
        return Err(refused(&decision));
    };
    let mut body = HeldPlaceBody::from(*held);
    body.decision = Some(decision);
    Ok(HttpResponseBuilder::new(status).json(body))
}

impl From<Held> for HeldPlaceBody {
    fn from(held: Held) -> Self {
        Self {
            id: held.id.0,
            turn_id: held.turn.0,
            bin_id: held.bin.0,
            on_date: held.on_date,
            seat: held.seat,
            member_id: held.member.0,
            how: held.how.code(),
            kept: held.kept,
            held_since: held.held_since,
            booking_id: held.booking.map(|booking| booking.0),
            decision: None,
        }
    }
}
