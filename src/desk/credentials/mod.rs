//! Passwords, access tokens, and the secrets of links and printed codes.

mod one_purpose;
mod password;
mod printed;
mod secret;
mod token;

pub use one_purpose::{LinkFor, Links};
pub use password::{LONGEST_PASSWORD, Passwords, SHORTEST_PASSWORD};
pub use printed::{CodeFor, Codes, FreshCode};
pub use token::{AccessToken, TokenRefused, Tokens};

use super::DeskError;
use crate::settings::{SignIn, SigningKeys};
use secret::SecretKeys;

/// What is needed to let somebody in.
#[derive(Debug)]
pub struct Credentials {
    /// Hashes and checks passwords.
    pub passwords: Passwords,
    /// Signs and checks access tokens.
    pub tokens: Tokens,
    /// Signs and checks links that do one thing.
    pub links: Links,
    /// Makes and recognises printed codes.
    pub codes: Codes,
}

impl Credentials {
    /// Hashes one password to know how long that takes; a few hundredths of a second.
    ///
    /// # Errors
    /// When the parameters cannot be used.
    pub fn new(settings: &SignIn, keys: &SigningKeys) -> Result<Self, DeskError> {
        let secret = SecretKeys::of(keys);
        Ok(Self {
            passwords: Passwords::new(settings)?,
            tokens: Tokens::new(settings, keys),
            links: Links {
                keys: secret.clone(),
            },
            codes: Codes { keys: secret },
        })
    }
}
