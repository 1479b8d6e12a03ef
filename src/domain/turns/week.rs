//! Weeks of a year, for weeks that start on any day.

use chrono::{Datelike, Days, NaiveDate, Weekday};

/// The first day of the week that a day lies in.
pub(super) fn start(day: NaiveDate, week_start: Weekday) -> NaiveDate {
    day - Days::new(u64::from(day.weekday().days_since(week_start)))
}

/// The number of a day's week, from the first and from the last week of its year: 1 and -53
/// are the same week of a year with 53.
///
/// The first week is the first with four days in the year (RFC 5545, 3.3.10). So a week belongs
/// to the year of its fourth day, and that day counts the weeks.
pub(super) fn numbers(day: NaiveDate, week_start: Weekday) -> [i16; 2] {
    let fourth = start(day, week_start) + Days::new(3);
    // At most 52 sevenths of a year lie on either side.
    let sevenths = |days: u32| i16::try_from(days / 7).unwrap_or(i16::MAX);
    let length = if fourth.leap_year() { 366 } else { 365 };
    [
        1 + sevenths(fourth.ordinal0()),
        -1 - sevenths(length - 1 - fourth.ordinal0()),
    ]
}
