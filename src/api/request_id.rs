//! The id of a request: the client's own when it is harmless, else a new one.

use crate::clock;
use actix_web::HttpMessage;
use actix_web::dev::ServiceRequest;
use std::fmt;

/// The header in both directions (`X-Request-Id`).
pub const HEADER: &str = "x-request-id";

/// Longer ones are not taken: an access token must not end up in the log as an id.
const LONGEST: usize = 64;

/// The id of one request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestId(String);

impl RequestId {
    /// Gives the request an id, which its log lines and its answer will carry.
    pub fn assign(request: &ServiceRequest) -> Self {
        let id = request
            .headers()
            .get(HEADER)
            .and_then(|value| value.to_str().ok())
            .filter(|text| is_harmless(text))
            .map_or_else(|| clock::fresh_id().to_string(), ToOwned::to_owned);
        let id = Self(id);
        request.extensions_mut().insert(id.clone());
        id
    }

    /// The id that a request was given.
    #[must_use]
    pub fn of(request: &ServiceRequest) -> Option<Self> {
        request.extensions().get::<Self>().cloned()
    }

    /// As text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for RequestId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

fn is_harmless(text: &str) -> bool {
    (1..=LONGEST).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_short_plain_ids_are_taken() {
        assert!(is_harmless("0198f2c0-aaaa-7000-8000-000000000000"));
        for bad in [
            "",
            "a b",
            "ada@example.org",
            "x\u{e9}",
            "a\"b",
            &"x".repeat(65),
        ] {
            assert!(!is_harmless(bad), "{bad:?}");
        }
    }
}
