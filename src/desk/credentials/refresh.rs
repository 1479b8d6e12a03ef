//! Refresh tokens: 256 random bits of which the database keeps a hash.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rand::Rng;
use sha2::{Digest, Sha256};
use std::fmt;

/// How a refresh token begins, so that people and scanners can tell what it is.
const PREFIX: &str = "refresh_";
/// A token longer than this was not made here.
const LONGEST: usize = 100;

/// A refresh token. Its `Debug` output hides it.
#[derive(Clone, PartialEq, Eq)]
pub struct RefreshToken(String);

impl fmt::Debug for RefreshToken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("RefreshToken(hidden)")
    }
}

impl RefreshToken {
    /// A new one.
    #[must_use]
    pub fn fresh() -> Self {
        let mut random = [0_u8; 32];
        rand::rng().fill_bytes(&mut random);
        Self(format!("{PREFIX}{}", URL_SAFE_NO_PAD.encode(random)))
    }

    /// What somebody sent, if it can be one.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        (text.starts_with(PREFIX) && text.len() <= LONGEST).then(|| Self(text.to_owned()))
    }

    /// What the client keeps.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.0
    }

    /// What the database keeps. No slow hash is needed for so many random bits.
    #[must_use]
    pub fn hash(&self) -> [u8; 32] {
        Sha256::digest(self.0.as_bytes()).into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_differ_and_are_read_back() {
        let (one, other) = (RefreshToken::fresh(), RefreshToken::fresh());
        assert_ne!(one.hash(), other.hash());
        let read = RefreshToken::read(one.text()).unwrap();
        assert_eq!(read.hash(), one.hash());
        for bad in [
            "",
            "x",
            &one.text()[1..],
            &format!("{PREFIX}{}", "x".repeat(100)),
        ] {
            assert_eq!(RefreshToken::read(bad), None, "{bad}");
        }
        assert!(!format!("{one:?}").contains(&one.text()[8..]));
    }
}
