//! The log span of a request. It names the route, never the address: what people type into
//! an address bar, and query strings, do not belong in a log.

use super::request_id::RequestId;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use tracing::Span;
use tracing::field::Empty;
use tracing_actix_web::RootSpanBuilder;

/// Makes one span for each request.
#[derive(Debug)]
pub(super) struct RequestSpan;

impl RootSpanBuilder for RequestSpan {
    fn on_request_start(request: &ServiceRequest) -> Span {
        let id = RequestId::of(request);
        let route = request
            .match_pattern()
            .unwrap_or_else(|| "unknown".to_owned());
        tracing::info_span!(
            "request",
            request_id = id.as_ref().map(tracing::field::display),
            method = %request.method(),
            route,
            status = Empty,
        )
    }

    fn on_request_end<B: MessageBody>(
        span: Span,
        outcome: &Result<ServiceResponse<B>, actix_web::Error>,
    ) {
        let status = match outcome {
            Ok(response) => response.status(),
            Err(error) => error.as_response_error().status_code(),
        };
        span.record("status", status.as_u16());
        span.in_scope(|| tracing::info!(status = status.as_u16(), "answered"));
    }
}
