//! What is to be said, before it is words: a code with values.

use crate::units::{Celsius, Grams};
use chrono::{DateTime, NaiveDate, Utc};

/// Something to be said: the code of a text, and what goes into it.
#[derive(Debug, Clone, PartialEq)]
pub struct Phrase {
    /// Which text.
    pub code: &'static str,
    /// What goes into it, by name.
    pub values: Vec<(&'static str, Value)>,
}

/// What goes into a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A name, as somebody typed it.
    Text(String),
    /// A choice among the variants of a text.
    Code(&'static str),
    /// How many.
    Count(u64),
    /// Names, one after the other.
    List(Vec<String>),
    /// Names of which one will do.
    OneOf(Vec<String>),
    /// An amount that must not be shown as more than it is.
    AtMost(Grams),
    /// An amount that must not be shown as less than it is.
    AtLeast(Grams),
    /// The same as [`Self::AtMost`], also in what the site measures scraps with.
    Scraps(Grams),
    /// What to do to mix in at least so much dry bedding.
    Bedding(Grams),
    /// Foods or groups of foods, by their keys.
    Foods(Vec<String>),
    /// A temperature.
    Degrees(Celsius),
    /// The date of an instant: "Thursday 10 September".
    Date(DateTime<Utc>),
    /// A local date in the same form.
    LocalDate(NaiveDate),
    /// The day of an instant: "today", "on Thursday 10 September".
    OnDay(DateTime<Utc>),
    /// A local day in the same form.
    OnLocalDay(NaiveDate),
    /// The time that a clock on the site's wall shows: "18:05".
    Time(DateTime<Utc>),
    /// The moment until which something can be done: "Thursday 10 September at 18:05", or "the
    /// end of Thursday 10 September" where the next day begins.
    Until(DateTime<Utc>),
    /// The name of the site's time zone.
    Zone,
    /// Water that is asked for, in millilitres.
    Water(i64),
    /// Another phrase.
    Phrase(Box<Phrase>),
}

impl Phrase {
    /// A text into which nothing goes.
    #[must_use]
    pub const fn of(code: &'static str) -> Self {
        Self {
            code,
            values: Vec::new(),
        }
    }

    /// The same with a value.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: Value) -> Self {
        self.values.push((name, value));
        self
    }

    /// The same with a name, as somebody typed it.
    #[must_use]
    pub fn with_text(self, name: &'static str, text: &str) -> Self {
        self.with(name, Value::Text(text.to_owned()))
    }
}
