//! The page behind the link of an invitation.

use super::letter_link::answered;
use crate::api::{AppState, rate};
use crate::desk::invitation_page;
use crate::desk::letter_links::Typed;
use actix_web::{HttpRequest, HttpResponse, web};

/// Where these pages stand.
pub(super) const PATH: &str = "/invitations/{token}";

/// Asks, and changes nothing.
pub(super) async fn show(
    state: web::Data<AppState>,
    request: HttpRequest,
    token: web::Path<String>,
) -> HttpResponse {
    let page = async {
        rate::count_address(&state, &request).await?;
        Ok(invitation_page::look(&state.desk, &token).await?)
    };
    answered(&state.desk, page.await).await
}

/// Accepts the invitation with what was typed. What cannot be read as a form changes nothing.
pub(super) async fn act(
    state: web::Data<AppState>,
    request: HttpRequest,
    token: web::Path<String>,
    form: Option<web::Form<Typed>>,
) -> HttpResponse {
    let page = async {
        rate::count_address(&state, &request).await?;
        Ok(match form {
            Some(typed) => invitation_page::act(&state.desk, &token, &typed).await?,
            None => invitation_page::look(&state.desk, &token).await?,
        })
    };
    answered(&state.desk, page.await).await
}
