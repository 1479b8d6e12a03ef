//! The keys that probes sign in with.

use super::problem::{self, Problem};
use actix_web::dev::Payload;
use actix_web::http::header::AUTHORIZATION;
use actix_web::{FromRequest, HttpRequest};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rand::Rng;
use sha2::{Digest, Sha256};
use std::future::{Ready, ready};

/// How a probe's key begins, so that people and scanners can tell what it is.
const PREFIX: &str = "probe_";

/// The hash of the key that a probe sent. Whether there is such a probe the desk knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProbeKey {
    /// SHA-256 of the key. The key has 256 random bits, so that no slow hash is needed.
    pub hash: [u8; 32],
}

/// A new key with its hash.
pub(super) fn fresh_key() -> (String, [u8; 32]) {
    let mut bytes = [0_u8; 32];
    rand::rng().fill_bytes(&mut bytes);
    let key = format!("{PREFIX}{}", URL_SAFE_NO_PAD.encode(bytes));
    let hash = Sha256::digest(key.as_bytes()).into();
    (key, hash)
}

impl FromRequest for ProbeKey {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let mut headers = request.headers().get_all(AUTHORIZATION);
        let header = match (headers.next(), headers.next()) {
            (Some(header), None) => header.to_str().ok(),
            (None, _) => {
                let detail = "This needs a probe's key in the Authorization header.";
                return ready(Err(Problem::new(&problem::NO_TOKEN, detail)));
            }
            (Some(_), Some(_)) => None,
        };
        let key = header
            .and_then(|text| text.split_once(' '))
            .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
            .map(|(_, key)| key.trim())
            .filter(|key| key.starts_with(PREFIX) && key.len() < 100);
        ready(
            key.map(|key| Self {
                hash: Sha256::digest(key.as_bytes()).into(),
            })
            .ok_or_else(|| {
                Problem::new(&problem::UNKNOWN_PROBE, "The header holds no probe's key.")
            }),
        )
    }
}
