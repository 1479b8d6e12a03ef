//! Inviting people by e-mail.

use super::bearer::{SignedIn, Whoever};
use super::body::{Body, KeyHeader};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::schemas::{EmailAddress, FlatName, LongName, ShortName};
use super::sessions::SessionBody;
use super::site_codes::{LanguageCode, RoleCode};
use super::{AppState, rate, responses};
use crate::desk::accept_invitation::{Acceptance, Joined, accept_invitation};
use crate::desk::invitations::{
    Invitation, InvitationState, NewInvitation, invite, list_invitations, replace_invitation,
    see_invitation, take_back_invitation,
};
use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{InvitationId, SiteId};
use wormrota_domain::site::Language;

/// Somebody to be invited.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewInvitation, example = json!({
    "email": "sam@elmcourt.example", "name": "Sam", "flat": "3b", "roles": ["resident"],
    "language": "es"
}))]
pub struct NewInvitationBody {
    /// Where the link goes.
    #[schema(value_type = EmailAddress)]
    email: String,
    /// What people call them.
    #[schema(value_type = LongName)]
    name: String,
    /// The flat, where there are flats.
    #[schema(value_type = Option<FlatName>)]
    flat: Option<String>,
    /// What they will be, each role within what you may hand out.
    #[schema(value_type = Vec<RoleCode>, min_items = 1)]
    roles: Vec<Role>,
    /// The language that they want to be written to in; the site's without one.
    #[schema(value_type = Option<LanguageCode>)]
    language: Option<Language>,
}

/// An invitation. Its link goes to the invited address only.
#[derive(Serialize, ToSchema)]
#[schema(as = Invitation)]
pub struct InvitationBody {
    id: Uuid,
    /// Who is invited: a member from the start, who cannot sign in before they accept.
    member_id: Uuid,
    /// What they are called, while they belong to the site.
    name: Option<String>,
    /// The address, while they belong to the site.
    email: Option<String>,
    #[schema(value_type = Vec<RoleCode>)]
    roles: Vec<Role>,
    state: InvitationStateCode,
    created_at: DateTime<Utc>,
    /// Until when the link works.
    expires_at: DateTime<Utc>,
}

/// What has become of an invitation.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum InvitationStateCode {
    /// The link works.
    Open,
    /// Nobody used the link in time.
    Expired,
    /// They joined.
    Accepted,
    /// It was taken back, or another took its place.
    Revoked,
}

/// Accepting an invitation.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Acceptance, example = json!({
    "token": "AZje0v9ecACAAJorfB1Ob0a0ZQp4m1kq3rJ2b8v5yXo0cWlkZ2V0LWlzLW5vdC1yZWFs",
    "password": "many worms at work", "name": "Sam", "device": "kitchen tablet"
}))]
pub struct AcceptanceBody {
    /// The secret part of the link.
    token: String,
    /// A password for the account that is made, if you want one; without one you sign in
    /// with links. Not where there is an account with the invited address already.
    #[schema(min_length = 15, max_length = 128, format = "password")]
    password: Option<String>,
    /// What you want to be called, if not as invited.
    #[schema(value_type = Option<LongName>)]
    name: Option<String>,
    /// What you call this device, for the list of your sessions.
    #[schema(value_type = Option<ShortName>)]
    device: Option<String>,
}

/// A site that was joined.
#[derive(Serialize, ToSchema)]
#[schema(as = Joined)]
pub struct JoinedBody {
    /// The site.
    site_id: Uuid,
    /// Who you are there.
    member_id: Uuid,
    /// The session that began with it, where the account was made by joining. Whoever has an
    /// account already signs in as ever.
    #[serde(skip_serializing_if = "Option::is_none")]
    session: Option<SessionBody>,
}

/// Invitations of a site with what became of them, newest first; for caretakers, teachers
/// and educators.
#[utoipa::path(
    tag = "people",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of invitations", body = PageOf<InvitationBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/invitations")]
