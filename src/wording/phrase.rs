//! Phrases in words: a text with its values as one reader reads them.

use super::amounts::Rounding;
use super::texts;
use super::voice::Voice;
use chrono::{DateTime, Utc};
use fluent_bundle::{FluentArgs, FluentValue};
use wormrota_domain::phrase::{Phrase, Value};

impl Voice {
    /// A phrase as it reads at `now`, without a capital or a full stop of its own.
    #[must_use]
    pub fn phrase(&self, phrase: &Phrase, now: DateTime<Utc>) -> String {
        let args: FluentArgs<'_> = (phrase.values.iter())
            .map(|(name, value)| (*name, self.value(value, now)))
            .collect();
        texts::say(self.language, phrase.code, None, &args)
    }

    /// A phrase as a sentence: with a capital and a full stop.
    #[must_use]
    pub fn sentence_of(&self, phrase: &Phrase, now: DateTime<Utc>) -> String {
        self.sentence(&self.phrase(phrase, now))
    }

    fn value(&self, value: &Value, now: DateTime<Utc>) -> FluentValue<'static> {
        match value {
            Value::Count(count) => (*count).into(),
            Value::Code(code) => (*code).into(),
            Value::Text(text) => on_one_line(text).into(),
            Value::List(names) => {
                let names: Vec<String> = names.iter().map(|name| on_one_line(name)).collect();
                self.list(&names).into()
            }
            Value::OneOf(names) => {
                let names: Vec<String> = names.iter().map(|name| on_one_line(name)).collect();
                self.one_of(&names).into()
            }
            Value::AtMost(amount) => self.amount(*amount, Rounding::Down).into(),
            Value::AtLeast(amount) => self.amount(*amount, Rounding::Up).into(),
            Value::Scraps(amount) => self.ordinary(*amount).into(),
            Value::Bedding(dry) => self.add_bedding(*dry).into(),
            Value::Foods(subjects) => self.subjects(subjects).into(),
            Value::Degrees(degrees) => self.temperature(*degrees).into(),
            Value::Date(at) => self.date(*at, now).into(),
            Value::LocalDate(day) => self.date(self.zone.start_of_day(*day), now).into(),
            Value::OnDay(at) => self.on_day(*at, now).into(),
            Value::OnLocalDay(day) => self.on_day(self.zone.start_of_day(*day), now).into(),
            Value::Time(at) => self.zone.local_time(*at).into(),
            Value::Until(at) => self.until(*at, now).into(),
            Value::Zone => self.zone.name().into(),
            Value::Water(millilitres) => self.water(*millilitres).into(),
            Value::Phrase(phrase) => self.phrase(phrase, now).into(),
        }
    }
}

/// What people typed holds no control characters; where it stands in the header of a letter
/// this does not take the database's word for it.
fn on_one_line(name: &str) -> String {
    name.replace(char::is_control, " ")
}
