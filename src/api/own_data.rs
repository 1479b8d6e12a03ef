//! What is kept about oneself.

use super::bearer::SignedIn;
use super::problem::Problem;
use super::{AppState, responses};
use crate::clock;
use crate::desk::own_data::export;
use actix_web::{get, web};
use chrono::{DateTime, Utc};
use serde::Serialize;
use serde_json::{Map, Value};
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
    tag = "sessions",
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
