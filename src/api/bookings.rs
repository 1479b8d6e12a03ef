//! Room booked for a day.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::decisions::{DecisionBody, decision_body};
use super::exact::{AmountKg, kg};
use super::feedings::{FeedingConflict, refused};
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::book::{Promise, book, withdraw};
use crate::desk::outlooks::{OpenBooking, list_bookings};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, BookingId, SiteId};

/// An amount that somebody means to bring on a day.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewBooking, example = json!({"on_date": "2026-11-26", "amount_kg": 0.3}))]
pub struct NewBookingBody {
    /// The local day: today, or one of the 28 days after it.
    on_date: NaiveDate,
    /// More than 0, with at most three decimals.
    #[schema(value_type = f64, exclusive_minimum = 0, maximum = 50, multiple_of = 0.001, example = 0.3)]
    amount_kg: AmountKg,
}

/// Room that is booked.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Booked)]
pub struct BookedBody {
    /// The booking.
    id: Uuid,
    on_date: NaiveDate,
    /// The decision that allowed it.
    decision: DecisionBody,
}

/// An open booking.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Booking)]
pub struct BookingBody {
    id: Uuid,
    /// Whose it is: yours, or anybody's for who looks after the site.
    member_id: Option<Uuid>,
    on_date: NaiveDate,
    promised_kg: f64,
    /// What the bin will be able to take of it, as things stand: less than promised when
    /// the weather turned.
    kept_kg: f64,
}

/// Open bookings.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Bookings)]
pub struct BookingsBody {
    /// In order of day.
    items: Vec<BookingBody>,
}

/// Books room for a day, so that nobody else's feeding takes it.
#[utoipa::path(
    tag = "bookings",
    request_body = NewBookingBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Booked", body = BookedBody),
        responses::Writing,
        (status = 409, description = "feeding_refused with the decision, booked_already, or another conflict",
            body = FeedingConflict, content_type = "application/problem+json"),
    )
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/bookings")]
pub(super) async fn create_booking(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewBookingBody>,
) -> Result<HttpResponse, Problem> {
    let (site, bin) = path.into_inner();
    let promise = Promise {
        on_date: body.value.on_date,
        amount: body.value.amount_kg.0,
    };
    let errand = who.errand(&state, body.ticket).await?;
    let booked = book(
        &state.desk,
        errand.clone(),
        SiteId(site),
        BinId(bin),
        promise,
    )
    .await?;
    let (voice, names) = reader(&state, &errand, SiteId(site)).await?;
    let id = Some(booked.decision_id.0);
    let decision = decision_body(id, &booked.decision, &voice, &names, booked.decided_at);
    match booked.booking {
        Some(booking) => Ok(HttpResponse::Created().json(BookedBody {
            id: booking.0,
            on_date: booked.on_date,
            decision,
        })),
        None => Err(refused(&decision)),
    }
}

/// The open bookings of a bin, from today on.
#[utoipa::path(
    tag = "bookings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Open bookings", body = BookingsBody),
        responses::ReadingBin,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/bookings")]
pub(super) async fn index_bookings(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<BookingsBody>, Problem> {
    let (site, bin) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    let open = list_bookings(&state.desk, errand, SiteId(site), BinId(bin)).await?;
    Ok(web::Json(BookingsBody {
        items: open.into_iter().map(BookingBody::from).collect(),
    }))
}

/// Gives booked room back. Its holder may, and so may whoever looks after the bins.
#[utoipa::path(
    tag = "bookings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        ("booking_id" = Uuid, Path, description = "The booking"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Given back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/bins/{bin_id}/bookings/{booking_id}")]
pub(super) async fn delete_booking(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, bin, booking) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    withdraw(
        &state.desk,
        errand,
        SiteId(site),
        BinId(bin),
        BookingId(booking),
    )
    .await?;
    Ok(HttpResponse::NoContent().finish())
}

impl From<OpenBooking> for BookingBody {
    fn from(open: OpenBooking) -> Self {
        Self {
            id: open.id.0,
            member_id: open.member.map(|member| member.0),
            on_date: open.on_date,
            promised_kg: kg(open.promised),
            kept_kg: kg(open.kept),
        }
    }
}
