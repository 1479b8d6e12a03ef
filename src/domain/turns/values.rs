//! Values of the parts of a rule, exactly as the grammar of RFC 5545 has them: no blanks, no
//! sign where none may stand, nothing beyond its range.

use super::part::{Frequency, Part};
use super::refusal::Refusal;
use super::rule::NamedDay;
use crate::calendar::{basic_date, basic_time};
use chrono::{NaiveDate, Weekday};
use std::ops::RangeInclusive;
use std::str::FromStr;

/// The most digits of a number that the grammar does not bound: those of any count.
pub(super) const MANY: usize = 10;

fn wrong(part: Part, found: &str) -> Refusal {
    Refusal::Value {
        part,
        found: found.to_owned(),
    }
}

pub(super) fn frequency(text: &str) -> Result<Frequency, Refusal> {
    let upper = text.to_ascii_uppercase();
    match upper.as_str() {
        "SECONDLY" | "MINUTELY" | "HOURLY" => Err(Refusal::TooFine(Part::Freq)),
        _ => Frequency::from_code(&upper).ok_or_else(|| wrong(Part::Freq, text)),
    }
}

/// Up to `most_digits`, and digits only: a plus, which `FromStr` would take, is no part of the
/// grammar.
pub(super) fn number<N: FromStr + PartialOrd>(
    part: Part,
    text: &str,
    most_digits: usize,
    range: RangeInclusive<N>,
) -> Result<N, Refusal> {
    if text.len() > most_digits || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(wrong(part, text));
    }
    text.parse()
        .ok()
        .filter(|value| range.contains(value))
        .ok_or_else(|| wrong(part, text))
}

/// One number that may have a sign, from 1 to `most` either way.
fn signed_number(part: Part, text: &str, whole: &str, most: i16) -> Result<i16, Refusal> {
    let (digits, sign) = match text.as_bytes().first() {
        Some(b'-') => (&text[1..], -1),
        Some(b'+') => (&text[1..], 1),
        _ => (text, 1),
    };
    let most_digits = if most > 99 { 3 } else { 2 };
    number(part, digits, most_digits, 1..=most)
        .map(|value| sign * value)
        .map_err(|_| wrong(part, whole))
}

/// A list of numbers that may have signs, from 1 to `most` either way.
pub(super) fn signed(part: Part, text: &str, most: i16) -> Result<Vec<i16>, Refusal> {
    text.split(',')
        .map(|one| signed_number(part, one, one, most))
        .collect()
}

pub(super) fn weekday(part: Part, text: &str) -> Result<Weekday, Refusal> {
    Ok(match text.to_ascii_uppercase().as_str() {
        "MO" => Weekday::Mon,
        "TU" => Weekday::Tue,
        "WE" => Weekday::Wed,
        "TH" => Weekday::Thu,
        "FR" => Weekday::Fri,
        "SA" => Weekday::Sat,
        "SU" => Weekday::Sun,
        _ => return Err(wrong(part, text)),
    })
}

/// A list of days of the week, each with or without a number of up to 53 either way.
pub(super) fn named_days(text: &str) -> Result<Vec<NamedDay>, Refusal> {
    let one = |one: &str| {
        let (number, name) = one.split_at(one.len().saturating_sub(2));
        let weekday = weekday(Part::ByDay, name).map_err(|_| wrong(Part::ByDay, one))?;
        let number = if number.is_empty() {
            None
        } else {
            Some(signed_number(Part::ByDay, number, one, 53)?)
        };
        Ok(NamedDay { number, weekday })
    };
    text.split(',').map(one).collect()
}

/// The last day: `20261231`, or the day of a local time, `20261231T235959`.
///
/// A time in UTC is refused: without a zone nobody knows which local day it means, and taking
/// its date would be a day off for half of the world.
pub(super) fn until(text: &str) -> Result<NaiveDate, Refusal> {
    let wrong = || wrong(Part::Until, text);
    let upper = text.to_ascii_uppercase();
    let (local, utc) = match upper.strip_suffix('Z') {
        Some(local) => (local, true),
        None => (upper.as_str(), false),
    };
    let (date, time) = match local.split_once('T') {
        Some((date, time)) => (date, Some(time)),
        None => (local, None),
    };
    let date = basic_date(date).ok_or_else(wrong)?;
    match (time.map(basic_time), utc) {
        (None | Some(Some(_)), false) => Ok(date),
        (Some(Some(_)), true) => Err(Refusal::UntilInUtc),
        (Some(None), _) | (None, true) => Err(wrong()),
    }
}
