//! A password that somebody chooses on a page, and what is said when it cannot be one.

use super::DeskError;
use super::credentials::{LONGEST_PASSWORD, SHORTEST_PASSWORD};
use super::letter_links::{Field, Typed};
use wormrota_domain::phrase::{Phrase, Value};

/// The name under which it is sent.
const CHOSEN: &str = "password";
/// The name under which it is sent once more.
const AGAIN: &str = "again";

/// Where it is typed: twice, since nobody sees what they type.
pub(super) fn fields() -> Vec<Field> {
    [(CHOSEN, "page-password"), (AGAIN, "page-password-again")]
        .map(|(name, label)| Field::NewPassword {
            name,
            label: Phrase::of(label),
        })
        .into()
}

/// What was typed, or nothing if both fields were left empty.
///
/// # Errors
/// What to say when they differ.
pub(super) fn chosen(typed: &Typed) -> Result<Option<String>, Phrase> {
    let value = |name: &str| typed.get(name).map_or("", String::as_str);
    let (one, other) = (value(CHOSEN), value(AGAIN));
    if one != other {
        return Err(Phrase::of("page-password-differs"));
    }
    Ok((!one.is_empty()).then(|| one.to_owned()))
}

/// What a password must be.
pub(super) fn length() -> Phrase {
    let count = |most: usize| Value::Count(u64::try_from(most).unwrap_or(u64::MAX));
    Phrase::of("page-password-length")
        .with("least", count(SHORTEST_PASSWORD))
        .with("most", count(LONGEST_PASSWORD))
}

/// What to say of a password that was not taken.
///
/// # Errors
/// The same error when it is about something else.
pub(super) fn complaint(error: DeskError) -> Result<Phrase, DeskError> {
    match error {
        DeskError::Invalid(_) => Ok(length()),
        DeskError::Conflicting(errors)
            if errors.iter().all(|one| one.pointer.ends_with("password")) =>
        {
            Ok(Phrase::of("page-password-guessable"))
        }
        other => Err(other),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn typed(one: &str, other: &str) -> Typed {
        let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        [pair(CHOSEN, one), pair(AGAIN, other)].into()
    }

    /// Protects people from a password that they mistyped, and those who want none from having
    /// an empty one.
    #[test]
    fn a_password_is_what_was_typed_twice() {
        let twice = "seven damp newspapers";
        assert_eq!(chosen(&typed(twice, twice)), Ok(Some(twice.to_owned())));
        assert_eq!(chosen(&typed("", "")), Ok(None));
        assert_eq!(chosen(&Typed::new()), Ok(None));
        let differs = Err(Phrase::of("page-password-differs"));
        assert_eq!(chosen(&typed(twice, "seven damp newspaper")), differs);
        assert_eq!(chosen(&typed(twice, "")), differs);
    }
}
