//! Slips that sign somebody in once.

use super::bearer::SignedIn;
use super::body::Body;
use super::problem::Problem;
use super::reader::site_in_words;
use super::schemas::ShortName;
use super::sessions::SessionBody;
use super::{AppState, rate, responses};
use crate::clock;
use crate::desk::slips::{SlipUsed, print_slip, use_slip};
use actix_web::{HttpRequest, HttpResponse, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};

/// A slip that was just made.
#[derive(Serialize, ToSchema)]
#[schema(as = Slip)]
pub struct SlipBody {
    id: Uuid,
    /// The code, shown this once: the service keeps no copy.
    code: String,
    /// What to print, in the member's language.
    text: String,
    /// Until when it works.
    expires_at: DateTime<Utc>,
}

/// A slip that somebody has in their hand.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SlipUse, example = json!({
    "code": "7K3M-W9XT-0QRB-55HC", "device": "kitchen tablet"
}))]
pub struct SlipUseBody {
    /// The code, typed as you like: case, blanks and hyphens do not matter.
    code: String,
    /// What you call this device, for the list of your sessions.
    #[schema(value_type = Option<ShortName>)]
    device: Option<String>,
}

/// Somebody signed in with a slip.
#[derive(Serialize, ToSchema)]
#[schema(as = SlipUsed)]
pub struct SlipUsedBody {
    /// The site.
    site_id: Uuid,
    /// Who you are there.
    member_id: Uuid,
    session: SessionBody,
}

/// Makes a slip that signs a member in once: for residents without an address, who are
/// nothing else here and belong to no other site. An earlier slip dies.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Made", body = SlipBody),
        responses::Replacing,
    )
)]
#[post("/v1/sites/{site_id}/members/{member_id}/slip")]
pub(super) async fn create_slip(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let errand = who.errand(&state, None).await?;
    let slip = print_slip(&state.desk, errand.clone(), site, member).await?;
    let (mut voice, site_name) = site_in_words(&state, &errand, site).await?;
    voice.language = slip.language.unwrap_or(voice.language);
    let name = slip.name.as_deref();
    let lines = voice.slip(&site_name, name, &slip.code, slip.expires_at, clock::wall());
    Ok(HttpResponse::Created().json(SlipBody {
        id: slip.id.0,
        text: lines.join("\n"),
        code: slip.code,
        expires_at: slip.expires_at,
    }))
}

/// Signs in with a slip, once. Each code that does not work gets the same answer.
#[utoipa::path(
    tag = "people",
    request_body = SlipUseBody,
    responses(
        (status = 201, description = "Signed in", body = SlipUsedBody),
        responses::LettingIn,
    )
)]
#[post("/v1/slips/use")]
pub(super) async fn create_slip_use(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<SlipUseBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let used = use_slip(&state.desk, &body.value.code, body.value.device).await?;
    Ok(HttpResponse::Created().json(SlipUsedBody::from(used)))
}

impl From<SlipUsed> for SlipUsedBody {
    fn from(used: SlipUsed) -> Self {
        Self {
            site_id: used.site.0,
            member_id: used.member.0,
            session: used.session.into(),
        }
    }
}
