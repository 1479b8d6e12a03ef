//! The page behind a link of a letter: it asks, and its button does.

use super::frame;
use crate::api::problem::Problem;
use crate::api::{AppState, rate};
use crate::clock;
use crate::desk::letter_links::{self, LinkPage, Typed};
use crate::desk::{Desk, DeskError};
use actix_web::{HttpRequest, HttpResponse, web};
use chrono::{DateTime, Utc};
use wormrota_domain::letters::LetterDeed;

/// Where these pages stand.
pub(super) const PATH: &str = "/letters/{deed}/{token}";

/// Shows what the link is for and changes nothing.
pub(super) async fn show(
    state: web::Data<AppState>,
    request: HttpRequest,
    path: web::Path<(String, String)>,
) -> HttpResponse {
    let (deed, token) = path.into_inner();
    let page = async {
        rate::count_address(&state, &request).await?;
        let Some(deed) = LetterDeed::from_code(&deed) else {
            return Ok(LinkPage::unknown());
        };
        Ok(letter_links::look(&state.desk, deed, &token).await?)
    };
    answered(&state.desk, page.await).await
}

/// Does what the link is for. A mail program does the same on its own where somebody ends
/// letters in it (RFC 8058).
pub(super) async fn act(
    state: web::Data<AppState>,
    request: HttpRequest,
    path: web::Path<(String, String)>,
    form: Option<web::Form<Typed>>,
) -> HttpResponse {
    let (deed, token) = path.into_inner();
    let typed = form.map_or_else(Typed::new, web::Form::into_inner);
    let page = async {
        rate::count_address(&state, &request).await?;
        let Some(deed) = LetterDeed::from_code(&deed) else {
            return Ok(LinkPage::unknown());
        };
        Ok(letter_links::act(&state.desk, deed, &token, typed).await?)
    };
    answered(&state.desk, page.await).await
}

/// The answer with a page, as it reads now.
pub(super) async fn answered(desk: &Desk, page: Result<LinkPage, Problem>) -> HttpResponse {
    let page = match page {
        Ok(page) => time(desk).await.map(|now| (page, now)),
        Err(problem) => Err(problem),
    };
    match page {
        Ok((page, now)) => frame::page(&page, now),
        Err(problem) => frame::trouble(&problem, clock::wall()),
    }
}

async fn time(desk: &Desk) -> Result<DateTime<Utc>, Problem> {
    Ok(desk.now().await.map_err(|error: DeskError| error)?)
}
