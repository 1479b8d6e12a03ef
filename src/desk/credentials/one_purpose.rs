//! Links that do one thing: their secret is a signature (HMAC-SHA-256) of what they are for
//! and of the row that says whether they still work.
//!
//! The database holds no secret, so that a copy of it opens nothing, and a letter with the
//! link can be written as often as sending it takes.

use super::secret::SecretKeys;
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use std::borrow::Cow;
use uuid::Uuid;
use wormrota_domain::letters::LetterDeed;

/// What a link is for. A link of one kind is nothing as another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinkFor {
    /// Accepting an invitation to a site.
    Invitation,
    /// Setting a new password.
    Reset,
    /// Signing in without a password.
    SignIn,
    /// Reading a calendar again and again.
    Calendar,
    /// Doing one thing about a letter that was sent.
    Letter(LetterDeed),
}

impl LinkFor {
    fn name(self) -> Cow<'static, str> {
        match self {
            Self::Invitation => "link invitation".into(),
            Self::Reset => "link reset".into(),
            Self::SignIn => "link sign_in".into(),
            Self::Calendar => "link calendar".into(),
            Self::Letter(deed) => format!("link letter {}", deed.code()).into(),
        }
    }
}

/// Signs and checks links.
#[derive(Debug)]
pub struct Links {
    pub(super) keys: SecretKeys,
}

impl Links {
    /// The secret part of the link for a row.
    #[must_use]
    pub fn token(&self, purpose: LinkFor, row: Uuid) -> String {
        let mac = self.keys.sign(&purpose.name(), row.as_bytes());
        URL_SAFE_NO_PAD.encode([row.as_bytes().as_slice(), &mac].concat())
    }

    /// The row that a link is for, if it was made here for this purpose.
    #[must_use]
    pub fn verify(&self, purpose: LinkFor, token: &str) -> Option<Uuid> {
        let bytes = URL_SAFE_NO_PAD.decode(token).ok()?;
        let (row, mac) = bytes.split_first_chunk::<16>()?;
        self.keys
            .is_signed(&purpose.name(), row, mac)
            .then(|| Uuid::from_bytes(*row))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::credentials::secret::test_keys;

    #[test]
    fn a_link_opens_only_what_it_was_made_for() {
        let links = Links {
            keys: test_keys(&[1]),
        };
        let row = Uuid::from_u128(7);
        let token = links.token(LinkFor::Reset, row);
        assert_eq!(links.verify(LinkFor::Reset, &token), Some(row));
        assert_eq!(links.verify(LinkFor::SignIn, &token), None);
        assert_eq!(
            links.verify(LinkFor::Letter(LetterDeed::Stop), &token),
            None
        );
        let others = Links {
            keys: test_keys(&[2]),
        };
        assert_eq!(others.verify(LinkFor::Reset, &token), None);
        let after_a_change_of_keys = Links {
            keys: test_keys(&[2, 1]),
        };
        assert_eq!(
            after_a_change_of_keys.verify(LinkFor::Reset, &token),
            Some(row)
        );
    }

    #[test]
    fn no_bit_of_a_link_can_be_changed() {
        let links = Links {
            keys: test_keys(&[1]),
        };
        let token = links.token(LinkFor::SignIn, Uuid::from_u128(7));
        let bytes = URL_SAFE_NO_PAD.decode(&token).unwrap();
        for bit in 0..bytes.len() * 8 {
            let mut forged = bytes.clone();
            forged[bit / 8] ^= 1 << (bit % 8);
            let forged = URL_SAFE_NO_PAD.encode(forged);
            assert_eq!(links.verify(LinkFor::SignIn, &forged), None, "bit {bit}");
        }
        for bad in ["", "x", &token[1..], &format!("{token}AA")] {
            assert_eq!(links.verify(LinkFor::SignIn, bad), None, "{bad}");
        }
    }
}
