//! Why the text of a calendar, or an event in it, is not taken.

use super::{MOST_BYTES, MOST_EVENTS, MOST_SPANS};
use thiserror::Error;
use wormrota_domain::turns::Refusal;

/// What is not taken, and where.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("line {line}: {why}")]
pub struct Refused {
    /// The line of the text, from 1, as an editor shows it: folded lines count.
    pub line: usize,
    /// What is wrong.
    pub why: Why,
}

/// What is wrong. Each has a [`code`](Why::code) that never changes.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Why {
    /// The text is too long.
    #[error("the calendar has {bytes} bytes: at most {MOST_BYTES}")]
    TooLong {
        /// Its length.
        bytes: usize,
    },
    /// Something other than a calendar.
    #[error("BEGIN:VCALENDAR is missing")]
    NoCalendar,
    /// A calendar of a method that tells nobody when something is.
    #[error("a calendar with METHOD {found:?} says nothing that could be taken")]
    Method {
        /// The method.
        found: String,
    },
    /// A component that is not closed, or closed without being open.
    #[error("BEGIN and END do not match")]
    Unbalanced,
    /// More events than are read.
    #[error("there are more than {MOST_EVENTS} events")]
    TooManyEvents,
    /// More spans than a site can be given.
    #[error("there are {found} spans of closed days: at most {MOST_SPANS}")]
    TooManySpans {
        /// How many.
        found: usize,
    },
    /// A line that is not a name and a value.
    #[error("the line is not NAME:VALUE")]
    Malformed,
    /// A line that is not UTF-8.
    #[error("the line is not UTF-8")]
    NotUtf8,
    /// A property that may stand in an event once.
    #[error("{property} stands there twice")]
    Twice {
        /// The property.
        property: &'static str,
    },
    /// A value that the property cannot have.
    #[error("{property} cannot be {found:?}: it must be {form}")]
    Value {
        /// The property.
        property: &'static str,
        /// The value, or how it begins.
        found: String,
        /// How it should read.
        form: &'static str,
    },
    /// What the standard knows and is not read here.
    #[error("{what} is not read")]
    NotRead {
        /// What it is.
        what: &'static str,
    },
    /// An event without a start.
    #[error("DTSTART is missing")]
    NoStart,
    /// A name that is not in the IANA database: whose clocks are meant is not known.
    #[error("there is no time zone {name:?} in the IANA database")]
    UnknownZone {
        /// The name, or how it begins.
        name: String,
    },
    /// Two ends.
    #[error("DTEND and DURATION do not go together")]
    TwoEnds,
    /// An end that does not come after the start.
    #[error("the event does not end after it starts")]
    EndsTooEarly,
    /// A day where the start is a time, or the other way round.
    #[error("{property} and DTSTART must both be days or both be times")]
    Mixed {
        /// The property.
        property: &'static str,
    },
    /// An event of some hours: whether the site is shut on its day, only a human can say.
    #[error("no day lies in the event as a whole")]
    NoWholeDay,
    /// A recurrence rule that is not taken.
    #[error(transparent)]
    Rule(#[from] Refusal),
    /// Rules that take too long to work out.
    #[error("the recurrence rules up to here give too many days")]
    TooManyDays,
    /// Two events with one UID and one SEQUENCE.
    #[error("an event with this UID stands there already")]
    UidTwice,
    /// A changed occurrence of an event that it does not name.
    #[error("RECURRENCE-ID needs a UID")]
    NoUid,
}

impl Why {
    /// The stable code: it never changes and is never used again for something else.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::TooLong { .. } => "calendar_too_long",
            Self::NoCalendar => "calendar_missing",
            Self::Method { .. } => "calendar_method",
            Self::Unbalanced => "component_unbalanced",
            Self::TooManyEvents => "events_too_many",
            Self::TooManySpans { .. } => "spans_too_many",
            Self::Malformed => "line_malformed",
            Self::NotUtf8 => "line_not_utf8",
            Self::Twice { .. } => "property_twice",
            Self::Value { .. } => "property_value",
            Self::NotRead { .. } => "property_not_read",
            Self::NoStart => "dtstart_missing",
            Self::UnknownZone { .. } => "tzid_unknown",
            Self::TwoEnds => "dtend_with_duration",
            Self::EndsTooEarly => "ends_too_early",
            Self::Mixed { .. } => "day_with_time",
            Self::NoWholeDay => "no_whole_day",
            Self::Rule(refusal) => refusal.code(),
            Self::TooManyDays => "days_too_many",
            Self::UidTwice => "uid_twice",
            Self::NoUid => "uid_missing",
        }
    }

    pub(super) const fn at(self, line: usize) -> Refused {
        Refused { line, why: self }
    }
}

/// How a value that others wrote begins: an answer repeats no more of it.
pub(super) fn beginning(text: &str) -> String {
    text.chars().take(40).collect()
}
