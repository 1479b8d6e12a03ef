//! Codes that people type from paper: short, spoken without mistakes, and kept only as a
//! signature under a key that is not in the database.

use super::secret::SecretKeys;
use rand::Rng;
use std::fmt;

/// Crockford's base 32: no letter that is taken for a digit.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Characters between two hyphens.
const GROUP: usize = 4;

/// What a code is for. A code of one kind is nothing as another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CodeFor {
    /// Putting oneself on a site's waiting list.
    Joining,
    /// Signing somebody in, once.
    Slip,
    /// The page of a bin, from its lid.
    Lid,
}

impl CodeFor {
    /// The word that stands in the database.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Joining => "joining",
            Self::Slip => "slip",
            Self::Lid => "lid",
        }
    }

    /// Characters of a code, 5 bits each: a slip lets somebody in and has more.
    const fn length(self) -> usize {
        match self {
            Self::Joining | Self::Lid => 12,
            Self::Slip => 16,
        }
    }

    const fn name(self) -> &'static str {
        match self {
            Self::Joining => "code joining",
            Self::Slip => "code slip",
            Self::Lid => "code lid",
        }
    }
}

/// A new code with what the database keeps of it. Its `Debug` output hides it.
pub struct FreshCode {
    /// What is printed, in groups of four.
    pub text: String,
    /// What the database keeps.
    pub mac: [u8; 32],
}

impl fmt::Debug for FreshCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("FreshCode(hidden)")
    }
}

/// Makes and recognises codes.
#[derive(Debug)]
pub struct Codes {
    pub(super) keys: SecretKeys,
}

impl Codes {
    /// A new code.
    #[must_use]
    pub fn fresh(&self, purpose: CodeFor) -> FreshCode {
        let mut random = vec![0_u8; purpose.length()];
        rand::rng().fill_bytes(&mut random);
        // 256 is eight times 32: every character is equally likely.
        let plain: String = random
            .iter()
            .map(|byte| char::from(ALPHABET[usize::from(byte % 32)]))
            .collect();
        let groups: Vec<&str> = (0..plain.len())
            .step_by(GROUP)
            .map(|at| &plain[at..at + GROUP])
            .collect();
        FreshCode {
            text: groups.join("-"),
            mac: self.keys.sign(purpose.name(), plain.as_bytes()),
        }
    }

    /// What the database may keep of a code that somebody typed, one for each key; none when
    /// it cannot be a code of this kind.
    #[must_use]
    pub fn macs(&self, purpose: CodeFor, typed: &str) -> Vec<[u8; 32]> {
        plain(typed, purpose.length()).map_or_else(Vec::new, |plain| {
            self.keys.sign_with_all(purpose.name(), plain.as_bytes())
        })
    }
}

/// A code as it was made: without blanks and hyphens, in capitals, with the look-alikes that
/// the alphabet leaves out read as what they look like.
fn plain(typed: &str, length: usize) -> Option<String> {
    if typed.len() > 100 {
        return None;
    }
    let plain: String = typed
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .map(|c| match c.to_ascii_uppercase() {
            'O' => '0',
            'I' | 'L' => '1',
            other => other,
        })
        .collect();
    let fits = plain.len() == length && plain.bytes().all(|byte| ALPHABET.contains(&byte));
    fits.then_some(plain)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::credentials::secret::test_keys;

    fn codes() -> Codes {
        Codes {
            keys: test_keys(&[1]),
        }
    }

    #[test]
    fn a_code_is_recognised_however_it_is_typed() {
        let codes = codes();
        let fresh = codes.fresh(CodeFor::Slip);
        assert_eq!(fresh.text.len(), 19);
        let sloppy = fresh
            .text
            .to_lowercase()
            .replace('-', " ")
            .replace('0', "o")
            .replace('1', "l");
        for typed in [&fresh.text, &sloppy] {
            assert_eq!(codes.macs(CodeFor::Slip, typed), [fresh.mac]);
        }
        assert!(codes.macs(CodeFor::Joining, &fresh.text).is_empty());
        for bad in ["", "UUUU-UUUU-UUUU-UUUU", &"0".repeat(1_000)] {
            assert!(codes.macs(CodeFor::Slip, bad).is_empty(), "{bad}");
        }
    }

    #[test]
    fn two_kinds_of_one_length_are_told_apart() {
        let codes = codes();
        let fresh = codes.fresh(CodeFor::Joining);
        assert_ne!(codes.macs(CodeFor::Lid, &fresh.text), [fresh.mac]);
        assert_ne!(codes.fresh(CodeFor::Joining).text, fresh.text);
    }
}
