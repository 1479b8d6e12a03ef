//! The probes of a bin.

use super::bearer::SignedIn;
use super::body::Body;
use super::probe_key::fresh_key;
use super::problem::Problem;
use super::schemas::ShortName;
use super::{AppState, responses};
use crate::desk::probes::{add_probe, list_probes, revoke_probe};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, ProbeId, SiteId};

/// A probe to be added.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewProbe, example = json!({"name": "Laundry probe"}))]
pub struct NewProbeBody {
    /// What people call it; 1 to 60 characters.
    #[schema(value_type = ShortName)]
    name: String,
}

/// A probe that was just added.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AddedProbe)]
pub struct AddedProbeBody {
    id: Uuid,
    /// The key that it signs in with, as a bearer token. It is shown this once.
    key: String,
}

/// A probe.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Probe)]
pub struct ProbeBody {
    id: Uuid,
    name: String,
    created_at: DateTime<Utc>,
    /// When its key stopped working, if it did.
    revoked_at: Option<DateTime<Utc>>,
}

/// Probes of a bin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Probes)]
pub struct ProbesBody {
    items: Vec<ProbeBody>,
}

/// Adds a probe and shows its key, this once.
#[utoipa::path(
    tag = "readings",
    request_body = NewProbeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Added", body = AddedProbeBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/probes")]
pub(super) async fn create_probe(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewProbeBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let (key, hash) = fresh_key();
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let id = add_probe(&state.desk, errand, site, bin, &body.value.name, hash).await?;
    Ok(HttpResponse::Created().json(AddedProbeBody { id: id.0, key }))
}

/// The probes of a bin.
#[utoipa::path(
    tag = "readings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses((status = 200, description = "The probes", body = ProbesBody), responses::Reading)
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/probes")]
pub(super) async fn index_probes(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<ProbesBody>, Problem> {
    let errand = who.errand(&state, None).await?;
    let probes = list_probes(&state.desk, errand, SiteId(path.0), BinId(path.1)).await?;
    let items = probes.into_iter().map(|probe| ProbeBody {
        id: probe.id.0,
        name: probe.name,
        created_at: probe.created_at,
        revoked_at: probe.revoked_at,
    });
    Ok(web::Json(ProbesBody {
        items: items.collect(),
    }))
}

/// Stops a probe's key.
#[utoipa::path(
    tag = "readings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        ("probe_id" = Uuid, Path, description = "The probe"),
    ),
    security(("bearer" = [])),
    responses((status = 204, description = "Stopped"), responses::Deleting)
)]
#[delete("/v1/sites/{site_id}/bins/{bin_id}/probes/{probe_id}")]
pub(super) async fn delete_probe(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, bin, probe) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    revoke_probe(
        &state.desk,
        errand,
        SiteId(site),
        BinId(bin),
        ProbeId(probe),
    )
    .await?;
    Ok(HttpResponse::NoContent().finish())
}
