//! Letters with a link: to set a new password, or to sign in without one.

use super::address::address_of;
use super::bearer::SignedIn;
use super::body::Body;
use super::page::PageOf;
use super::problem::Problem;
use super::{AppState, rate, responses};
use crate::desk::ask_for_link::{LinkKind, ask_for_link};
use crate::desk::my_links::{LinkState, list_links, revoke_link};
use crate::desk::reset_password::reset_password;
use crate::store::account_links::LinkRow;
use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::LinkId;

/// Where a letter should go.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = LetterWanted, example = json!({"email": "ada@elmcourt.example"}))]
pub struct LetterWantedBody {
    /// The address of the account, if it has one.
    email: String,
}

impl fmt::Debug for LetterWantedBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("LetterWantedBody(hidden)")
    }
}

/// What came of asking. It says nothing of whether there is an account.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LetterOwed)]
pub struct LetterOwedBody {
    /// If the address has an account, a letter goes there, and its link is good so long.
    good_for_minutes: u32,
}

/// A new password.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PasswordReset, example = json!({"token": "AZjywKqqcACAAAAAAAAAASsN5kRvWqfwc4PTGG1b5tYpJvKqR0xW3l9h2nQmZ8aB", "new_password": "seven damp newspapers"}))]
pub struct PasswordResetBody {
    /// The secret part of the link.
    #[schema(format = "password")]
    token: String,
    /// The password from now on.
    #[schema(format = "password", min_length = 15, max_length = 128)]
    new_password: String,
}

impl fmt::Debug for PasswordResetBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PasswordResetBody(hidden)")
    }
}

/// A link that somebody asked for.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LinkOfMine)]
pub struct LinkOfMineBody {
    id: Uuid,
    /// `reset` or `sign_in`.
    kind: String,
    created_at: DateTime<Utc>,
    expires_at: DateTime<Utc>,
    /// `open`, `used`, `revoked` or `expired`.
    state: &'static str,
}

impl LinkOfMineBody {
    fn of((row, state): (LinkRow, LinkState)) -> Self {
        Self {
            id: row.id,
            kind: row.kind,
            created_at: row.created_at,
            expires_at: row.expires_at,
            state: state.code(),
        }
    }
}

/// Asks for a letter with a link for setting a new password. The answer is the same whether or
/// not the address has an account.
#[utoipa::path(
    tag = "sessions",
    request_body = LetterWantedBody,
    responses(
        (status = 202, description = "Heard", body = LetterOwedBody),
        responses::Asking,
    )
)]
#[post("/v1/password_resets")]
pub(super) async fn create_password_reset(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<LetterWantedBody>,
) -> Result<HttpResponse, Problem> {
    owe(&state, &request, &body.value, LinkKind::Reset).await
}

/// Asks for a letter with a link for signing in without a password. The answer is the same
/// whether or not the address has an account.
#[utoipa::path(
    tag = "sessions",
    request_body = LetterWantedBody,
    responses(
        (status = 202, description = "Heard", body = LetterOwedBody),
        responses::Asking,
    )
)]
#[post("/v1/sign_in_links")]
pub(super) async fn create_sign_in_link(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<LetterWantedBody>,
) -> Result<HttpResponse, Problem> {
    owe(&state, &request, &body.value, LinkKind::SignIn).await
}

async fn owe(
    state: &AppState,
    request: &HttpRequest,
    wanted: &LetterWantedBody,
    kind: LinkKind,
) -> Result<HttpResponse, Problem> {
    rate::count_address(state, request).await?;
    let from = address_of(request, &state.server.trusted_proxies);
    let good_for_minutes = ask_for_link(&state.desk, kind, &wanted.email, from).await?;
    Ok(HttpResponse::Accepted().json(LetterOwedBody { good_for_minutes }))
}

/// Sets a new password with a link from a letter, once. Ends all sessions of the account.
#[utoipa::path(
    tag = "sessions",
    request_body = PasswordResetBody,
    responses((status = 204, description = "Set"), responses::UsingLink)
)]
#[post("/v1/password_resets/use")]
pub(super) async fn use_password_reset(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<PasswordResetBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let reset = body.value;
    reset_password(&state.desk, &reset.token, reset.new_password).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Links that were asked for with the caller's address in the last weeks, the newest first;
/// fifty at most.
#[utoipa::path(
    tag = "me",
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The newest", body = PageOf<LinkOfMineBody>),
        responses::Own,
    )
)]
#[get("/v1/me/links")]
pub(super) async fn index_my_links(
    state: web::Data<AppState>,
    who: SignedIn,
) -> Result<web::Json<PageOf<LinkOfMineBody>>, Problem> {
    let errand = who.errand(&state, None).await?;
    let links = list_links(&state.desk, errand).await?;
    Ok(web::Json(PageOf::of(
        links,
        |_| String::new(),
        LinkOfMineBody::of,
    )))
}

/// Takes one of the caller's links back, at once.
#[utoipa::path(
    tag = "me",
    params(("link_id" = Uuid, Path, description = "The link")),
    security(("bearer" = [])),
    responses((status = 204, description = "Taken back"), responses::DeletingOwn)
)]
#[delete("/v1/me/links/{link_id}")]
pub(super) async fn delete_my_link(
    state: web::Data<AppState>,
    who: SignedIn,
    link: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    revoke_link(&state.desk, errand, LinkId(*link)).await?;
    Ok(HttpResponse::NoContent().finish())
}
