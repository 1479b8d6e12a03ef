//! Passwords that a guesser would try early.
//!
//! NIST SP 800-63B-4, section 3.1.1.2, wants passwords compared with a list of those that are
//! commonly used, expected or known from breaches, and no rules of composition. Of at least
//! fifteen characters no list is long, and what people then choose are repetitions and chains
//! of what is on the lists. So the list here is a rule: how many passwords somebody would try
//! before this one who goes through common passwords, words, names, dates, rows of keys and
//! repetitions of them, the likeliest first, as the crate zxcvbn (MIT) estimates it after
//! Wheeler, "zxcvbn: Low-Budget Password Strength Estimation", USENIX Security 2016. Its list
//! of common passwords has 30,000 entries. Any composition passes that is not on that way.

/// Guesses in which a password must not be found. With as many tries as the settings allow
/// from elsewhere (50 a day out of the box) it takes over five thousand years to make them.
const TOO_FEW_GUESSES: u64 = 100_000_000;

/// Words that anybody would try here: the service and what it is about.
const EXPECTED: [&str; 8] = [
    "wormrota",
    "worm",
    "worms",
    "wormbin",
    "wigglers",
    "compost",
    "vermicompost",
    "rota",
];

/// Whether a password is too easy to guess, by somebody who knows the address too.
pub(super) fn is_guessable(password: &str, email: Option<&str>) -> bool {
    let email = email.unwrap_or_default();
    let mut known: Vec<&str> = EXPECTED.to_vec();
    known.push(email);
    known.extend(
        email
            .split(['@', '.', '-', '_', '+'])
            .filter(|part| part.len() > 2),
    );
    known.extend(email.split('@').filter(|part| !part.is_empty()));
    // A hyphen between two of them costs a guesser next to nothing.
    let bare: String = password.chars().filter(|c| c.is_alphanumeric()).collect();
    [password, &bare]
        .into_iter()
        .filter(|tried| !tried.is_empty())
        .any(|tried| zxcvbn::zxcvbn(tried, &known).guesses() < TOO_FEW_GUESSES)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_guesser_tries_early_is_refused() {
        for bad in [
            "passwordpassword",
            "password12345678",
            "123456789012345",
            "1234567890123456",
            "qwertyuiopasdfghjkl",
            "iloveyouiloveyou",
            "aaaaaaaaaaaaaaa",
            "abcabcabcabcabcabc",
            "wormrotawormrota",
            "wormrota-wormrota",
            "ada.lovelace@elmcourt.example",
            "ADA.LOVELACE@ELMCOURT.EXAMPLE",
            "adalovelaceadalovelace",
            "elmcourtelmcourt",
            "elmcourt.example",
        ] {
            assert!(
                is_guessable(bad, Some("ada.lovelace@elmcourt.example")),
                "{bad}"
            );
        }
    }

    #[test]
    fn words_in_a_row_of_any_composition_pass() {
        for good in [
            "nine red wigglers",
            "worms eat at night",
            "kingfisher-under-the-bridge",
            "lombrices rojas en abril",
            "\u{1F41B}\u{1F41B} casa verde y lluvia",
            "q7#Lp0z!vR2m@Wd",
            "correct horse wormrota staple",
        ] {
            assert!(!is_guessable(good, Some("ada@elmcourt.example")), "{good}");
        }
        assert!(!is_guessable("nine red wigglers", None));
    }
}
