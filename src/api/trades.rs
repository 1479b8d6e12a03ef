//! Trades: two members get each other's place.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::places::HeldPlaceBody;
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::trade_places::{Trade, trade_places};
use actix_web::{HttpResponse, post, web};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{PlaceId, SiteId};

/// Whose holders trade.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewTrade, example = json!({
    "one_place_id": "0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f",
    "other_place_id": "0198f2c0-5f5e-7000-8000-9a2b7c1d4e70",
}))]
pub struct NewTradeBody {
    /// A place that somebody holds.
    one_place_id: Uuid,
    /// A place of another turn that somebody else holds.
    other_place_id: Uuid,
    /// Lets them trade even where one gets a weekday that they would rather not have.
    #[serde(default)]
    overrule: bool,
}

/// Two places after their holders traded.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Trade)]
pub struct TradeBody {
    /// The first, with the holder of the second.
    one: HeldPlaceBody,
    /// The second, with the holder of the first.
    other: HeldPlaceBody,
}

/// Lets the holders of two places trade: both, or nothing happens. Rules are judged on how it is
/// afterwards. What either had booked is given back.
#[utoipa::path(
    tag = "turns",
    request_body = NewTradeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Traded", body = TradeBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/trades")]
pub(super) async fn create_trade(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewTradeBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let trade = Trade {
        one: PlaceId(body.value.one_place_id),
        other: PlaceId(body.value.other_place_id),
        overrule: body.value.overrule,
    };
    let traded = trade_places(&state.desk, errand, SiteId(*site), trade).await?;
    Ok(HttpResponse::Created().json(TradeBody {
        one: traded.one.into(),
        other: traded.other.into(),
    }))
}
