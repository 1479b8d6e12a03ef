//! Passwords that people choose: one door for all places where they do.

use super::credentials::{LONGEST_PASSWORD, SHORTEST_PASSWORD};
use super::{Desk, DeskError};

/// Checks a password that somebody chose and hashes it. `pointer` names its field; `email` is
/// the address that it will be typed with.
///
/// # Errors
/// [`DeskError::Invalid`] for one that is too short or too long; [`DeskError::Conflicting`]
/// for one that is easy to guess.
pub(super) async fn hash_new_password(
    desk: &Desk,
    pointer: &str,
    password: String,
    email: Option<&str>,
) -> Result<String, DeskError> {
    if !is_long_enough(&password) {
        return Err(DeskError::field(pointer, LENGTH));
    }
    let passwords = &desk.credentials().passwords;
    let email = email.map(str::to_owned);
    if passwords.is_guessable(password.clone(), email).await? {
        return Err(DeskError::conflict(pointer, GUESSABLE));
    }
    passwords.hash(password).await
}

/// Whether a password has as many characters as it may have.
pub(super) fn is_long_enough(password: &str) -> bool {
    (SHORTEST_PASSWORD..=LONGEST_PASSWORD).contains(&password.chars().count())
}

/// What a password must be, in characters.
pub(super) const LENGTH: &str = "must have 15 to 128 characters";

/// What a password must be besides.
const GUESSABLE: &str = "must not be one that is tried early: a common password, a name, the address, a row of \
     keys, or repetitions of them; four words that have nothing to do with each other are good";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_length_is_said_as_it_is() {
        let said = format!("must have {SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters");
        assert_eq!(LENGTH, said);
    }

    #[test]
    fn characters_are_counted_and_not_bytes() {
        assert!(is_long_enough(&"\u{1FAB1}".repeat(15)));
        assert!(is_long_enough(&"\u{1FAB1}".repeat(128)));
        assert!(!is_long_enough(&"x".repeat(14)));
        assert!(!is_long_enough(&"x".repeat(129)));
    }
}
