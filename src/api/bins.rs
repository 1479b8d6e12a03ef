//! Bins.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::exact::{AreaM2, VolumeL, litres, square_metres};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::schemas::ShortName;
use super::{AppState, responses};
use crate::desk::add_bin::{NewBin, add_bin};
use crate::desk::bins::{Bin, list_bins, see_bin};
use actix_web::{HttpResponse, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::site::{Spot, Vessel};

/// A bin to be added.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewBin, example = json!({
    "name": "Stairwell bin", "spot": "indoors", "vessel": "trays",
    "surface_m2": 0.1625, "trays": [{"volume_l": 18.9}, {"volume_l": 18.9}]
}))]
pub struct NewBinBody {
    /// What people will call it; 1 to 60 characters, once for each site.
    #[schema(value_type = ShortName)]
    name: String,
    /// Where it stands.
    #[schema(value_type = SpotCode)]
    spot: Spot,
    /// How it is made.
    #[schema(value_type = VesselCode)]
    vessel: Vessel,
    /// The surface that can be fed, with at most four decimals.
    #[schema(value_type = f64, minimum = 0.01, maximum = 100, multiple_of = 0.0001, example = 0.1625)]
    surface_m2: AreaM2,
    /// Its layers, lowest first; a tub has one entry, its own volume.
    #[schema(min_items = 1, max_items = 12)]
    trays: Vec<NewTrayBody>,
}

/// One layer of a bin to be added.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewTray)]
pub struct NewTrayBody {
    /// What it holds, with at most three decimals.
    #[schema(value_type = f64, minimum = 0.1, maximum = 2000, multiple_of = 0.001, example = 18.9)]
    volume_l: VolumeL,
}

/// A bin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Bin)]
pub struct BinBody {
    id: Uuid,
    name: String,
    #[schema(value_type = SpotCode)]
    spot: Spot,
    #[schema(value_type = VesselCode)]
    vessel: Vessel,
    surface_m2: f64,
    /// Its layers, lowest first.
    trays: Vec<TrayBody>,
    /// Whether worms live in it; before that it takes nothing.
    is_stocked: bool,
    created_at: DateTime<Utc>,
    /// When it was given up, if it was.
    retired_at: Option<DateTime<Utc>>,
}

/// One layer of a bin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Tray)]
pub struct TrayBody {
    id: Uuid,
    /// 1 is the lowest.
    position: i16,
    volume_l: f64,
}

/// Where a bin stands.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum SpotCode {
    Indoors,
    Sheltered,
    Outdoors,
}

/// How a bin is made.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum VesselCode {
    Trays,
    Tub,
}

/// The bins of a site.
#[utoipa::path(
    tag = "bins",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of bins", body = PageOf<BinBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/bins")]
pub(super) async fn index_bins(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<BinBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let bins = list_bins(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        bins,
        |bin| after_id(bin.id.0),
        BinBody::from,
    )))
}

/// Adds a bin; for educators. It takes no food until it is stocked.
#[utoipa::path(
    tag = "bins",
    request_body = NewBinBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Added", body = BinBody,
        headers(("Location" = String, description = "The address of the bin"))), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins")]
pub(super) async fn create_bin(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewBinBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewBin {
        name: body.value.name,
        spot: body.value.spot,
        vessel: body.value.vessel,
        surface_cm2: body.value.surface_m2.0,
        tray_volumes_ml: body
            .value
            .trays
            .iter()
            .map(|tray| tray.volume_l.0)
            .collect(),
    };
    let id = add_bin(&state.desk, errand.clone(), site, new).await?;
    let bin = see_bin(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created()
        .insert_header(("Location", format!("/v1/sites/{site}/bins/{id}")))
        .json(BinBody::from(bin)))
}

/// One bin.
#[utoipa::path(
    tag = "bins",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses((status = 200, description = "The bin", body = BinBody), responses::Reading)
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}")]
pub(super) async fn show_bin(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<BinBody>, Problem> {
    let (site, bin) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    let bin = see_bin(&state.desk, errand, SiteId(site), BinId(bin)).await?;
    Ok(web::Json(bin.into()))
}

impl From<Bin> for BinBody {
    fn from(bin: Bin) -> Self {
        Self {
            id: bin.id.0,
            name: bin.name,
            spot: bin.spot,
            vessel: bin.vessel,
            surface_m2: square_metres(bin.surface_cm2),
            trays: bin
                .trays
                .into_iter()
                .map(|tray| TrayBody {
                    id: tray.id.0,
                    position: tray.position,
                    volume_l: litres(tray.volume_ml),
                })
                .collect(),
            is_stocked: bin.is_stocked,
            created_at: bin.created_at,
            retired_at: bin.retired_at,
        }
    }
}
