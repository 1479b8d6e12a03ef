//! The pages on which somebody asks for a letter with a link.

use super::answered::answered;
use crate::api::address::address_of;
use crate::api::{AppState, rate};
use crate::desk::ask_for_link::LinkKind;
use crate::desk::ask_for_link_page;
use crate::desk::letter_links::Typed;
use actix_web::{HttpRequest, HttpResponse, web};

/// Asks for an address.
pub(super) async fn show(
    kind: LinkKind,
    state: web::Data<AppState>,
    request: HttpRequest,
) -> HttpResponse {
    let page = async {
        rate::count_address(&state, &request).await?;
        Ok(ask_for_link_page::look(kind))
    };
    answered(&state.desk, &request, page.await).await
}

/// Owes the letter. What cannot be read as a form owes none.
pub(super) async fn act(
    kind: LinkKind,
    state: web::Data<AppState>,
    request: HttpRequest,
    form: Option<web::Form<Typed>>,
) -> HttpResponse {
    let from = address_of(&request, &state.server.trusted_proxies);
    let page = async {
        rate::count_address(&state, &request).await?;
        Ok(match form {
            Some(typed) => ask_for_link_page::act(&state.desk, kind, &typed, from).await?,
            None => ask_for_link_page::look(kind),
        })
    };
    answered(&state.desk, &request, page.await).await
}
