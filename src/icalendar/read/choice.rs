//! Which events of a calendar are meant, by their names.

/// The longest name that is shown.
const LONGEST: usize = 80;

/// Which events count, by what stands in their names, whatever its letters' case.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// Only those with one of these in their names; all without any.
    pub only: Vec<String>,
    /// None of those with one of these.
    pub without: Vec<String>,
}

impl Choice {
    /// Whether an event of this name counts.
    pub(super) fn counts(&self, name: Option<&str>) -> bool {
        let name = name.unwrap_or_default().to_lowercase();
        let has = |parts: &[String]| parts.iter().any(|part| name.contains(&part.to_lowercase()));
        (self.only.is_empty() || has(&self.only)) && !has(&self.without)
    }
}

/// A text as it is shown (RFC 5545, 3.3.11): without escapes and control characters, and cut.
pub(super) fn shown(text: &str) -> Option<String> {
    let mut found = String::new();
    let mut chars = text.chars();
    while let Some(char) = chars.next() {
        let char = match char {
            '\\' => match chars.next() {
                Some('n' | 'N') | None => ' ',
                Some(escaped) => escaped,
            },
            plain => plain,
        };
        found.push(if char.is_control() { ' ' } else { char });
    }
    let found = found.trim();
    let cut: String = found.chars().take(LONGEST).collect();
    let is_cut = cut.len() < found.len();
    (!cut.is_empty()).then(|| if is_cut { cut + "…" } else { cut })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects whoever looks at a preview from what a calendar's text can hold.
    #[test]
    fn names_are_shown_without_escapes_and_cut() {
        assert_eq!(
            shown("Fall\\, or\\nautumn\\; \u{7}x").unwrap(),
            "Fall, or autumn;  x"
        );
        assert_eq!(shown("  "), None);
        assert_eq!(shown(&"é".repeat(81)).unwrap().chars().count(), 81);
    }
}
