//! Entity tags: what a client read, so that it changes only that (RFC 9110).

use super::problem::{self, Problem};
use super::schemas::EntityTag;
use actix_web::dev::Payload;
use actix_web::http::header::IF_MATCH;
use actix_web::{FromRequest, HttpRequest};
use std::future::{Ready, ready};
use utoipa::IntoParams;

/// What a client read.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Header)]
#[expect(dead_code, reason = "describes a header that `IfMatch` reads")]
pub struct MatchHeader {
    /// The `ETag` of what was read; the change happens only if it still stands.
    #[param(
        rename = "If-Match",
        required = false,
        value_type = EntityTag,
        inline,
        example = "*"
    )]
    if_match: String,
}

/// What a tag stands for that no answer of ours had: revisions begin at 1. It fails where
/// the others fail, after everything else about the request was found right (RFC 9110,
/// section 13.2.1).
const NO_REVISION: i64 = 0;

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
            (Some(_), Some(_)) => Err(unusable()),
        })
    }
}

fn expected(header: &str) -> Result<IfMatch, Problem> {
    if header.trim() == "*" {
        return Ok(IfMatch(None));
    }
    if !is_list_of_tags(header) {
        return Err(unusable());
    }
    // Ours are never weak, and one answer has one.
    let revision = header
        .trim()
        .strip_prefix('"')
        .and_then(|rest| rest.strip_suffix('"'))
        .and_then(|digits| digits.parse().ok());
    Ok(IfMatch(Some(revision.unwrap_or(NO_REVISION))))
}

fn unusable() -> Problem {
    Problem::new(
        &problem::BAD_IF_MATCH,
        "If-Match holds neither an ETag nor *.",
    )
}

/// Whether this is a list of entity tags (RFC 9110, section 8.8.3), in which a comma may stand.
fn is_list_of_tags(text: &str) -> bool {
    let mut rest = text.trim();
    loop {
        let opened = rest.strip_prefix("W/").unwrap_or(rest).strip_prefix('"');
        let Some((opaque, after)) = opened.and_then(|opened| opened.split_once('"')) else {
            return false;
        };
        let is_opaque = |b: u8| b == b'!' || (b'#'..=b'~').contains(&b);
        if !opaque.bytes().all(is_opaque) {
            return false;
        }
        let after = after.trim_start();
        if after.is_empty() {
            return true;
        }
        let Some(next) = after.strip_prefix(',') else {
            return false;
        };
        rest = next.trim_start();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_strong_tag_of_ours_is_taken() {
        assert_eq!(expected("\"7\"").unwrap(), IfMatch(Some(7)));
        assert_eq!(expected("*").unwrap(), IfMatch(None));
        for other in [
            "W/\"7\"",
            "\"x\"",
            "\"1\", \"2\"",
            "\"\"",
            "W/\"a,b\\\" , \"c\"",
        ] {
            assert_eq!(
                expected(other).unwrap(),
                IfMatch(Some(NO_REVISION)),
                "{other}"
            );
        }
        for bad in [
            "7", "", "\"", "\"7", "*, \"7\"", "\"7\",", "\"a b\"", "w/\"7\"",
        ] {
            assert_eq!(expected(bad).unwrap_err().kind.status, 400, "{bad}");
        }
    }
}
