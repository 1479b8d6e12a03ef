//! Passwords and access tokens.

mod password;
mod token;

pub use password::{LONGEST_PASSWORD, Passwords, SHORTEST_PASSWORD};
pub use token::{AccessToken, TokenRefused, Tokens};

use super::DeskError;
use crate::settings::{SignIn, SigningKeys};

/// What is needed to let somebody in.
#[derive(Debug)]
pub struct Credentials {
    /// Hashes and checks passwords.
    pub passwords: Passwords,
    /// Signs and checks access tokens.
    pub tokens: Tokens,
}

impl Credentials {
    /// Hashes one password to know how long that takes; a few hundredths of a second.
    ///
    /// # Errors
    /// When the parameters cannot be used.
    pub fn new(settings: &SignIn, keys: &SigningKeys) -> Result<Self, DeskError> {
        Ok(Self {
            passwords: Passwords::new(settings)?,
            tokens: Tokens::new(settings, keys),
        })
    }
}
