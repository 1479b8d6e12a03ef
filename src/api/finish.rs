//! What every answer gets: its id, headers that keep browsers and caches careful, and, if
//! it is an error, the one form that errors have.

use super::problem::{self, Problem};
use super::rate;
use super::request_id::{self, RequestId};
use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::http::{Method, StatusCode};
use actix_web::middleware::Next;
use actix_web::{Error, HttpResponse};

/// Goes around everything else. Errors of handlers and extractors are responses by the
/// time they come here.
///
/// # Errors
/// Those of other middleware, of which there is none that fails.
pub async fn finish(
    mut request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let id = RequestId::assign(&request);
    // Whatever can be read can be asked for without its body (RFC 9110, section 9.3.2). The
    // server leaves the body out by the method that came over the wire.
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    let mut response = next.call(request).await?.map_into_boxed_body();
    if let Some(mut problem) = as_problem(response.response()) {
        tell_log(&problem);
        if response.request().method() != Method::GET {
            problem = problem.of_a_change();
        }
        let written = problem.response(id.as_str());
        response = response.into_response(written);
    }
    let asked = response.request().clone();
    let headers = response.headers_mut();
    rate::tell(&asked, headers);
    let mut put = |name: &'static str, value: &'static str| {
        let name = HeaderName::from_static(name);
        if !headers.contains_key(&name) {
            headers.insert(name, HeaderValue::from_static(value));
        }
    };
    put("x-content-type-options", "nosniff");
    put("referrer-policy", "no-referrer");
    put(
        "content-security-policy",
        "default-src 'none'; frame-ancestors 'none'",
    );
    // Answers are meant for whoever is signed in, unless a handler says otherwise.
    put("cache-control", "no-store");
    if let Ok(value) = HeaderValue::from_str(id.as_str()) {
        headers.insert(HeaderName::from_static(request_id::HEADER), value);
    }
    Ok(response)
}

/// The problem that a response stands for, if it is an error. Errors of the framework
/// become the general problem of their status.
fn as_problem(response: &HttpResponse<BoxBody>) -> Option<Problem> {
    let error = response.error()?;
    if let Some(problem) = error.as_error::<Problem>() {
        return Some(problem.clone());
    }
    let (kind, detail) = match response.status() {
        StatusCode::NOT_FOUND => (&problem::NOT_FOUND, "There is nothing at this address."),
        StatusCode::PAYLOAD_TOO_LARGE => (&problem::TOO_LARGE, "The body is too large."),
        StatusCode::REQUEST_TIMEOUT => (
            &problem::REQUEST_TIMEOUT,
            "The request did not arrive in time.",
        ),
        status if status.is_client_error() => {
            (&problem::BAD_REQUEST, "The request cannot be read.")
        }
        _ => (
            &problem::INTERNAL,
            "The service made a mistake, which is in its log.",
        ),
    };
    Some(Problem::new(kind, detail).because(error))
}

fn tell_log(problem: &Problem) {
    let code = problem.kind.code;
    let reason = problem.inside();
    match problem.kind.status {
        500 => tracing::error!(code, reason, "the service made a mistake"),
        503 => tracing::warn!(code, reason, "not available"),
        // Whoever is kept out, so that trying it often can be seen.
        401 | 403 | 429 => tracing::info!(code, "turned away"),
        _ => tracing::debug!(code, "answered with a problem"),
    }
}
