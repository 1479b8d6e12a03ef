//! Who changed what, for educators.

use super::bearer::SignedIn;
use super::page::{MomentPageQuery, PageOf, PageWanted, after_moment};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::audit::{Change, list_changes};
use actix_web::{get, web};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// One change.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Change)]
pub struct ChangeBody {
    id: Uuid,
    at: DateTime<Utc>,
    /// Who did it; none when the service did it by itself.
    by_member_id: Option<Uuid>,
    /// What was done, as a code.
    #[schema(example = "site_changed")]
    deed: String,
    /// What it was done to, as a code.
    #[schema(example = "site")]
    subject_kind: String,
    subject_id: Uuid,
    /// More about it: codes, keys and numbers, never a name.
    #[schema(value_type = Object)]
    detail: serde_json::Value,
}

/// Changes of people, rota and limits at a site, newest first; for educators.
#[utoipa::path(
    tag = "sites",
    params(("site_id" = Uuid, Path, description = "The site"), MomentPageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of changes", body = PageOf<ChangeBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/changes")]
pub(super) async fn index_changes(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<ChangeBody>>, Problem> {
    let after = page.after_moment()?;
    let errand = who.errand(&state, None).await?;
    let changes = list_changes(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        changes,
        |change| after_moment(change.at, change.id.0),
        ChangeBody::from,
    )))
}

impl From<Change> for ChangeBody {
    fn from(change: Change) -> Self {
        Self {
            id: change.id.0,
            at: change.at,
            by_member_id: change.by.map(|by| by.0),
            deed: change.deed,
            subject_kind: change.subject_kind,
            subject_id: change.subject,
            detail: change.detail,
        }
    }
}
