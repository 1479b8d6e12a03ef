//! Content lines (RFC 5545, 3.1): how they are folded, and what a value may hold.

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};

/// The most octets of a line, its end left out.
const MOST_OCTETS: usize = 75;

/// Lines of a calendar as they are written.
#[derive(Debug, Default)]
pub(super) struct Lines(String);

impl Lines {
    /// A property whose value is written as it is: `name` may have parameters.
    pub(super) fn put(&mut self, name: &str, value: &str) {
        let mut octets = 0;
        for character in name.chars().chain(":".chars()).chain(value.chars()) {
            if octets + character.len_utf8() > MOST_OCTETS {
                self.0.push_str("\r\n ");
                octets = 1;
            }
            self.0.push(character);
            octets += character.len_utf8();
        }
        self.0.push_str("\r\n");
    }

    /// A property whose value is TEXT.
    pub(super) fn text(&mut self, name: &str, value: &str) {
        self.put(name, &escaped(value));
    }

    /// A property whose value is TEXT, if there is one.
    pub(super) fn text_if(&mut self, name: &str, value: Option<&str>) {
        if let Some(value) = value {
            self.text(name, value);
        }
    }

    /// A property whose value is an instant.
    pub(super) fn instant(&mut self, name: &str, at: DateTime<Utc>) {
        self.put(name, &format!("{}Z", wall(at.naive_utc())));
    }

    /// The text of all lines.
    pub(super) fn into_text(self) -> String {
        self.0
    }
}

/// A DATE.
pub(super) fn date(day: NaiveDate) -> String {
    day.format("%Y%m%d").to_string()
}

/// A DATE-TIME of a clock on a wall.
pub(super) fn wall(at: NaiveDateTime) -> String {
    at.format("%Y%m%dT%H%M%S").to_string()
}

/// TEXT (RFC 5545, 3.3.11). Characters that only control a terminal are left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut before = None;
    for character in text.chars() {
        match character {
            '\n' if before == Some('\r') => {}
            '\r' | '\n' | '\u{85}' | '\u{2028}' | '\u{2029}' => out.push_str("\\n"),
            '\\' | ';' | ',' => out.extend(['\\', character]),
            '\t' => out.push(character),
            _ if character.is_control() => {}
            _ => out.push(character),
        }
        before = Some(character);
    }
    out
}

/// The value of a parameter, in quotation marks; those within are written as RFC 6868 has it.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for character in text.chars() {
        match character {
            '"' => out.push_str("^'"),
            '^' => out.push_str("^^"),
            _ if character.is_control() => {}
            _ => out.push(character),
        }
    }
    out.push('"');
    out
}

/// What may not stand in a part of a URI as it is, percent-encoded (RFC 3986, 2.1).
pub(super) fn percent_encoded(text: &str, may_stand: fn(u8) -> bool) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) || may_stand(byte) {
            out.push(char::from(byte));
        } else {
            out.extend(format!("%{byte:02X}").chars());
        }
    }
    out
}
