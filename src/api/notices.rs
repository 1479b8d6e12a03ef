//! What a caretaker has to know.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::notices::{Notice, list_notices, tick_off};
use actix_web::{get, post, web};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{NoticeId, SiteId};

/// A notice.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Notice)]
pub struct NoticeBody {
    id: Uuid,
    /// The bin it is about.
    bin_id: Uuid,
    /// The entry that caused it.
    event_id: Option<Uuid>,
    /// What it says, as a code.
    kind: String,
    created_at: DateTime<Utc>,
    /// When it was ticked off, if it was.
    seen_at: Option<DateTime<Utc>>,
    /// Who ticked it off.
    seen_by_member_id: Option<Uuid>,
}

/// Notices of a site, newest first; for caretakers, teachers and educators.
#[utoipa::path(
    tag = "notices",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of notices", body = PageOf<NoticeBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/notices")]
pub(super) async fn index_notices(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<NoticeBody>>, Problem> {
    let before = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let notices = list_notices(&state.desk, errand, SiteId(*site), before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        notices,
        |notice| after_id(notice.id.0),
        NoticeBody::from,
    )))
}

/// Ticks a notice off. Doing it again changes nothing.
#[utoipa::path(
    tag = "notices",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("notice_id" = Uuid, Path, description = "The notice"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The notice as it is now", body = NoticeBody),
        responses::Reading,
    )
)]
#[post("/v1/sites/{site_id}/notices/{notice_id}/seen")]
pub(super) async fn see_notice(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<NoticeBody>, Problem> {
    let (site, notice) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    let notice = tick_off(&state.desk, errand, SiteId(site), NoticeId(notice)).await?;
    Ok(web::Json(notice.into()))
}

impl From<Notice> for NoticeBody {
    fn from(notice: Notice) -> Self {
        Self {
            id: notice.id.0,
            bin_id: notice.bin.0,
            event_id: notice.event.map(|event| event.0),
            kind: notice.kind,
            created_at: notice.created_at,
            seen_at: notice.seen.map(|(at, _)| at),
            seen_by_member_id: notice.seen.map(|(_, by)| by.0),
        }
    }
}
