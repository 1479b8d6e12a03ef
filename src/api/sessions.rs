//! Signing in, staying signed in, and signing out.

use super::address::address_of;
use super::bearer::SignedIn;
use super::body::Body;
use super::page::PageOf;
use super::problem::Problem;
use super::schemas::ShortName;
use super::{AppState, rate, responses};
use crate::desk::sessions::{Session, end_all_sessions, end_session, list_sessions, refresh};
use crate::desk::sign_in::{SignIn, sign_in};
use crate::desk::sign_in_by_link::sign_in_by_link;
use crate::store::sessions::SessionRow;
use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::SessionId;

/// Who wants to sign in.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SignIn, example = json!({"email": "ada@elmcourt.example", "password": "nine red wigglers", "device": "Kitchen tablet"}))]
pub struct SignInBody {
    /// The address of the account.
    #[schema(example = "ada@elmcourt.example")]
    email: String,
    /// Its password.
    #[schema(format = "password")]
    password: String,
    /// What to call the device in the list of sessions.
    #[schema(value_type = Option<ShortName>)]
    device: Option<String>,
    /// A refresh token that this device was given once, even if it is no longer good: it shows
    /// that the device is known, and so may try where strangers have used up their tries.
    #[schema(format = "password")]
    refresh_token: Option<String>,
}

impl fmt::Debug for SignInBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("SignInBody(hidden)")
    }
}

/// What to stay signed in with.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Refresh, example = json!({"refresh_token": "refresh_pX2Lw3mN7qR8sT1uV4yZ6aB9cD0eF5gH-iJkKlMnOpQ"}))]
pub struct RefreshBody {
    /// The refresh token that came last.
    #[schema(format = "password")]
    refresh_token: String,
}

impl fmt::Debug for RefreshBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("RefreshBody(hidden)")
    }
}

/// A link from a letter.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SignInByLink, example = json!({"token": "AZjywKqqcACAAAAAAAAAASsN5kRvWqfwc4PTGG1b5tYpJvKqR0xW3l9h2nQmZ8aB", "device": "Phone"}))]
pub struct SignInByLinkBody {
    /// The secret part of the link.
    #[schema(format = "password")]
    token: String,
    /// What to call the device in the list of sessions.
    #[schema(value_type = Option<ShortName>)]
    device: Option<String>,
}

impl fmt::Debug for SignInByLinkBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("SignInByLinkBody(hidden)")
    }
}

/// Somebody who is signed in.
#[derive(Serialize, ToSchema)]
#[schema(as = Session)]
pub struct SessionBody {
    /// What to send as a bearer token.
    access_token: String,
    /// Always `Bearer`.
    token_type: &'static str,
    /// When the token stops being good.
    expires_at: DateTime<Utc>,
    /// What to get the next token with, once. It comes with another one.
    refresh_token: String,
    /// When the refresh token stops being good.
    refresh_expires_at: DateTime<Utc>,
    /// The session, as it stands in the list of sessions.
    session_id: Uuid,
    /// The account that signed in.
    account_id: Uuid,
    /// Whether it may open sites.
    is_educator: bool,
}

impl From<Session> for SessionBody {
    fn from(session: Session) -> Self {
        Self {
            access_token: session.token.text,
            token_type: "Bearer",
            expires_at: session.token.expires_at,
            refresh_token: session.refresh_token.text().to_owned(),
            refresh_expires_at: session.refresh_expires_at,
            session_id: session.id.0,
            account_id: session.account.0,
            is_educator: session.is_educator,
        }
    }
}

/// A device that is signed in.
#[derive(Serialize, ToSchema)]
#[schema(as = SessionOfMine)]
pub struct SessionOfMineBody {
    id: Uuid,
    /// What it was called.
    device: Option<String>,
    /// `password`, `link`, `slip`, `invitation` or `reset`.
    began_with: String,
    created_at: DateTime<Utc>,
    /// When it last got a new token.
    last_used_at: DateTime<Utc>,
    /// When it ends, however often it is used.
    ends_at: DateTime<Utc>,
    /// Whether it is the one that asks.
    is_current: bool,
}

