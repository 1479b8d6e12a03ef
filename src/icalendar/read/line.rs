//! Content lines as they are read (RFC 5545, 3.1).

use super::refusal::{Refused, Why};
use std::borrow::Cow;

/// A property as it stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// Where it begins, from 1.
    pub(super) number: usize,
    /// The name, in capitals.
    pub(super) name: String,
    parameters: Vec<(String, String)>,
    /// The value, without blanks around it.
    pub(super) value: String,
}

impl Line {
    /// The value of a parameter, by its name in capitals.
    pub(super) fn parameter(&self, name: &str) -> Option<&str> {
        let found = self.parameters.iter().find(|(other, _)| other == name);
        found.map(|(_, value)| value.as_str())
    }

    /// Reads an unfolded line.
    pub(super) fn read(number: usize, octets: &[u8]) -> Result<Self, Refused> {
        let text = str::from_utf8(octets).map_err(|_| Why::NotUtf8.at(number))?;
        let malformed = || Why::Malformed.at(number);
        let (head, value) = split_once(text, ':').ok_or_else(malformed)?;
        let mut pieces = Vec::new();
        let mut rest = head;
        while let Some((piece, more)) = split_once(rest, ';') {
            pieces.push(piece);
            rest = more;
        }
        pieces.push(rest);
        let mut pieces = pieces.into_iter();
        let name = pieces.next().and_then(token).ok_or_else(malformed)?;
        let parameters: Option<Vec<_>> = pieces
            .map(|piece| {
                let (name, value) = piece.split_once('=')?;
                Some((token(name)?, value.trim_matches('"').to_owned()))
            })
            .collect();
        Ok(Self {
            number,
            name,
            parameters: parameters.ok_or_else(malformed)?,
            value: value.trim().to_owned(),
        })
    }
}

/// A name, in capitals.
fn token(text: &str) -> Option<String> {
    let fine = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-';
    (!text.is_empty() && text.bytes().all(fine)).then(|| text.to_ascii_uppercase())
}

/// Splits at the first separator that does not stand in quotation marks.
fn split_once(text: &str, separator: char) -> Option<(&str, &str)> {
    let mut within = false;
    let at = text.find(|character| {
        within ^= character == '"';
        !within && character == separator
    })?;
    Some((&text[..at], &text[at + separator.len_utf8()..]))
}

/// The lines of a text with what was folded put together again, each with the number of its
/// first; empty ones left out. A sequence of UTF-8 may be folded too.
pub(super) fn unfolded(text: &[u8]) -> Vec<(usize, Cow<'_, [u8]>)> {
    let text = text.strip_prefix(b"\xef\xbb\xbf").unwrap_or(text);
    let mut found: Vec<(usize, Cow<'_, [u8]>)> = Vec::new();
    for (before, line) in text.split(|byte| *byte == b'\n').enumerate() {
        let line = line.strip_suffix(b"\r").unwrap_or(line);
        match (line, found.last_mut()) {
            ([], _) => {}
            ([b' ' | b'\t', rest @ ..], Some((_, first))) => first.to_mut().extend(rest),
            _ => found.push((before + 1, Cow::Borrowed(line))),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Guards against values that are cut at a colon or a semicolon within quotation marks.
    #[test]
    fn a_line_is_split_outside_of_quotation_marks() {
        let line = Line::read(7, b"dtstart;X-A=\"a:b;c\";tzid=Europe/Lisbon: 20261201 ").unwrap();
        assert_eq!((line.number, line.name.as_str()), (7, "DTSTART"));
        assert_eq!(line.value, "20261201");
        assert_eq!(line.parameter("TZID"), Some("Europe/Lisbon"));
        assert_eq!(line.parameter("X-A"), Some("a:b;c"));
        assert_eq!(line.parameter("VALUE"), None);
        for bad in ["", "DTSTART", ":x", "A B:x", "A;B:x", "A;=c:x", "A\":x"] {
            assert_eq!(
                Line::read(3, bad.as_bytes()),
                Err(Why::Malformed.at(3)),
                "{bad}"
            );
        }
        assert_eq!(Line::read(3, b"A:\xff"), Err(Why::NotUtf8.at(3)));
    }

    /// Guards line numbers, and names that are folded in the middle of a character.
    #[test]
    fn folded_lines_are_put_together_and_counted() {
        let text = b"\xef\xbb\xbfA:\xc3\r\n \xa9\r\n\r\nB:1\n\t2\nC:3\r\n";
        let lines = unfolded(text);
        let shown: Vec<(usize, &str)> = lines
            .iter()
            .map(|(number, line)| (*number, str::from_utf8(line).unwrap()))
            .collect();
        assert_eq!(shown, [(1, "A:é"), (4, "B:12"), (6, "C:3")]);
    }
}
