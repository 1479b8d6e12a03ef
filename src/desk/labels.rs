//! What a pupil is called: a first name or initials and nothing else.

use super::fields::is_unprintable;
use std::fmt;

/// Characters of a label.
pub(super) const LONGEST: usize = 30;

/// Marks that a label may hold besides letters and blanks.
const MARKS: &str = "'-.";

/// Why something is no label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BadLabel {
    /// It holds what stands in no first name, such as a digit, or no letter at all.
    Form,
    /// It is longer than [`LONGEST`].
    Long,
    /// It has more than two words besides initials: that would be a whole name.
    Words,
}

impl BadLabel {
    /// What a label must be.
    pub(super) const fn detail(self) -> &'static str {
        match self {
            Self::Form => {
                "must be a first name or initials: letters, blanks, apostrophes, hyphens and full stops"
            }
            Self::Long => "must have at most 30 characters",
            Self::Words => "must be a first name or initials: at most two words besides initials",
        }
    }
}

/// Takes a label as it was typed; blanks become single ones.
pub(super) fn label(raw: &str) -> Result<String, BadLabel> {
    if !raw.chars().all(may_stand) || !raw.chars().any(is_letter) {
        return Err(BadLabel::Form);
    }
    let words: Vec<&str> = raw.split_whitespace().collect();
    let label = words.join(" ");
    // Blanks count before they are made single ones, so that the document can say so.
    if raw.chars().count() > LONGEST {
        return Err(BadLabel::Long);
    }
    let whole = |word: &&&str| word.trim_end_matches('.').chars().count() > 1;
    if words.iter().filter(whole).count() > 2 {
        return Err(BadLabel::Words);
    }
    Ok(label)
}

/// Whether a character may stand in a label. `api::classes` says the same as a pattern.
pub(super) fn may_stand(c: char) -> bool {
    if c.is_ascii() {
        c == ' ' || is_letter(c) || MARKS.contains(c)
    } else {
        !is_unprintable(c)
    }
}

fn is_letter(c: char) -> bool {
    c.is_ascii_alphabetic() || (!c.is_ascii() && !c.is_whitespace() && !is_unprintable(c))
}

/// What two labels must not share in one class: nobody could tell their pupils apart.
pub(super) fn alike(label: &str) -> String {
    label.to_lowercase().replace('.', "")
}

/// Where a label stands in a pasted text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    line: usize,
    /// Which of several on the line.
    entry: Option<usize>,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}", self.line)?;
        self.entry
            .map_or(Ok(()), |entry| write!(f, ", entry {entry}"))
    }
}

/// The labels of a text that was pasted in one go, one a line or several with commas,
/// semicolons or tabs between them. Blank ones are left out.
pub(super) fn pasted(text: &str) -> Vec<(Place, &str)> {
    let mut found = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let parts: Vec<&str> = line
            .split([',', ';', '\t', '\r'])
            .map(str::trim)
            .filter(|part| !part.is_empty())
            .collect();
        let several = parts.len() > 1;
        found.extend(parts.into_iter().enumerate().map(|(entry, part)| {
            let place = Place {
                line: index + 1,
                entry: several.then_some(entry + 1),
            };
            (place, part)
        }));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn first_names_and_initials_are_labels() {
        for (raw, kept) in [
            ("Ana", "Ana"),
            (" Bo  K. ", "Bo K."),
            ("J. R. R.", "J. R. R."),
            ("Ana María G.", "Ana María G."),
            ("O'Neil", "O'Neil"),
            ("Zoë-Lou", "Zoë-Lou"),
            ("小明", "小明"),
            ("x", "x"),
        ] {
            assert_eq!(label(raw), Ok(kept.to_owned()));
        }
    }

    #[test]
    fn whole_names_numbers_and_addresses_are_not() {
        let long = "x".repeat(31);
        for (raw, why) in [
            ("", BadLabel::Form),
            (" . ", BadLabel::Form),
            ("Ana 2", BadLabel::Form),
            ("ana@x", BadLabel::Form),
            ("=Ana", BadLabel::Form),
            ("Ana\u{202E}", BadLabel::Form),
            ("Ana\nBo", BadLabel::Form),
            (long.as_str(), BadLabel::Long),
            ("Ana María García", BadLabel::Words),
        ] {
            assert_eq!(label(raw), Err(why), "{raw:?}");
        }
    }

    #[test]
    fn labels_that_look_alike_are_alike() {
        assert_eq!(alike("Bo K."), alike("bo k"));
        assert_ne!(alike("Bo K."), alike("Bo L."));
    }

    #[test]
    fn a_pasted_text_is_taken_apart_at_lines_and_commas() {
        let found = pasted("Ana\r\n\nBo K.,Cy;Di\n");
        let shown: Vec<(String, &str)> = found
            .into_iter()
            .map(|(place, label)| (place.to_string(), label))
            .collect();
        let expected = [
            ("line 1", "Ana"),
            ("line 3, entry 1", "Bo K."),
            ("line 3, entry 2", "Cy"),
            ("line 3, entry 3", "Di"),
        ];
        let expected = expected.map(|(place, label)| (place.to_owned(), label));
        assert_eq!(shown, expected);
    }
}
