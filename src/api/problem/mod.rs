//! Errors as clients see them: problem details (RFC 9457), from one table.
//!
//! Handlers return [`Problem`]; [`super::finish`] writes it out with the id of the request.
//! What went wrong inside goes to the log, never into a body.

mod kinds;
mod of_the_desk;

pub use kinds::*;

use crate::desk::FieldError;
use actix_web::http::StatusCode;
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use std::fmt;
use utoipa::ToSchema;

/// Seconds after which a client may come back when the service was not available.
pub const RETRY_AFTER_S: u64 = 2;

/// One problem, ready to be written out.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Its row of the table.
    pub kind: &'static Kind,
    // Boxed, since it travels in every `Result` of a handler.
    this_time: Box<ThisTime>,
}

#[derive(Debug, Clone, Default)]
struct ThisTime {
    detail: String,
    errors: Vec<FieldError>,
    more: serde_json::Map<String, serde_json::Value>,
    allow: Option<String>,
    inside: Option<String>,
    wait_s: Option<u64>,
}

impl Problem {
    /// A problem with nothing to add but its detail: what happened this time, for people.
    #[must_use]
    pub fn new(kind: &'static Kind, detail: impl Into<String>) -> Self {
        Self {
            kind,
            this_time: Box::new(ThisTime {
                detail: detail.into(),
                ..ThisTime::default()
            }),
        }
    }

    /// Fields of the input that cannot be used.
    #[must_use]
    pub fn fields(errors: Vec<FieldError>) -> Self {
        Self::new(&INVALID_FIELDS, "Some fields cannot be used.").pointing_at(errors)
    }

    /// Fields that are well formed, but not possible together, or now, or here.
    #[must_use]
    pub fn conflicts(errors: Vec<FieldError>) -> Self {
        Self::new(
            &CONFLICTING_FIELDS,
            "Some fields do not go together, or not with what is known.",
        )
        .pointing_at(errors)
    }

    /// Something was tried too often.
    #[must_use]
    pub fn too_often(wait_s: u64) -> Self {
        Self::new(
            &TOO_MANY_REQUESTS,
            format!("That was too often; come back in {wait_s} seconds."),
        )
        .come_back_in(wait_s)
    }

    /// With the fields that are wrong.
    #[must_use]
    pub fn pointing_at(mut self, errors: Vec<FieldError>) -> Self {
        self.this_time.errors = errors;
        self
    }

    /// With one more member in the body, such as a decision.
    #[must_use]
    pub fn with(mut self, name: &str, value: serde_json::Value) -> Self {
        self.this_time.more.insert(name.to_owned(), value);
        self
    }

    /// With the methods for an Allow header.
    #[must_use]
    pub fn allowing(mut self, methods: &str) -> Self {
        self.this_time.allow = Some(methods.to_owned());
        self
    }

    /// With the seconds after which to come back.
    #[must_use]
    pub fn come_back_in(mut self, seconds: u64) -> Self {
        self.this_time.wait_s = Some(seconds);
        self
    }

    /// With what went wrong inside, for the log only.
    #[must_use]
    pub fn because(mut self, inside: impl fmt::Display) -> Self {
        self.this_time.inside = Some(inside.to_string());
        self
    }

    /// The same to whoever wanted to change something, where fields are in the way: they hear that
    /// nothing came of it.
    #[must_use]
    pub fn of_a_change(mut self) -> Self {
        if [INVALID_FIELDS.code, CONFLICTING_FIELDS.code].contains(&self.kind.code) {
            self.this_time.detail.push_str(" Nothing was changed.");
        }
        self
    }

    /// What happened this time, for people.
    #[must_use]
    pub fn detail(&self) -> &str {
        &self.this_time.detail
    }

    /// Which fields are wrong, if fields are.
    #[must_use]
    pub fn errors(&self) -> &[FieldError] {
        &self.this_time.errors
    }

    /// What went wrong inside, for the log only.
    #[must_use]
    pub fn inside(&self) -> Option<&str> {
        self.this_time.inside.as_deref()
    }

    /// Seconds after which to come back, where that is known.
    pub(super) fn wait_s(&self) -> Option<u64> {
        let usual = (self.kind.status == 503).then_some(RETRY_AFTER_S);
        self.this_time.wait_s.or(usual)
    }

    /// The response with its headers; `request_id` goes into the body too.
    #[must_use]
    pub fn response(&self, request_id: &str) -> HttpResponse {
        let mut response = HttpResponse::build(self.status_code());
        if self.kind.status == 401 {
            let challenge = match self.kind.code {
                "bad_token" | "expired_token" | "session_ended" => {
                    r#"Bearer realm="wormrota", error="invalid_token""#
                }
                _ => r#"Bearer realm="wormrota""#,
            };
            response.insert_header(("WWW-Authenticate", challenge));
        }
        if let Some(seconds) = self.wait_s() {
            response.insert_header(("Retry-After", seconds.to_string()));
        }
        if let Some(allow) = &self.this_time.allow {
            response.insert_header(("Allow", allow.clone()));
        }
        response
            .content_type("application/problem+json")
            .json(self.body(request_id))
    }

    fn body(&self, request_id: &str) -> ProblemBody {
        ProblemBody {
            r#type: format!("/problems/{}", self.kind.code),
            title: self.kind.title.to_owned(),
            status: self.kind.status,
            code: self.kind.code.to_owned(),
            detail: self.this_time.detail.clone(),
            request_id: request_id.to_owned(),
            errors: self
                .this_time
                .errors
                .iter()
                .map(|error| FieldProblem {
                    pointer: error.pointer.clone(),
                    detail: error.detail.clone(),
                })
                .collect(),
            more: self.this_time.more.clone(),
        }
    }
}

/// The body of a problem.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemBody {
    /// Where this kind of problem is explained, relative to the service.
    #[schema(example = "/problems/invalid_fields")]
    r#type: String,
    /// What the kind is called.
    title: String,
    /// The HTTP status.
    status: u16,
    /// The stable code of the kind.
    #[schema(example = "invalid_fields")]
    code: String,
    /// What happened this time.
    detail: String,
    /// The id of the request, as in the X-Request-Id header and in the log.
    request_id: String,
    /// Which fields are wrong, if fields are.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    errors: Vec<FieldProblem>,
    /// Further members that a kind has, such as the decision on a refused feeding.
    #[serde(flatten)]
    #[schema(ignore)]
    more: serde_json::Map<String, serde_json::Value>,
}

/// One field that cannot be used.
#[derive(Debug, Serialize, ToSchema)]
pub struct FieldProblem {
    /// A JSON pointer (RFC 6901) into the body.
    #[schema(example = "/amount_kg")]
    pointer: String,
    /// What it must be.
    detail: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.kind.code)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.kind.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        self.response("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::DeskError;

    /// Protects whoever only asks from being told of a change, and whoever changes from doubt.
    #[test]
    fn only_a_change_is_told_that_nothing_was_changed() {
        let refused = Problem::fields(Vec::new());
        assert_eq!(refused.detail(), "Some fields cannot be used.");
        let detail = refused.of_a_change().detail().to_owned();
        assert_eq!(detail, "Some fields cannot be used. Nothing was changed.");
        let gone = Problem::new(&NOT_FOUND, "There is none.").of_a_change();
        assert_eq!(gone.detail(), "There is none.");
    }

    #[test]
    fn what_went_wrong_inside_stays_inside() {
        let problem = Problem::from(DeskError::broken("relation secret_table is missing"));
        let body = serde_json::to_string(&problem.body("id")).unwrap();
        assert!(!body.contains("secret_table"), "{body}");
    }
}
