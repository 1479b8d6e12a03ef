//! The pages behind links with a secret of their own: an invitation, a new password, signing in.

use super::answered::answered;
use crate::api::address::address_of;
use crate::api::{AppState, rate};
use crate::desk::ask_for_link::LinkKind;
use crate::desk::letter_links::{LinkPage, Typed};
use crate::desk::{Desk, DeskError, invitation_page, password_page, sign_in_page};
use actix_web::{HttpRequest, HttpResponse, web};
use std::net::IpAddr;

/// What such a page is for.
#[derive(Debug, Clone, Copy)]
pub(super) enum SecretPage {
    Invitation,
    Password,
    SignIn,
}

impl SecretPage {
    pub(super) const ALL: [Self; 3] = [Self::Invitation, Self::Password, Self::SignIn];

    /// Where these pages stand.
    pub(super) fn path(self) -> String {
        let folder = match self {
            Self::Invitation => "/invitations",
            Self::Password => LinkKind::Reset.path(),
            Self::SignIn => LinkKind::SignIn.path(),
        };
        format!("{folder}/{{token}}")
    }

    async fn look(self, desk: &Desk, token: &str) -> Result<LinkPage, DeskError> {
        match self {
            Self::Invitation => invitation_page::look(desk, token).await,
            Self::Password => password_page::look(desk, token).await,
            Self::SignIn => sign_in_page::look(desk, token).await,
        }
    }

    async fn act(
        self,
        desk: &Desk,
        token: &str,
        typed: &Typed,
        from: IpAddr,
    ) -> Result<LinkPage, DeskError> {
        match self {
            Self::Invitation => invitation_page::act(desk, token, typed).await,
            Self::Password => password_page::act(desk, token, typed).await,
            Self::SignIn => sign_in_page::act(desk, token, from).await,
        }
    }
}

/// Asks, and changes nothing.
pub(super) async fn show(
    page: SecretPage,
    state: web::Data<AppState>,
    request: HttpRequest,
    token: web::Path<String>,
) -> HttpResponse {
    let page = async {
        rate::count_address(&state, &request).await?;
        Ok(page.look(&state.desk, &token).await?)
    };
    answered(&state.desk, &request, page.await).await
}

/// Does what the page is for with what was typed. What cannot be read as a form changes nothing.
pub(super) async fn act(
    page: SecretPage,
    state: web::Data<AppState>,
    request: HttpRequest,
    token: web::Path<String>,
    form: Option<web::Form<Typed>>,
) -> HttpResponse {
    let from = address_of(&request, &state.server.trusted_proxies);
    let page = async {
        rate::count_address(&state, &request).await?;
        Ok(match form {
            Some(typed) => page.act(&state.desk, &token, &typed, from).await?,
            None => page.look(&state.desk, &token).await?,
        })
    };
    answered(&state.desk, &request, page.await).await
}
