//! Two who do not share a turn.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::schemas::TwoKeys;
use super::{AppState, responses};
use crate::desk::apart_pairs::{ApartPair, end_pair, keep_apart, list_pairs};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ApartPairId, MemberId, SiteId};

/// Two members who are not to share a turn.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewApartPair, example = json!({"member_ids": [
    "0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f", "0198f2c0-5f5e-7000-8000-3d5e7f9a1b2c"
]}))]
pub struct NewPairBody {
    /// The two, in any order.
    #[schema(value_type = TwoKeys)]
    member_ids: [Uuid; 2],
}

/// A pair that came.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ApartPairMade)]
pub struct PairMadeBody {
    id: Uuid,
}

/// Two members who do not share a turn.
#[derive(Serialize, ToSchema)]
#[schema(as = ApartPair)]
pub struct PairBody {
    id: Uuid,
    /// The two.
    members: Vec<PairMemberBody>,
    created_at: DateTime<Utc>,
}

/// One of the two.
#[derive(Serialize, ToSchema)]
#[schema(as = ApartPairMember)]
pub struct PairMemberBody {
    member_id: Uuid,
    /// The name, unless it was erased.
    name: Option<String>,
}

/// The pairs that do not share a turn; for caretakers and teachers, and for nobody else. Not
/// even the two themselves learn of it.
#[utoipa::path(
    tag = "rota",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of pairs", body = PageOf<PairBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/apart_pairs")]
pub(super) async fn index_apart_pairs(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<PairBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let pairs = list_pairs(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        pairs,
        |pair| after_id(pair.id.0),
        PairBody::from,
    )))
}

/// Keeps two apart from now on; for caretakers and teachers. No reason is asked for or kept.
/// Turns that they share already stay theirs. When one of the two leaves, the pair goes.
#[utoipa::path(
    tag = "rota",
    request_body = NewPairBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Kept apart", body = PairMadeBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/apart_pairs")]
pub(super) async fn create_apart_pair(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewPairBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let two = body.value.member_ids.map(MemberId);
    let id = keep_apart(&state.desk, errand, SiteId(*site), two).await?;
    Ok(HttpResponse::Created().json(PairMadeBody { id: id.0 }))
}

/// Keeps two apart no more.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("pair_id" = Uuid, Path, description = "The pair"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Kept apart no more"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/apart_pairs/{pair_id}")]
pub(super) async fn delete_apart_pair(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    end_pair(&state.desk, errand, SiteId(path.0), ApartPairId(path.1)).await?;
    Ok(HttpResponse::NoContent().finish())
}

impl From<ApartPair> for PairBody {
    fn from(pair: ApartPair) -> Self {
        Self {
            id: pair.id.0,
            members: pair
                .members
                .into_iter()
                .map(|(member, name)| PairMemberBody {
                    member_id: member.0,
                    name,
                })
                .collect(),
            created_at: pair.created_at,
        }
    }
}
