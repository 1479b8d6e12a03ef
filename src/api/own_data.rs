//! What is kept about oneself.

use super::bearer::SignedIn;
use super::body::Body;
use super::problem::Problem;
use super::{AppState, responses};
use crate::clock;
use crate::desk::erase_account::erase_account;
use crate::desk::own_data::export;
use actix_web::{HttpResponse, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use std::fmt;
use utoipa::ToSchema;

/// Everything that is kept about somebody.
#[derive(Serialize, ToSchema)]
#[schema(as = OwnData)]
pub struct OwnDataBody {
    /// When this was put together.
    exported_at: DateTime<Utc>,
    /// Rows by table, as they are kept: names, addresses, sessions, feedings and answers of
    /// the account and of its memberships at all sites.
    #[schema(value_type = std::collections::BTreeMap<String, Vec<Object>>)]
    tables: Map<String, Value>,
}

/// Hands over everything that is kept about whoever is signed in. Only what lets people in
/// (hashes of passwords, tokens and codes) is left out.
#[utoipa::path(
    tag = "me",
    security(("bearer" = [])),
    responses(
        (status = 200, description = "What is kept", body = OwnDataBody),
        responses::Own,
    )
)]
#[get("/v1/me/export")]
pub(super) async fn export_own_data(
    state: web::Data<AppState>,
    who: SignedIn,
) -> Result<web::Json<OwnDataBody>, Problem> {
    let errand = who.errand(&state, None).await?;
    Ok(web::Json(OwnDataBody {
        exported_at: clock::wall(),
        tables: export(&state.desk, errand).await?,
    }))
}

/// The end of an account.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Erasure, example = json!({"password": "nine red wigglers"}))]
pub struct ErasureBody {
    /// The account's password; left out where there is none.
    #[schema(format = "password")]
    password: Option<String>,
}

impl fmt::Debug for ErasureBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("ErasureBody(hidden)")
    }
}

/// Erases the caller's account and ends it everywhere: name, address, flat and phone go, what
/// was booked is given back, and what was done stays without the name. It cannot be undone.
/// Refused with `last_keeper` where somebody else has to look after a site first.
#[utoipa::path(
    tag = "me",
    request_body = ErasureBody,
    security(("bearer" = [])),
    responses((status = 204, description = "Erased"), responses::WritingOwn)
)]
#[post("/v1/me/erasure")]
pub(super) async fn erase_own_account(
    state: web::Data<AppState>,
    who: SignedIn,
    body: Body<ErasureBody>,
) -> Result<HttpResponse, Problem> {
    let now = state.desk.now().await?;
    erase_account(&state.desk, who.bearer(), body.value.password, now).await?;
    Ok(HttpResponse::NoContent().finish())
}
