//! Dates and times without anything between their digits, as ISO 8601 calls basic and RFC 5545
//! writes them.

use chrono::{NaiveDate, NaiveTime};

/// A day, such as `20261231`.
#[must_use]
pub fn basic_date(text: &str) -> Option<NaiveDate> {
    if !all_digits(text, 8) {
        return None;
    }
    NaiveDate::from_ymd_opt(
        text.get(..4)?.parse().ok()?,
        two_digits(text, 4)?,
        two_digits(text, 6)?,
    )
}

/// A time of day, such as `235959`; 60 is a leap second (RFC 5545, 3.3.12), read as 59.
#[must_use]
pub fn basic_time(text: &str) -> Option<NaiveTime> {
    if !all_digits(text, 6) {
        return None;
    }
    let second = two_digits(text, 4).filter(|second| *second <= 60)?;
    NaiveTime::from_hms_opt(two_digits(text, 0)?, two_digits(text, 2)?, second.min(59))
}

/// Two digits at `at`.
fn two_digits(text: &str, at: usize) -> Option<u32> {
    text.get(at..at + 2)?.parse().ok()
}

fn all_digits(text: &str, length: usize) -> bool {
    text.len() == length && text.bytes().all(|byte| byte.is_ascii_digit())
}
