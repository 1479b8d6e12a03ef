//! Signing in.

use super::body::Body;
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::sign_in::{SignIn, sign_in};
use actix_web::{HttpRequest, HttpResponse, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;

/// Who wants to sign in.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = SignIn, example = json!({"email": "ada@elmcourt.example", "password": "nine red wigglers"}))]
pub struct SignInBody {
    /// The address of the account.
    #[schema(example = "ada@elmcourt.example")]
    email: String,
    /// Its password.
    #[schema(format = "password")]
    password: String,
}

impl fmt::Debug for SignInBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("SignInBody(hidden)")
    }
}

/// An access token.
#[derive(Serialize, ToSchema)]
#[schema(as = Session)]
pub struct SessionBody {
    /// What to send as a bearer token.
    access_token: String,
    /// Always `Bearer`.
    token_type: &'static str,
    /// When the token stops being good.
    expires_at: DateTime<Utc>,
    /// The account that signed in.
    account_id: Uuid,
    /// Whether it may open sites.
    is_educator: bool,
}

/// Signs in with address and password.
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
    state.limits.count_address(&request)?;
    let typed = SignIn {
        email: body.value.email,
        password: body.value.password,
    };
    let session = sign_in(&state.desk, typed).await?;
    Ok(HttpResponse::Created().json(SessionBody {
        access_token: session.token.text,
        token_type: "Bearer",
        expires_at: session.token.expires_at,
        account_id: session.account.0,
        is_educator: session.is_educator,
    }))
}
