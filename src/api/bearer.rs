//! Who is signed in: the bearer token of a request (RFC 6750).
//!
//! It is looked at before anything else of the request is read, so that a body or a query that
//! cannot be used tells strangers nothing, and counts for whoever sent it.

use super::doors::Token;
use super::problem::{self, Problem};
use super::{AppState, rate};
use crate::clock;
use crate::desk::credentials::{Bearer, TokenRefused};
use crate::desk::once::Ticket;
use crate::desk::sessions::insist_on_session;
use crate::desk::{DeskError, Errand};
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::header::AUTHORIZATION;
use actix_web::middleware::Next;
use actix_web::{Error, FromRequest, HttpMessage, HttpRequest, HttpResponse, web};
use std::future::{Ready, ready};
use wormrota_domain::ids::{AccountId, SessionId};

/// Somebody whose token is good and whose session goes on. What they may do is read when they
/// do it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SignedIn {
    /// The account.
    pub account: AccountId,
    /// The session.
    pub session: SessionId,
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

    /// Account and session.
    #[must_use]
    pub const fn bearer(self) -> Bearer {
        Bearer {
            account: self.account,
            session: self.session,
        }
    }
}

/// Whoever comes: signed in or not. A token that is sent must be good.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Whoever(pub Option<SignedIn>);

impl Whoever {
    /// The account, if somebody is signed in.
    #[must_use]
    pub fn account(self) -> Option<AccountId> {
        self.0.map(|who| who.account)
    }
}

impl FromRequest for Whoever {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self(request.extensions().get::<SignedIn>().copied())))
    }
}

impl FromRequest for SignedIn {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let found = request.extensions().get::<Self>().copied();
        // Where the document does not say that a token is needed, nobody looked at it.
        ready(found.ok_or_else(put_together_wrongly))
    }
}

/// Goes around handlers: lets nobody through to one that takes an access token without it.
///
/// # Errors
/// Those of what it goes around.
pub(super) async fn sign_in_first(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    match look(request.request()).await {
        Ok(who) => {
            if let Some(who) = who {
                request.extensions_mut().insert(who);
            }
            Ok(next.call(request).await?.map_into_boxed_body())
        }
        // Not `into_response`, which would lose the problem on the way.
        Err(problem) => {
            let (request, _) = request.into_parts();
            let response = HttpResponse::from_error(problem);
            Ok(ServiceResponse::new(request, response))
        }
    }
}

/// Whoever sent a request to an operation that takes a token; nobody for other operations.
async fn look(request: &HttpRequest) -> Result<Option<SignedIn>, Problem> {
    let state = request
        .app_data::<web::Data<AppState>>()
        .ok_or_else(put_together_wrongly)?;
    let sent = request.headers().contains_key(AUTHORIZATION);
    match state.doors.token_at(request) {
        Some(Token::Needed) => {}
        Some(Token::Taken) if sent => {}
        Some(Token::Taken) | None => return Ok(None),
    }
    let bearer = token_of(request).and_then(|token| verified(state, token))?;
    match insist_on_session(&state.desk, bearer).await {
        Ok(()) => {}
        // Whoever goes on sending a dead token is a stranger, and counted as one.
        Err(ended @ DeskError::SessionEnded) => {
            rate::count_address(state, request).await?;
            return Err(ended.into());
        }
        Err(other) => return Err(other.into()),
    }
    rate::count_account(state, request, bearer.account).await?;
    Ok(Some(SignedIn {
        account: bearer.account,
        session: bearer.session,
    }))
}

fn put_together_wrongly() -> Problem {
    Problem::new(&problem::INTERNAL, "The service was put together wrongly.")
}

fn token_of(request: &HttpRequest) -> Result<&str, Problem> {
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
    header
        .to_str()
        .ok()
        .and_then(|text| text.split_once(' '))
        .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
        .map(|(_, token)| token.trim())
        .ok_or_else(|| {
            Problem::new(
                &problem::BAD_TOKEN,
                "The Authorization header holds no bearer token.",
            )
        })
}

fn verified(state: &AppState, token: &str) -> Result<Bearer, Problem> {
    let tokens = &state.desk.credentials().tokens;
    tokens
        .verify(token, clock::wall())
        .map_err(|refused| match refused {
            TokenRefused::Expired => {
                Problem::new(&problem::EXPIRED_TOKEN, "The token has expired.")
            }
            TokenRefused::Invalid => {
                Problem::new(&problem::BAD_TOKEN, "The token is not one of this service.")
            }
        })
}