impl SessionOfMineBody {
    fn of(row: SessionRow, current: SessionId) -> Self {
        Self {
            id: row.id,
            device: row.device,
            began_with: row.began_with,
            created_at: row.created_at,
            last_used_at: row.last_used_at,
            ends_at: row.ends_at,
            is_current: row.id == current.0,
        }
    }
}

/// Signs in with address and password. An address without an account gets the answer of a
/// wrong password.
#[utoipa::path(
    tag = "sessions",
    request_body = SignInBody,
    responses(
        (status = 201, description = "Signed in", body = SessionBody),
        responses::SigningIn,
    )
)]
#[post("/v1/sessions")]
pub(super) async fn create_session(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<SignInBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let typed = SignIn {
        email: body.value.email,
        password: body.value.password,
        device: body.value.device,
        refresh_token: body.value.refresh_token,
        from: address_of(&request, &state.server.trusted_proxies),
    };
    let session = sign_in(&state.desk, typed).await?;
    Ok(HttpResponse::Created().json(SessionBody::from(session)))
}

/// Signs in with a link from a letter, once.
#[utoipa::path(
    tag = "sessions",
    request_body = SignInByLinkBody,
    responses(
        (status = 201, description = "Signed in", body = SessionBody),
        responses::UsingLink,
    )
)]
#[post("/v1/sign_in_links/use")]
pub(super) async fn create_session_by_link(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<SignInByLinkBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let from = address_of(&request, &state.server.trusted_proxies);
    let (token, device) = (&body.value.token, body.value.device.as_deref());
    let session = sign_in_by_link(&state.desk, token, device, from).await?;
    Ok(HttpResponse::Created().json(SessionBody::from(session)))
}

/// Gets the next access token, and the next refresh token with it. A refresh token that comes
/// twice ends its session.
#[utoipa::path(
    tag = "sessions",
    request_body = RefreshBody,
    responses(
        (status = 201, description = "Signed in for some more minutes", body = SessionBody),
        responses::Refreshing,
    )
)]
#[post("/v1/refresh_tokens/use")]
pub(super) async fn refresh_session(
    state: web::Data<AppState>,
    request: HttpRequest,
    body: Body<RefreshBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let session = refresh(&state.desk, &body.value.refresh_token).await?;
    Ok(HttpResponse::Created().json(SessionBody::from(session)))
}

/// The caller's devices that are signed in, the last used first; fifty at most.
#[utoipa::path(
    tag = "sessions",
    security(("bearer" = [])),
    responses(
        (status = 200, description = "All of them", body = PageOf<SessionOfMineBody>),
        responses::Own,
    )
)]
#[get("/v1/sessions")]
pub(super) async fn index_sessions(
    state: web::Data<AppState>,
    who: SignedIn,
) -> Result<web::Json<PageOf<SessionOfMineBody>>, Problem> {
    let errand = who.errand(&state, None).await?;
    let sessions = list_sessions(&state.desk, errand).await?;
    Ok(web::Json(PageOf::of(
        sessions,
        |_| String::new(),
        |row| SessionOfMineBody::of(row, who.session),
    )))
}

/// Signs one of the caller's devices out, at once.
#[utoipa::path(
    tag = "sessions",
    params(("session_id" = Uuid, Path, description = "The session")),
    security(("bearer" = [])),
    responses((status = 204, description = "Signed out"), responses::DeletingOwn)
)]
#[delete("/v1/sessions/{session_id}")]
pub(super) async fn delete_session(
    state: web::Data<AppState>,
    who: SignedIn,
    session: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    end_session(&state.desk, errand, SessionId(*session)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Signs all of the caller's devices out, at once, the one that asks included.
#[utoipa::path(
    tag = "sessions",
    security(("bearer" = [])),
    responses((status = 204, description = "Signed out everywhere"), responses::Own)
)]
#[delete("/v1/sessions")]
pub(super) async fn delete_sessions(
    state: web::Data<AppState>,
    who: SignedIn,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    end_all_sessions(&state.desk, errand).await?;
    Ok(HttpResponse::NoContent().finish())
}
