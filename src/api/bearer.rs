//! Who is signed in: the bearer token of a request (RFC 6750).

use super::AppState;
use super::problem::{self, Problem};
use crate::clock;
use crate::desk::credentials::TokenRefused;
use crate::desk::once::Ticket;
use crate::desk::{DeskError, Errand};
use actix_web::dev::Payload;
use actix_web::http::header::AUTHORIZATION;
use actix_web::{FromRequest, HttpRequest, web};
use std::future::{Ready, ready};
use wormrota_domain::ids::AccountId;

/// Somebody whose token is good. What they may do is read when they do it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SignedIn {
    /// The account.
    pub account: AccountId,
}

impl SignedIn {
    /// What they came for, with the time at which bins live.
    pub async fn errand(
        self,
        state: &AppState,
        ticket: Option<Ticket>,
    ) -> Result<Errand, DeskError> {
        Ok(Errand {
            account: self.account,
            now: state.desk.now().await?,
            ticket,
        })
    }
}

impl FromRequest for SignedIn {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(signed_in(request))
    }
}

fn signed_in(request: &HttpRequest) -> Result<SignedIn, Problem> {
    let state = request
        .app_data::<web::Data<AppState>>()
        .ok_or_else(|| Problem::new(&problem::INTERNAL, "The service was put together wrongly."))?;
    let mut headers = request.headers().get_all(AUTHORIZATION);
    let header = match (headers.next(), headers.next()) {
        (Some(header), None) => header,
        (None, _) => {
            return Err(Problem::new(
                &problem::NO_TOKEN,
                "This needs an access token in the Authorization header.",
            ));
        }
        (Some(_), Some(_)) => {
            return Err(Problem::new(
                &problem::BAD_TOKEN,
                "The Authorization header comes more than once.",
            ));
        }
    };
    let token = header
        .to_str()
        .ok()
        .and_then(|text| text.split_once(' '))
        .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
        .map(|(_, token)| token.trim());
    let Some(token) = token else {
        return Err(Problem::new(
            &problem::BAD_TOKEN,
            "The Authorization header holds no bearer token.",
        ));
    };
    state
        .desk
        .credentials()
        .tokens
        .verify(token, clock::wall())
        .map_err(|refused| match refused {
            TokenRefused::Expired => {
                Problem::new(&problem::EXPIRED_TOKEN, "The token has expired.")
            }
            TokenRefused::Invalid => {
                Problem::new(&problem::BAD_TOKEN, "The token is not one of this service.")
            }
        })
        .and_then(|account| {
            state.limits.count_account(account)?;
            Ok(SignedIn { account })
        })
}
