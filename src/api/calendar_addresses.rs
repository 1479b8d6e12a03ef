//! Addresses at which calendar programs fetch turns.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::pages::address_of_calendar;
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::calendar_addresses::{
    CalendarAddress, list_addresses, make_address, see_address, take_address_back,
};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, CalendarAddressId, SiteId};

/// Which turns a calendar is to have.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewCalendarAddress, example = json!({}))]
pub struct NewCalendarAddressBody {
    /// Those of a bin, without names; your own when absent.
    bin_id: Option<Uuid>,
}

/// An address of yours at which a calendar program fetches turns.
#[derive(Serialize, ToSchema)]
#[schema(as = CalendarAddress)]
pub struct CalendarAddressBody {
    id: Uuid,
    /// Whose turns it has; null for your own.
    bin_id: Option<Uuid>,
    /// What to give to the program. Whoever knows it can read the calendar, without signing in.
    #[schema(format = "uri")]
    address: String,
    created_at: DateTime<Utc>,
}

impl CalendarAddressBody {
    fn of(made: &CalendarAddress, state: &AppState) -> Self {
        Self {
            id: made.id.0,
            bin_id: made.bin.map(|bin| bin.0),
            address: address_of_calendar(&state.outside, &made.token),
            created_at: made.created_at,
        }
    }
}

/// Your own addresses that work, in the order in which they were made. Nobody else sees them.
#[utoipa::path(
    tag = "rota",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of addresses", body = PageOf<CalendarAddressBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/calendar_addresses")]
pub(super) async fn index_calendar_addresses(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<CalendarAddressBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_addresses(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |address| after_id(address.id.0),
        |address| CalendarAddressBody::of(&address, &state),
    )))
}

/// Makes an address that a calendar program can subscribe to: your own turns, or those of a bin,
/// from four weeks ago to a year ahead. It works until you take it back or leave the site; 20 at
/// most work at a time.
#[utoipa::path(
    tag = "rota",
    request_body = NewCalendarAddressBody,
    params(("site_id" = Uuid, Path, description = "The site"), KeyHeader),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Made", body = CalendarAddressBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/calendar_addresses")]
pub(super) async fn create_calendar_address(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewCalendarAddressBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let bin = body.value.bin_id.map(BinId);
    let id = make_address(&state.desk, errand.clone(), site, bin).await?;
    let made = see_address(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created().json(CalendarAddressBody::of(&made, &state)))
}

/// Takes one of your addresses back: from now on there is nothing at it.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("address_id" = Uuid, Path, description = "The address"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Taken back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/calendar_addresses/{address_id}")]
pub(super) async fn delete_calendar_address(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, address) = (SiteId(path.0), CalendarAddressId(path.1));
    let errand = who.errand(&state, None).await?;
    take_address_back(&state.desk, errand, site, address).await?;
    Ok(HttpResponse::NoContent().finish())
}
