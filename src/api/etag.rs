//! Entity tags: what a client read, so that it changes only that (RFC 9110).

use super::problem::{self, Problem};
use actix_web::dev::Payload;
use actix_web::http::header::IF_MATCH;
use actix_web::{FromRequest, HttpRequest};
use std::future::{Ready, ready};

/// The revision that a client expects, if it sent If-Match with one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct IfMatch(pub Option<i64>);

/// The tag of a revision.
#[must_use]
pub(super) fn etag(revision: i64) -> (&'static str, String) {
    ("ETag", format!("\"{revision}\""))
}

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let mut headers = request.headers().get_all(IF_MATCH);
        ready(match (headers.next(), headers.next()) {
            (None, _) => Ok(Self(None)),
            (Some(header), None) => expected(header.to_str().unwrap_or_default()),
            (Some(_), Some(_)) => Err(not_ours()),
        })
    }
}

fn expected(header: &str) -> Result<IfMatch, Problem> {
    if header.trim() == "*" {
        return Ok(IfMatch(None));
    }
    let revision = header
        .trim()
        .strip_prefix('"')
        .and_then(|rest| rest.strip_suffix('"'))
        .and_then(|digits| digits.parse().ok());
    revision
        .map(|revision| IfMatch(Some(revision)))
        .ok_or_else(not_ours)
}

/// A tag that no answer of ours had cannot match.
fn not_ours() -> Problem {
    Problem::new(
        &problem::CHANGED_MEANWHILE,
        "If-Match holds no ETag of this; read it again and send that one.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_strong_tag_of_ours_is_taken() {
        assert_eq!(expected("\"7\"").unwrap(), IfMatch(Some(7)));
        assert_eq!(expected("*").unwrap(), IfMatch(None));
        for bad in ["7", "W/\"7\"", "\"x\"", "\"1\", \"2\"", ""] {
            assert_eq!(expected(bad).unwrap_err().kind.status, 412, "{bad}");
        }
    }
}
