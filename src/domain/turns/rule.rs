//! From a text to the parts of a rule: what is written, before it is known whether it makes
//! sense together.

use super::part::{Frequency, Part};
use super::refusal::Refusal;
use super::values::{self, MANY};
use chrono::{NaiveDate, Weekday};

/// The longest text. Ours: all parts with every sensible value fit several times.
pub(super) const MOST_BYTES: usize = 500;
/// The largest interval. Ours: with more, a span of three years holds one period.
const MOST_INTERVAL: u16 = 1_098;

/// A day of the week; numbered, the nth of its month or year, from the end if negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NamedDay {
    pub(super) number: Option<i16>,
    pub(super) weekday: Weekday,
}

/// The parts of a rule. Lists are empty where a part is not written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rule {
    pub(super) frequency: Frequency,
    pub(super) interval: u16,
    pub(super) count: Option<u32>,
    pub(super) until: Option<NaiveDate>,
    pub(super) week_start: Weekday,
    pub(super) months: Vec<u8>,
    pub(super) week_numbers: Vec<i16>,
    pub(super) year_days: Vec<i16>,
    pub(super) month_days: Vec<i16>,
    pub(super) named_days: Vec<NamedDay>,
    pub(super) positions: Vec<i16>,
}

impl Rule {
    /// Reads the value of an RRULE property: each part at most once, with values it can have.
    pub(super) fn read(text: &str) -> Result<Self, Refusal> {
        if text.len() > MOST_BYTES {
            return Err(Refusal::TooLong { bytes: text.len() });
        }
        if !text.is_ascii() {
            return Err(Refusal::NotAscii);
        }
        let mut written = Vec::new();
        for (at, piece) in text.split(';').enumerate() {
            let malformed = Refusal::Malformed { position: at + 1 };
            let Some((name, value)) = piece.split_once('=') else {
                return Err(malformed);
            };
            if name.is_empty() || value.is_empty() {
                return Err(malformed);
            }
            let part = Part::named(name).ok_or_else(|| Refusal::UnknownPart {
                name: name.to_owned(),
            })?;
            if written.iter().any(|(other, _)| *other == part) {
                return Err(Refusal::Twice(part));
            }
            written.push((part, value));
        }
        Self::of_parts(&written)
    }

    fn of_parts(written: &[(Part, &str)]) -> Result<Self, Refusal> {
        let (_, frequency) = written
            .iter()
            .find(|(part, _)| *part == Part::Freq)
            .ok_or(Refusal::NoFrequency)?;
        let mut rule = Self {
            frequency: values::frequency(frequency)?,
            interval: 1,
            count: None,
            until: None,
            week_start: Weekday::Mon,
            months: Vec::new(),
            week_numbers: Vec::new(),
            year_days: Vec::new(),
            month_days: Vec::new(),
            named_days: Vec::new(),
            positions: Vec::new(),
        };
        for &(part, text) in written {
            match part {
                Part::Freq => {}
                Part::Until => rule.until = Some(values::until(text)?),
                Part::Count => rule.count = Some(values::number(part, text, MANY, 1..=u32::MAX)?),
                Part::Interval => {
                    rule.interval = values::number(part, text, MANY, 1..=MOST_INTERVAL)?;
                }
                Part::BySecond | Part::ByMinute | Part::ByHour => {
                    return Err(Refusal::TooFine(part));
                }
                Part::ByDay => rule.named_days = values::named_days(text)?,
                Part::ByMonthDay => rule.month_days = values::signed(part, text, 31)?,
                Part::ByYearDay => rule.year_days = values::signed(part, text, 366)?,
                Part::ByWeekNo => rule.week_numbers = values::signed(part, text, 53)?,
                Part::ByMonth => {
                    rule.months = text
                        .split(',')
                        .map(|one| values::number(part, one, 2, 1..=12))
                        .collect::<Result<_, _>>()?;
                }
                Part::BySetPos => rule.positions = values::signed(part, text, 366)?,
                Part::Wkst => rule.week_start = values::weekday(part, text)?,
            }
        }
        Ok(rule)
    }
}
