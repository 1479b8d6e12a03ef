//! Text that people type, checked once at the door.

use super::{DeskError, FieldError};
use chrono::{Datelike, NaiveDate};
use wormrota_domain::access::Role;
use wormrota_domain::site::MOST_REMINDER_DAYS;

/// Characters that the name of a person or a site may have.
pub(super) const LONGEST_PERSON: usize = 100;
/// Characters that a flat may have.
const LONGEST_FLAT: usize = 30;

/// Insists on years of four digits (RFC 3339): other days are nobody's, and the database does not
/// know all of them.
pub(super) fn insist_on_years(days: &[(&str, Option<NaiveDate>)]) -> Result<(), DeskError> {
    let mut check = Check::default();
    for (pointer, day) in days {
        if day.is_some_and(|day| !(0..=9_999).contains(&day.year())) {
            check.wrong(*pointer, "must be a day of the years 0000 to 9999");
        }
    }
    check.done()
}

/// Collects what is wrong with an input, so that all of it is told at once.
#[derive(Debug, Default, Clone)]
pub(super) struct Check {
    errors: Vec<FieldError>,
    malformed: bool,
}

impl Check {
    /// Notes an error.
    pub(super) fn wrong(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        self.malformed = true;
        self.errors.push(FieldError::new(pointer, detail));
    }

    /// Notes a field that is well formed, but does not go with others, with the records or
    /// with the clock.
    pub(super) fn conflict(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        self.errors.push(FieldError::new(pointer, detail));
    }

    /// A name: of 1 to `longest` characters as it came, without control characters, then
    /// trimmed. Blanks count before they are cut off, so that the document can say so.
    pub(super) fn name(&mut self, pointer: &str, raw: &str, longest: usize) -> String {
        let name = raw.trim();
        if name.is_empty() || raw.chars().count() > longest {
            self.wrong(pointer, format!("must have 1 to {longest} characters"));
        } else if raw.chars().any(is_unprintable) {
            self.wrong(pointer, "must not hold control characters");
        }
        name.to_owned()
    }

    /// How much is wrong so far.
    pub(super) fn count(&self) -> usize {
        self.errors.len()
    }

    /// Everything that is wrong, for who tells it in another form.
    pub(super) fn into_errors(self) -> Vec<FieldError> {
        self.errors
    }

    /// The number of a flat, or what else a home is called.
    pub(super) fn flat(&mut self, raw: &str) -> String {
        self.name("/flat", raw, LONGEST_FLAT)
    }

    /// An e-mail address in the form in which it is stored.
    pub(super) fn email(&mut self, raw: &str) -> String {
        email(raw).unwrap_or_else(|| {
            self.wrong("/email", "must be an e-mail address");
            String::new()
        })
    }

    /// A phone number as people write it.
    pub(super) fn phone(&mut self, raw: &str) -> String {
        let phone = raw.trim();
        let digits = phone.chars().filter(char::is_ascii_digit).count();
        let known = |c: char| c.is_ascii_digit() || " +-./()".contains(c);
        if digits < 3 || raw.chars().count() > 30 || !raw.chars().all(known) {
            self.wrong("/phone", "must be a phone number of at most 30 characters");
        }
        phone.to_owned()
    }

    /// Roles, each once; at least one.
    pub(super) fn roles(&mut self, mut roles: Vec<Role>) -> Vec<Role> {
        if roles.is_empty() {
            self.wrong("/roles", "must name at least one role");
        }
        roles.sort_unstable();
        roles.dedup();
        roles
    }

    /// How many days before a turn somebody is reminded, the earliest letter first.
    pub(super) fn reminder_days(&mut self, days: &[u32]) -> Vec<u8> {
        let mut sane: Vec<u8> = (days.iter())
            .filter_map(|days| u8::try_from(*days).ok())
            .filter(|days| *days <= MOST_REMINDER_DAYS)
            .collect();
        sane.sort_unstable_by(|a, b| b.cmp(a));
        sane.dedup();
        if sane.len() < days.len() {
            let most = MOST_REMINDER_DAYS;
            self.wrong(
                "/reminder_days",
                format!("must hold numbers of days from 0 to {most}, each once"),
            );
        }
        sane
    }

    /// Nothing, or everything that is wrong. A conflict is only called one where nothing is
    /// malformed.
    pub(super) fn done(self) -> Result<(), DeskError> {
        if self.errors.is_empty() {
            Ok(())
        } else if self.malformed {
            Err(DeskError::Invalid(self.errors))
        } else {
            Err(DeskError::Conflicting(self.errors))
        }
    }
}

/// Control characters, and the marks that turn the direction of what follows: they would
/// let a name disturb the text around it.
pub(super) fn is_unprintable(c: char) -> bool {
    c.is_control() || matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
}

/// An e-mail address in the form in which it is stored: trimmed and in lower case. Whether
/// it exists only a letter can tell, so little is asked of it.
pub(super) fn email(raw: &str) -> Option<String> {
    let email = raw.trim().to_lowercase();
    let (local, domain) = email.rsplit_once('@')?;
    let sane = !local.is_empty()
        && local.len() <= 64
        && domain.len() >= 3
        && email.len() <= 254
        && domain.contains('.')
        && !domain.starts_with('.')
        && !domain.ends_with('.')
        && !email
            .chars()
            .any(|c| c.is_whitespace() || is_unprintable(c));
    sane.then_some(email)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_trimmed_and_kept_short_and_printable() {
        let mut check = Check::default();
        assert_eq!(check.name("/name", "  Elm Court ", 60), "Elm Court");
        assert_eq!(check.name("/name", "Łódź 🪱", 7), "Łódź 🪱");
        assert!(check.done().is_ok());
        for bad in [
            "",
            "   ",
            "a\u{0}b",
            "a\nb",
            "\u{202E}olleh",
            &"x".repeat(61),
        ] {
            let mut check = Check::default();
            check.name("/name", bad, 60);
            assert!(check.done().is_err(), "{bad:?}");
        }
    }

    #[test]
    fn phone_numbers_are_taken_as_people_write_them() {
        for good in ["112", " +1 (312) 555-0117 ", "030/12.34.56"] {
            let mut check = Check::default();
            assert_eq!(check.phone(good), good.trim());
            assert!(check.done().is_ok(), "{good}");
        }
        for bad in ["", "12", "call me", "1 2 3\n", &"1".repeat(31)] {
            let mut check = Check::default();
            check.phone(bad);
            assert!(check.done().is_err(), "{bad:?}");
        }
    }

    #[test]
    fn addresses_are_stored_in_lower_case() {
        assert_eq!(
            email(" Ada@Example.ORG "),
            Some("ada@example.org".to_owned())
        );
        for bad in [
            "",
            "ada",
            "@example.org",
            "ada@",
            "ada@org",
            "a da@example.org",
            "ada@.org",
        ] {
            assert_eq!(email(bad), None, "{bad:?}");
        }
        assert_eq!(email(&format!("{}@example.org", "x".repeat(65))), None);
    }
}
