//! How often somebody may ask: each account, and each address that is not signed in. All
//! copies of the service count together; this keeps a runaway client from starving others.
//!
//! What is left is said in the header fields of draft-ietf-httpapi-ratelimit-headers-10.

use super::AppState;
use super::address::address_of;
use super::problem::Problem;
use crate::clock;
use crate::desk::allowances::{ANONYMOUS, Allowance, REQUESTS, Verdict};
use crate::settings::Server;
use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use actix_web::{HttpMessage, HttpRequest};
use std::fmt::Write;
use utoipa::Modify;
use utoipa::openapi::{HeaderBuilder, OpenApi, RefOr};
use wormrota_domain::ids::AccountId;

/// The header with the limits, and what it says.
pub const POLICY: (&str, &str) = (
    "RateLimit-Policy",
    "How many requests (q) in how many seconds (w), for an account or an address",
);
/// The header with what is left, and what it says.
pub const LEFT: (&str, &str) = (
    "RateLimit",
    "How many requests are left (r), and in how many seconds (t) there are all of them again",
);

/// A copy takes requests of an account in this many lots at least, so that most requests ask
/// no row.
const LOTS: u32 = 30;

/// How often somebody may ask; `None` where the settings set no limit.
#[derive(Debug)]
pub struct RateLimits {
    accounts: Option<Allowance>,
    addresses: Option<Allowance>,
}

impl RateLimits {
    /// As the settings say.
    #[must_use]
    pub fn new(settings: &Server) -> Self {
        let accounts = Allowance::of(REQUESTS, settings.requests_per_minute);
        Self {
            accounts: accounts.map(|all| all.in_lots_of(settings.requests_per_minute / LOTS)),
            addresses: Allowance::of(ANONYMOUS, settings.anonymous_requests_per_minute),
        }
    }
}

/// What was counted of a request, for the headers of its answer.
#[derive(Debug, Default, Clone)]
struct Counted(Vec<(&'static str, Verdict)>);

/// Counts a request of somebody who is signed in.
///
/// # Errors
/// A problem that says when to come back.
pub(super) async fn count_account(
    state: &AppState,
    request: &HttpRequest,
    account: AccountId,
) -> Result<(), Problem> {
    let whom = state.desk.credentials().hidden.id(account.0);
    count(state, request, ("account", state.limits.accounts), whom).await
}

/// Counts a request of somebody who is not signed in (yet).
///
/// # Errors
/// A problem that says when to come back.
pub(super) async fn count_address(state: &AppState, request: &HttpRequest) -> Result<(), Problem> {
    let address = address_of(request, &state.server.trusted_proxies);
    let whom = state.desk.credentials().hidden.place(address);
    count(state, request, ("address", state.limits.addresses), whom).await
}

async fn count(
    state: &AppState,
    request: &HttpRequest,
    (name, allowance): (&'static str, Option<Allowance>),
    whom: [u8; 32],
) -> Result<(), Problem> {
    let Some(allowance) = allowance else {
        return Ok(());
    };
    let verdict = state.desk.take(allowance, whom, clock::wall()).await?;
    let mut extensions = request.extensions_mut();
    if let Some(counted) = extensions.get_mut::<Counted>() {
        counted.0.push((name, verdict));
    } else {
        extensions.insert(Counted(vec![(name, verdict)]));
    }
    if verdict.allowed {
        Ok(())
    } else {
        Err(Problem::too_often(verdict.resets_in_s))
    }
}

/// Puts what was counted of a request into the headers of its answer.
pub(super) fn tell(request: &HttpRequest, headers: &mut HeaderMap) {
    let extensions = request.extensions();
    let Some(counted) = extensions.get::<Counted>() else {
        return;
    };
    let (policy, left) = written(&counted.0);
    for (name, value) in [("ratelimit-policy", policy), ("ratelimit", left)] {
        if let Ok(value) = HeaderValue::from_str(&value) {
            headers.insert(HeaderName::from_static(name), value);
        }
    }
}

/// Lists of structured fields (RFC 9651).
fn written(counted: &[(&'static str, Verdict)]) -> (String, String) {
    let (mut policy, mut left) = (String::new(), String::new());
    for (name, verdict) in counted {
        let comma = if policy.is_empty() { "" } else { ", " };
        // Writing to a String cannot fail.
        let (most, span) = (verdict.most, verdict.span_s);
        let _ = write!(policy, "{comma}\"{name}\";q={most};w={span}");
        let (rest, until) = (verdict.left, verdict.resets_in_s);
        let _ = write!(left, "{comma}\"{name}\";r={rest};t={until}");
    }
    (policy, left)
}

/// Describes the headers in the document, with every good answer under `/v1`.
pub(super) struct Described;

impl Modify for Described {
    fn modify(&self, openapi: &mut OpenApi) {
        let items = openapi.paths.paths.iter_mut();
        for (_, item) in items.filter(|(path, _)| path.starts_with("/v1/")) {
            let methods = [
                &mut item.get,
                &mut item.post,
                &mut item.put,
                &mut item.patch,
                &mut item.delete,
            ];
            for operation in methods.into_iter().flatten() {
                for (status, response) in &mut operation.responses.responses {
                    let (true, RefOr::T(response)) = (status.starts_with('2'), response) else {
                        continue;
                    };
                    for (name, meaning) in [POLICY, LEFT] {
                        let header = HeaderBuilder::new().description(Some(meaning)).build();
                        response.headers.insert(name.to_owned(), header.into());
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_counted_is_written_as_structured_fields() {
        let verdict = Verdict {
            allowed: true,
            most: 600,
            span_s: 60,
            left: 12,
            resets_in_s: 33,
        };
        let (policy, left) = written(&[("account", verdict)]);
        assert_eq!(policy, r#""account";q=600;w=60"#);
        assert_eq!(left, r#""account";r=12;t=33"#);
        let (policy, _) = written(&[("account", verdict), ("address", verdict)]);
        assert_eq!(policy, r#""account";q=600;w=60, "address";q=600;w=60"#);
    }
}
