//! Oneself: the account, and its password.

use super::bearer::SignedIn;
use super::body::Body;
use super::problem::Problem;
use super::site_codes::RoleCode;
use super::{AppState, responses};
use crate::desk::change_password::{PasswordChange, change_password};
use crate::desk::me::{Me, show_me as show};
use crate::store::members::MembershipOfAccount;
use actix_web::{HttpResponse, get, put, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// Whoever asks.
#[derive(Serialize, ToSchema)]
#[schema(as = Me)]
pub struct MeBody {
    account_id: Uuid,
    /// The address to sign in with, if there is one.
    email: Option<String>,
    /// Whether there is a password, or only links and slips.
    has_password: bool,
    /// Whether the account may open sites.
    is_educator: bool,
    created_at: DateTime<Utc>,
    /// Sites that one belongs to, in the order in which one joined them.
    memberships: Vec<MembershipBody>,
}

/// Where somebody belongs.
#[derive(Serialize, ToSchema)]
#[schema(as = Membership)]
pub struct MembershipBody {
    site_id: Uuid,
    site_name: String,
    member_id: Uuid,
    /// None while one waits to be let in.
    #[schema(value_type = Vec<RoleCode>)]
    roles: Vec<Role>,
    /// Whether a caretaker has yet to let one in.
    is_waiting: bool,
    joined_at: DateTime<Utc>,
}

impl From<Me> for MeBody {
    fn from(me: Me) -> Self {
        Self {
            account_id: me.account.id,
            has_password: me.account.password_hash.is_some(),
            email: me.account.email_lower,
            is_educator: me.account.is_educator,
            created_at: me.account.created_at,
            memberships: me.memberships.into_iter().map(MembershipBody::of).collect(),
        }
    }
}

impl MembershipBody {
    fn of(found: MembershipOfAccount) -> Self {
        Self {
            site_id: found.member.site_id,
            site_name: found.site_name,
            member_id: found.member.id,
            roles: found.roles,
            is_waiting: found.member.waiting_since.is_some(),
            joined_at: found.member.joined_at,
        }
    }
}

/// A change of password.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PasswordChange, example = json!({"current_password": "nine red wigglers", "new_password": "seven damp newspapers"}))]
pub struct PasswordChangeBody {
    /// The password until now; left out where there is none yet.
    #[schema(format = "password")]
    current_password: Option<String>,
    /// The password from now on. Any characters will do; what a guesser would try early will
    /// not.
    #[schema(format = "password", min_length = 15, max_length = 128)]
    new_password: String,
}

impl fmt::Debug for PasswordChangeBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PasswordChangeBody(hidden)")
    }
}

/// Shows the caller's account and where it belongs.
#[utoipa::path(
    tag = "me",
    security(("bearer" = [])),
    responses((status = 200, description = "Whoever asks", body = MeBody), responses::Own)
)]
#[get("/v1/me")]
pub(super) async fn show_me(
    state: web::Data<AppState>,
    who: SignedIn,
) -> Result<web::Json<MeBody>, Problem> {
    let errand = who.errand(&state, None).await?;
    Ok(web::Json(show(&state.desk, errand).await?.into()))
}

/// Changes the caller's password. Ends all their other sessions, and takes back all links.
#[utoipa::path(
    tag = "me",
    request_body = PasswordChangeBody,
    security(("bearer" = [])),
    responses((status = 204, description = "Changed"), responses::WritingOwn)
)]
#[put("/v1/me/password")]
pub(super) async fn update_my_password(
    state: web::Data<AppState>,
    who: SignedIn,
    body: Body<PasswordChangeBody>,
) -> Result<HttpResponse, Problem> {
    let change = PasswordChange {
        current: body.value.current_password,
        new: body.value.new_password,
    };
    change_password(&state.desk, who.bearer(), change).await?;
    Ok(HttpResponse::NoContent().finish())
}
