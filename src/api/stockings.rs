//! Worms and bedding go into a new bin.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::exact::{AmountKg, NoneOrKg};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::stock_bin::{Stocking, stock_bin};
use actix_web::{HttpResponse, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};

/// What goes into a new bin.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewStocking, example = json!({"worms_kg": 0.5, "bedding_kg": 2.4}))]
pub struct NewStockingBody {
    /// Live worms.
    #[schema(value_type = f64, exclusive_minimum = 0, maximum = 20, multiple_of = 0.001, example = 0.5)]
    worms_kg: AmountKg,
    /// Dry bedding; 40 grams for each litre of the bin are usual.
    #[serde(default)]
    #[schema(value_type = f64, minimum = 0, maximum = 50, multiple_of = 0.001, example = 2.4)]
    bedding_kg: NoneOrKg,
    /// When; now if absent. Within the past year.
    #[serde(default)]
    stocked_at: Option<DateTime<Utc>>,
}

/// A stocking.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Stocking)]
pub struct StockingBody {
    /// The first entry on the bin's spine.
    id: Uuid,
}

/// Stocks a bin: from now on it takes food.
#[utoipa::path(
    tag = "bins",
    request_body = NewStockingBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Stocked", body = StockingBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/stockings")]
pub(super) async fn create_stocking(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewStockingBody>,
) -> Result<HttpResponse, Problem> {
    let (site, bin) = path.into_inner();
    let stocking = Stocking {
        stocked_at: body.value.stocked_at,
        worms: body.value.worms_kg.0,
        bedding: body.value.bedding_kg.0,
    };
    let errand = who.errand(&state, body.ticket).await?;
    let id = stock_bin(&state.desk, errand, SiteId(site), BinId(bin), stocking).await?;
    Ok(HttpResponse::Created().json(StockingBody { id: id.0 }))
}
