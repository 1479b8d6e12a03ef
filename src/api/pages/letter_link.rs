//! The page behind a link of a letter: it asks, and its button does.

use super::answered::answered;
use crate::api::{AppState, rate};
use crate::desk::letter_links::{self, LinkPage, Typed};
use actix_web::{HttpRequest, HttpResponse, web};
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
    answered(&state.desk, &request, page.await).await
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
    answered(&state.desk, &request, page.await).await
}
