//! Why a rhythm or a window is not taken.

use super::part::{Frequency, Part};
use thiserror::Error;

/// What is wrong. Each has a [`code`](Refusal::code) that never changes.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Refusal {
    /// The text is too long.
    #[error("the rule has {bytes} bytes: at most {}", super::rule::MOST_BYTES)]
    TooLong {
        /// Its length.
        bytes: usize,
    },
    /// The text holds something other than ASCII.
    #[error("the rule holds a character that is not ASCII")]
    NotAscii,
    /// A part that is not a name and a value with `=` between them.
    #[error("part {position} is not NAME=VALUE")]
    Malformed {
        /// Which part, from 1.
        position: usize,
    },
    /// A part that RFC 5545 does not know; RSCALE and SKIP of RFC 7529 are not read either.
    #[error("there is no part {name:?}")]
    UnknownPart {
        /// Its name.
        name: String,
    },
    /// The same part twice.
    #[error("{} stands there twice", .0.name())]
    Twice(Part),
    /// No FREQ.
    #[error("FREQ is missing")]
    NoFrequency,
    /// Finer than a day: what repeats within a day, or a time of day.
    #[error("{}: a turn is a whole day", .0.name())]
    TooFine(Part),
    /// A value that the part cannot have.
    #[error("{}: {found:?} cannot be", .part.name())]
    Value {
        /// The part.
        part: Part,
        /// The value.
        found: String,
    },
    /// A part that the standard forbids with this frequency.
    #[error("{} does not go with {}", .part.name(), .frequency.code())]
    Frequency {
        /// The part.
        part: Part,
        /// The frequency.
        frequency: Frequency,
    },
    /// A numbered day of the week with a frequency that is neither monthly nor yearly.
    #[error("a numbered day goes only with MONTHLY and YEARLY")]
    NumberedDay,
    /// A part that does not go with week numbers: numbered days by the standard; INTERVAL and
    /// BYSETPOS because it leaves open to which year the days of a week on New Year belong.
    #[error("{} does not go with BYWEEKNO", .0.name())]
    WithWeekNumber(Part),
    /// BYSETPOS with no other BY part.
    #[error("BYSETPOS needs another BY part")]
    PositionAlone,
    /// Two ends.
    #[error("UNTIL and COUNT do not go together")]
    UntilWithCount,
    /// UNTIL as a time in UTC: which local day that is depends on the zone.
    #[error("UNTIL must be a local day, not a time in UTC")]
    UntilInUtc,
    /// UNTIL lies before the first day.
    #[error("UNTIL lies before the first day")]
    UntilBeforeFirstDay,
    /// The last day lies before the first.
    #[error("the last day lies before the first")]
    LastDayBeforeFirstDay,
    /// A first day far from any calendar in use.
    #[error("the first day lies outside the years {} to {}", super::pattern::YEARS.start(), super::pattern::YEARS.end())]
    FirstDay,
    /// Neither UNTIL nor COUNT nor a last day.
    #[error("the rule never ends")]
    Endless,
    /// The first and the last day are too far apart.
    #[error("the rule spans {days} days: at most {}", super::pattern::MOST_DAYS)]
    SpanTooLong {
        /// How many days, both ends counted.
        days: i64,
    },
    /// COUNT is more than there can be days.
    #[error("COUNT is {count}: at most {}", super::pattern::MOST_DAYS)]
    TooManyDays {
        /// The count.
        count: u32,
    },
    /// Not all counted days lie within the span.
    #[error("only {found} of {count} days lie within the span")]
    CountBeyondSpan {
        /// How many do.
        found: usize,
        /// How many are counted.
        count: u32,
    },
    /// COUNT counts the first day, but the rule does not give it.
    #[error("COUNT begins with the first day, but the first day is not in the rule")]
    FirstDayNotInRule,
    /// The rule gives no day.
    #[error("the rule gives no day")]
    NoDays,
    /// A window that does not close after it opens.
    #[error("the window must close after it opens")]
    WindowBackwards,
}

impl Refusal {
    /// The stable code: it names the part, never changes and is never used again for
    /// something else.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::TooLong { .. } => "rule_too_long",
            Self::NotAscii => "rule_not_ascii",
            Self::Malformed { .. } => "rule_malformed",
            Self::UnknownPart { .. } => "rule_unknown_part",
            Self::Twice(part) => part.twice_code(),
            Self::NoFrequency => "freq_missing",
            Self::TooFine(part) => part.too_fine_code(),
            Self::Value { part, .. } => part.value_code(),
            Self::Frequency { part, .. } => part.frequency_code(),
            Self::NumberedDay => "byday_numbered",
            Self::WithWeekNumber(part) => part.week_number_code(),
            Self::PositionAlone => "bysetpos_alone",
            Self::UntilWithCount => "until_with_count",
            Self::UntilInUtc => "until_utc",
            Self::UntilBeforeFirstDay => "until_before_first_day",
            Self::LastDayBeforeFirstDay => "last_day_before_first_day",
            Self::FirstDay => "first_day_year",
            Self::Endless => "rule_endless",
            Self::SpanTooLong { .. } => "span_too_long",
            Self::TooManyDays { .. } => "count_too_many",
            Self::CountBeyondSpan { .. } => "count_beyond_span",
            Self::FirstDayNotInRule => "count_first_day",
            Self::NoDays => "rule_no_days",
            Self::WindowBackwards => "window_backwards",
        }
    }
}
