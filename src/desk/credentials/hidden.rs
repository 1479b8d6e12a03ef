//! Keyed hashes of what people type and of where they come from: enough to count by, and
//! worth nothing to whoever gets a copy of the database.

use super::secret::SecretKeys;
use sha2::{Digest, Sha256};
use std::net::IpAddr;
use uuid::Uuid;

/// Hides what is counted by.
#[derive(Debug)]
pub struct Hidden {
    pub(super) keys: SecretKeys,
}

impl Hidden {
    /// A network address. All of a network that one household gets (64 bits of IPv6) counts
    /// as one.
    #[must_use]
    pub fn place(&self, address: IpAddr) -> [u8; 32] {
        match address.to_canonical() {
            IpAddr::V4(address) => self.keys.sign("place", &address.octets()),
            IpAddr::V6(address) => self.keys.sign("place", &address.octets()[..8]),
        }
    }

    /// An e-mail address as somebody typed it, whether or not it is one.
    #[must_use]
    pub fn typed_email(&self, typed: &str) -> [u8; 32] {
        let plain = typed.trim().to_lowercase();
        self.keys.sign("typed e-mail", plain.as_bytes())
    }

    /// An account or a session.
    #[must_use]
    pub fn id(&self, id: Uuid) -> [u8; 32] {
        self.keys.sign("id", id.as_bytes())
    }
}

/// Two of them as one.
#[must_use]
pub fn both(one: [u8; 32], other: [u8; 32]) -> [u8; 32] {
    Sha256::digest([one, other].concat()).into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::credentials::secret::test_keys;

    #[test]
    fn a_household_is_one_place_and_neighbours_are_others() {
        let hidden = Hidden {
            keys: test_keys(&[1]),
        };
        let place = |text: &str| hidden.place(text.parse().unwrap());
        assert_eq!(place("2001:db8::1"), place("2001:db8::ffff:2"));
        assert_ne!(place("2001:db8::1"), place("2001:db8:0:1::1"));
        assert_eq!(place("192.0.2.1"), place("::ffff:192.0.2.1"));
        assert_ne!(place("192.0.2.1"), place("192.0.2.2"));
    }

    #[test]
    fn an_address_is_one_however_it_is_typed() {
        let hidden = Hidden {
            keys: test_keys(&[1]),
        };
        let typed = |text: &str| hidden.typed_email(text);
        assert_eq!(typed(" Ada@Elm.example "), typed("ada@elm.example"));
        assert_ne!(typed("ada@elm.example"), typed("eda@elm.example"));
        assert_ne!(both(typed("a"), typed("b")), both(typed("b"), typed("a")));
    }
}
