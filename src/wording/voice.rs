//! How one reader wants things said, and how parts become sentences.

use super::texts;
use fluent_bundle::FluentValue;
use std::collections::BTreeMap;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::food::{Container, Paper};
use wormrota_domain::ids::BinId;
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::speech::SpeechOf;

/// How one reader wants things said.
#[derive(Debug, Clone, PartialEq)]
pub struct Voice {
    /// The language.
    pub language: Language,
    /// The units.
    pub units: UnitSystem,
    /// The zone in which days are meant.
    pub zone: SiteZone,
    /// The paper in whose sheets bedding is counted.
    pub paper: Paper,
    /// The containers that the site has given names to; the kitchen's own where there are
    /// none.
    pub containers: Vec<Container>,
}

/// What the bins of a site are called.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Names(BTreeMap<BinId, String>);

impl Names {
    /// The name of a bin, if it is known.
    #[must_use]
    pub fn bin(&self, id: BinId) -> Option<&str> {
        self.0.get(&id).map(String::as_str)
    }
}

impl FromIterator<(BinId, String)> for Names {
    fn from_iter<I: IntoIterator<Item = (BinId, String)>>(names: I) -> Self {
        Self(names.into_iter().collect())
    }
}

/// The parts of a message that change.
pub(super) type Arg<'a> = (&'static str, FluentValue<'a>);

impl Voice {
    /// The voice in which a reader wants things said.
    #[must_use]
    pub fn of(speech: &SpeechOf) -> Self {
        Self {
            language: speech.language,
            units: speech.units,
            zone: speech.zone,
            paper: speech.paper,
            containers: speech.containers.clone(),
        }
    }

    /// English and metric, for what is not said at a site.
    #[must_use]
    pub fn plain_english() -> Self {
        Self::of(&SpeechOf::plain_english())
    }

    pub(super) fn say<const N: usize>(&self, id: &str, args: [Arg<'_>; N]) -> String {
        texts::say(self.language, id, None, &args.into_iter().collect())
    }

    pub(super) fn say_part<const N: usize>(
        &self,
        id: &str,
        attribute: &str,
        args: [Arg<'_>; N],
    ) -> String {
        texts::say(
            self.language,
            id,
            Some(attribute),
            &args.into_iter().collect(),
        )
    }

    /// A part as a sentence of its own: with a capital and a full stop.
    pub(super) fn sentence(&self, part: &str) -> String {
        let mut letters = part.chars();
        let raised = letters.next().map_or_else(String::new, |first| {
            first.to_uppercase().chain(letters).collect()
        });
        self.say("full-stop", [("sentence", raised.into())])
    }

    /// "a, b and c".
    pub(super) fn list(&self, items: &[String]) -> String {
        self.list_with("list-last", items)
    }

    /// "a, b or c".
    pub(super) fn one_of(&self, items: &[String]) -> String {
        self.list_with("list-or", items)
    }

    fn list_with(&self, last_by: &str, items: &[String]) -> String {
        let Some((last, rest)) = items.split_last() else {
            return String::new();
        };
        if rest.is_empty() {
            return last.clone();
        }
        self.say(
            last_by,
            [
                ("list", self.row(rest).into()),
                ("last", last.into()),
                ("sound", first_sound(last).into()),
            ],
        )
    }

    /// "a, b, c and 4 more": at most three by name.
    pub(super) fn short_list(&self, items: &[String]) -> String {
        const NAMED: usize = 3;
        let more = items.len().saturating_sub(NAMED);
        // To say "and one more" takes as long as to name it.
        if more <= 1 {
            return self.list(items);
        }
        let named: Vec<String> = items.iter().take(NAMED).cloned().collect();
        self.say(
            "list-more",
            [("list", self.row(&named).into()), ("count", more.into())],
        )
    }

    fn row(&self, items: &[String]) -> String {
        self.join("list-next", items)
    }

    /// Steps to take, one after the other.
    pub(super) fn steps(&self, steps: &[String]) -> String {
        self.join("list-steps", steps)
    }

    fn join(&self, id: &str, items: &[String]) -> String {
        let joined = items.iter().cloned().reduce(|list, next| {
            let args = [("list", list.into()), ("next", next.into())];
            self.say(id, args)
        });
        joined.unwrap_or_default()
    }
}

/// How a word begins to the ear, as far as a joining word depends on it: "i" for an i that
/// is a vowel of its own ("higos" but not "hierbas"), "o" for an o, else "other".
fn first_sound(word: &str) -> &'static str {
    let mut letters = word.chars().flat_map(char::to_lowercase).peekable();
    letters.next_if_eq(&'h');
    if letters.peek().is_some_and(|c| matches!(c, 'o' | 'ó')) {
        return "o";
    }
    let is_i = letters.next_if(|c| matches!(c, 'i' | 'í')).is_some();
    let glides = letters
        .peek()
        .is_some_and(|c| matches!(c, 'a' | 'e' | 'o' | 'u' | 'á' | 'é' | 'ó' | 'ú'));
    if is_i && !glides { "i" } else { "other" }
}
