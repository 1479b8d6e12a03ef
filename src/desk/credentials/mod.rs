//! Passwords, access and refresh tokens, and the secrets of links and printed codes.

mod guessable;
mod hidden;
mod one_purpose;
mod password;
mod printed;
mod refresh;
mod secret;
mod token;

pub use hidden::{Hidden, both};
pub use one_purpose::{LinkFor, Links};
pub use password::{LONGEST_PASSWORD, Passwords, SHORTEST_PASSWORD};
pub use printed::{CodeFor, Codes, FreshCode};
pub use refresh::RefreshToken;
pub use token::{AccessToken, Bearer, TokenRefused, Tokens};

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
    /// Hides what is counted by.
    pub hidden: Hidden,
    /// How long sessions and links last, and how often somebody may try.
    pub settings: SignIn,
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
            codes: Codes {
                keys: secret.clone(),
            },
            hidden: Hidden { keys: secret },
            settings: settings.clone(),
        })
    }
}

#[cfg(test)]
fn test_settings() -> SignIn {
    let env = [("WORMROTA__DATA_FOLDER", "/nonexistent")];
    let env = env.map(|(key, value)| (key.to_owned(), value.to_owned()));
    crate::settings::Settings::load(&env.into())
        .unwrap()
        .sign_in
}
