//! Where a figure or a rule comes from.

use std::fmt;

/// The origin of a figure or a rule; it travels with the figure and can be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// Read in a text of the named source.
    Read(&'static str),
    /// Remembered from the named work and not looked up again: prefer another.
    FromMemory(&'static str),
    /// Arithmetic from the named inputs.
    Reckoned(&'static str),
    /// This project's own suggestion, with what it leans on.
    OwnSuggestion(&'static str),
    /// What keepers of worm bins commonly do; no text is named.
    CommonPractice,
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Read(what) => f.write_str(what),
            Self::FromMemory(what) => write!(f, "from memory: {what}"),
            Self::Reckoned(what) => write!(f, "reckoned from {what}"),
            Self::OwnSuggestion(what) => write!(f, "own suggestion: {what}"),
            Self::CommonPractice => f.write_str("common practice, no source"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_that_was_not_read_says_so() {
        assert_eq!(
            Source::FromMemory("NRAES-54 App. A").to_string(),
            "from memory: NRAES-54 App. A"
        );
        assert_eq!(
            Source::CommonPractice.to_string(),
            "common practice, no source"
        );
    }
}