pub(super) async fn index_invitations(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<InvitationBody>>, Problem> {
    let before = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_invitations(&state.desk, errand, SiteId(*site), before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |invitation| after_id(invitation.id.0),
        InvitationBody::from,
    )))
}

/// Invites somebody: they are a member from now on, and get a letter with a link that lets
/// them sign in.
#[utoipa::path(
    tag = "people",
    request_body = NewInvitationBody,
    params(("site_id" = Uuid, Path, description = "The site"), KeyHeader),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Invited", body = InvitationBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/invitations")]
pub(super) async fn create_invitation(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewInvitationBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewInvitation {
        email: body.value.email,
        name: body.value.name,
        flat: body.value.flat,
        roles: body.value.roles,
        language: body.value.language,
    };
    let id = invite(&state.desk, errand.clone(), site, new).await?;
    let made = see_invitation(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created().json(InvitationBody::from(made)))
}

/// Takes an invitation back: its link dies at once. The member stays, without an account;
/// remove them with `DELETE …/members/{member_id}`.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("invitation_id" = Uuid, Path, description = "The invitation"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Taken back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/invitations/{invitation_id}")]
pub(super) async fn delete_invitation(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, invitation) = (SiteId(path.0), InvitationId(path.1));
    let errand = who.errand(&state, None).await?;
    take_back_invitation(&state.desk, errand, site, invitation).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Sends a new link in the place of one that was lost, has expired or was taken back. The
/// old one dies.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("invitation_id" = Uuid, Path, description = "The invitation"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "The new invitation", body = InvitationBody),
        responses::Replacing,
    )
)]
#[post("/v1/sites/{site_id}/invitations/{invitation_id}/replacement")]
pub(super) async fn replace_invitation_link(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, old) = (SiteId(path.0), InvitationId(path.1));
    let errand = who.errand(&state, None).await?;
    let id = replace_invitation(&state.desk, errand.clone(), site, old).await?;
    let made = see_invitation(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created().json(InvitationBody::from(made)))
}

/// Accepts an invitation with the secret of its link. It joins the account with the invited
/// address, or makes one, and signs in. Whoever is signed in must be the one who was
/// invited. Each link that does not work gets the same answer.
#[utoipa::path(
    tag = "people",
    request_body = AcceptanceBody,
    security((), ("bearer" = [])),
    responses(
        (status = 201, description = "Joined and signed in", body = JoinedBody),
        responses::LettingIn,
    )
)]
#[post("/v1/invitations/accept")]
pub(super) async fn accept_invitation_link(
    state: web::Data<AppState>,
    request: HttpRequest,
    who: Whoever,
    body: Body<AcceptanceBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let sent = Acceptance {
        token: body.value.token,
        password: body.value.password,
        name: body.value.name,
        device: body.value.device,
        wants_session: true,
    };
    let joined = accept_invitation(&state.desk, who.account(), sent).await?;
    Ok(HttpResponse::Created().json(JoinedBody::from(joined)))
}

impl From<Invitation> for InvitationBody {
    fn from(invitation: Invitation) -> Self {
        Self {
            id: invitation.id.0,
            member_id: invitation.member.0,
            name: invitation.name,
            email: invitation.email,
            roles: invitation.roles,
            state: match invitation.state {
                InvitationState::Open => InvitationStateCode::Open,
                InvitationState::Expired => InvitationStateCode::Expired,
                InvitationState::Accepted => InvitationStateCode::Accepted,
                InvitationState::Revoked => InvitationStateCode::Revoked,
            },
            created_at: invitation.created_at,
            expires_at: invitation.expires_at,
        }
    }
}

impl From<Joined> for JoinedBody {
    fn from(joined: Joined) -> Self {
        Self {
            site_id: joined.site.0,
            member_id: joined.member.0,
            session: joined.session.map(SessionBody::from),
        }
    }
}
