//! Who waits to be let in.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::schemas::FlatName;
use super::site_codes::{LanguageCode, RoleCode};
use super::{AppState, responses};
use crate::desk::newcomers::{
    Confirmation, Newcomer, let_newcomer_in, list_newcomers, refuse_newcomer,
};
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::site::Language;

/// Somebody who waits to be let in.
#[derive(Serialize, ToSchema)]
#[schema(as = Newcomer)]
pub struct NewcomerBody {
    /// Their key as a member, should they become one.
    id: Uuid,
    name: Option<String>,
    flat: Option<String>,
    /// The address, if they have one.
    email: Option<String>,
    /// The language that they want to be written to in, if not the site's.
    #[schema(value_type = Option<LanguageCode>)]
    language: Option<Language>,
    /// Whether they can sign in.
    has_account: bool,
    waiting_since: DateTime<Utc>,
}

/// How somebody is let in.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Confirmation, example = json!({ "roles": ["resident"], "flat": "3b" }))]
pub struct ConfirmationBody {
    /// What they will be, each role within what you may hand out; a resident when not given.
    #[serde(default = "a_resident")]
    #[schema(value_type = Vec<RoleCode>, min_items = 1)]
    roles: Vec<Role>,
    /// Another flat than they gave.
    #[schema(value_type = Option<FlatName>)]
    flat: Option<String>,
}

/// Somebody who was let in.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LetIn)]
pub struct LetInBody {
    /// Their key as a member.
    id: Uuid,
    /// Whether they can sign in at once.
    has_account: bool,
    /// The invitation that was sent to their address, if they have one and no account.
    invitation_id: Option<Uuid>,
}

fn a_resident() -> Vec<Role> {
    vec![Role::Resident]
}

/// Who waits to be let in, those who came first first; for caretakers, teachers and
/// educators. The site's deputy gets those who have waited long.
#[utoipa::path(
    tag = "people",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of newcomers", body = PageOf<NewcomerBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/newcomers")]
pub(super) async fn index_newcomers(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<NewcomerBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_newcomers(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |newcomer| after_id(newcomer.id.0),
        NewcomerBody::from,
    )))
}

/// Lets somebody in. Whoever has an account is in at once; to an address goes an invitation;
/// for anybody else print a slip.
#[utoipa::path(
    tag = "people",
    request_body = ConfirmationBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The newcomer"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Let in", body = LetInBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/newcomers/{member_id}/confirmation")]
pub(super) async fn confirm_newcomer(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<ConfirmationBody>,
) -> Result<HttpResponse, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let confirmation = Confirmation {
        roles: body.value.roles,
        flat: body.value.flat,
    };
    let let_in = let_newcomer_in(&state.desk, errand, site, member, confirmation).await?;
    Ok(HttpResponse::Created().json(LetInBody {
        id: let_in.member.0,
        has_account: let_in.has_account,
        invitation_id: let_in.invitation.map(|id| id.0),
    }))
}

/// Refuses somebody: they are forgotten.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The newcomer"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Refused"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/newcomers/{member_id}")]
pub(super) async fn delete_newcomer(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    refuse_newcomer(&state.desk, errand, SiteId(path.0), MemberId(path.1)).await?;
    Ok(HttpResponse::NoContent().finish())
}

impl From<Newcomer> for NewcomerBody {
    fn from(newcomer: Newcomer) -> Self {
        Self {
            id: newcomer.id.0,
            name: newcomer.name,
            flat: newcomer.flat,
            email: newcomer.email,
            language: newcomer.language,
            has_account: newcomer.has_account,
            waiting_since: newcomer.waiting_since,
        }
    }
}
