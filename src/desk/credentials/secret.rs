//! Keys derived from the signing keys, one for each use, so that what is signed for one use
//! is worth nothing for another.

use crate::settings::SigningKeys;
use hmac::{Hmac, KeyInit, Mac};
use sha2::Sha256;
use std::fmt;

/// Keys that sign (the first) and that still verify. Its `Debug` output hides them.
#[derive(Clone)]
pub(super) struct SecretKeys {
    keys: Vec<Hmac<Sha256>>,
}

impl fmt::Debug for SecretKeys {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("SecretKeys(hidden)")
    }
}

impl SecretKeys {
    pub(super) fn of(keys: &SigningKeys) -> Self {
        Self {
            keys: keys.all().filter_map(|key| hmac(&key.secret)).collect(),
        }
    }

    /// The signature of something for a use, under the key that signs.
    pub(super) fn sign(&self, purpose: &str, what: &[u8]) -> [u8; 32] {
        self.each(purpose, what)
            .next()
            .map_or([0; 32], |mac| mac.finalize().into_bytes().into())
    }

    /// The signatures under every key, the one that signs first.
    pub(super) fn sign_with_all(&self, purpose: &str, what: &[u8]) -> Vec<[u8; 32]> {
        self.each(purpose, what)
            .map(|mac| mac.finalize().into_bytes().into())
            .collect()
    }

    /// Whether a signature is of one of the keys. Takes the same time wherever it differs.
    pub(super) fn is_signed(&self, purpose: &str, what: &[u8], signature: &[u8]) -> bool {
        self.each(purpose, what)
            .any(|mac| mac.verify_slice(signature).is_ok())
    }

    fn each<'a>(&'a self, purpose: &str, what: &[u8]) -> impl Iterator<Item = Hmac<Sha256>> + 'a {
        // With its length before it, no purpose can pass for another.
        let mut message = vec![u8::try_from(purpose.len()).unwrap_or(u8::MAX)];
        message.extend(purpose.as_bytes());
        message.extend(what);
        self.keys.iter().map(move |key| {
            let mut mac = key.clone();
            mac.update(&message);
            mac
        })
    }
}

/// HMAC takes keys of every length, so this is never `None`.
fn hmac(secret: &[u8]) -> Option<Hmac<Sha256>> {
    Hmac::new_from_slice(secret).ok()
}

#[cfg(test)]
pub(super) fn test_keys(bytes: &[u8]) -> SecretKeys {
    SecretKeys {
        keys: bytes.iter().filter_map(|byte| hmac(&[*byte; 32])).collect(),
    }
}
