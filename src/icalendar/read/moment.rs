//! Days, times and lengths as events have them.

use super::line::Line;
use super::refusal::{Why, beginning};
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta};
use wormrota_domain::calendar::{SiteZone, basic_date, basic_time};

/// A DATE or a DATE-TIME.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Moment {
    /// A day at the site.
    Day(NaiveDate),
    /// What a clock in a zone shows.
    Wall(NaiveDateTime, SiteZone),
}

impl Moment {
    /// Reads one value of a property. A time without a zone is the site's.
    pub(super) fn read(
        property: &'static str,
        line: &Line,
        text: &str,
        site: SiteZone,
    ) -> Result<Self, Why> {
        let kind = line.parameter("VALUE").map(str::to_ascii_uppercase);
        match (kind.as_deref(), written(text)) {
            // Many leave VALUE=DATE out; eight digits are nothing else.
            (None | Some("DATE"), Some(Written::Day(day))) => Ok(Self::Day(day)),
            (None | Some("DATE-TIME"), Some(Written::Utc(wall))) => {
                Ok(Self::Wall(wall, SiteZone::UTC))
            }
            (None | Some("DATE-TIME"), Some(Written::Local(wall))) => {
                Ok(Self::Wall(wall, zone(line, site)?))
            }
            (Some("PERIOD"), _) => Err(Why::NotRead {
                what: "VALUE=PERIOD",
            }),
            _ => Err(wrong(property, text)),
        }
    }

    /// What a clock beside that of `other` shows then, of a day its beginning; none if one is a
    /// day and the other is not.
    pub(super) fn beside(self, other: Self) -> Option<NaiveDateTime> {
        match (self, other) {
            (Self::Day(day), Self::Day(_)) => Some(day.and_time(NaiveTime::MIN)),
            (Self::Wall(wall, zone), Self::Wall(_, own)) if zone == own => Some(wall),
            (Self::Wall(wall, zone), Self::Wall(_, own)) => {
                Some(own.wall(zone.first_instant(wall)))
            }
            _ => None,
        }
    }

    /// Equal for the same day, and for the same instant by whichever clock.
    pub(super) fn key(self) -> (bool, NaiveDateTime) {
        match self {
            Self::Day(day) => (true, day.and_time(NaiveTime::MIN)),
            Self::Wall(wall, zone) => (false, zone.first_instant(wall).naive_utc()),
        }
    }

    /// What its own clock shows.
    pub(super) fn wall(self) -> NaiveDateTime {
        match self {
            Self::Day(day) => day.and_time(NaiveTime::MIN),
            Self::Wall(wall, _) => wall,
        }
    }
}

/// A value in one of its forms (RFC 5545, 3.3.4 and 3.3.5).
pub(super) enum Written {
    Day(NaiveDate),
    Local(NaiveDateTime),
    Utc(NaiveDateTime),
}

pub(super) fn written(text: &str) -> Option<Written> {
    let upper = text.to_ascii_uppercase();
    let Some((date, time)) = upper.split_once('T') else {
        return basic_date(&upper).map(Written::Day);
    };
    let date = basic_date(date)?;
    Some(match time.strip_suffix('Z') {
        Some(time) => Written::Utc(date.and_time(basic_time(time)?)),
        None => Written::Local(date.and_time(basic_time(time)?)),
    })
}

fn zone(line: &Line, site: SiteZone) -> Result<SiteZone, Why> {
    let Some(name) = line.parameter("TZID") else {
        return Ok(site);
    };
    name.parse().map_err(|_| Why::UnknownZone {
        name: beginning(name),
    })
}

/// A DURATION (RFC 5545, 3.3.6) as a clock on a wall has it: a day is 24 hours there, whatever
/// is done to the clock.
pub(super) fn length(text: &str) -> Result<TimeDelta, Why> {
    let upper = text.to_ascii_uppercase();
    let wrong = || wrong("DURATION", text);
    let positive = upper.strip_prefix('+').unwrap_or(&upper);
    let value = positive.strip_prefix('P').ok_or_else(wrong)?;
    let (date, time) = match value.split_once('T') {
        Some((date, time)) => (date, Some(time)),
        None => (value, None),
    };
    let mut total = TimeDelta::zero();
    match (date, time) {
        ("", None) | (_, Some("")) => return Err(wrong()),
        (weeks, None) if weeks.ends_with('W') => {
            total += units(weeks, &[('W', TimeDelta::weeks)]).ok_or_else(wrong)?;
        }
        (days, _) => total += units(days, &[('D', TimeDelta::days)]).ok_or_else(wrong)?,
    }
    let clock: [Unit; 3] = [
        ('H', TimeDelta::hours),
        ('M', TimeDelta::minutes),
        ('S', TimeDelta::seconds),
    ];
    Ok(total + units(time.unwrap_or(""), &clock).ok_or_else(wrong)?)
}

type Unit = (char, fn(i64) -> TimeDelta);

/// Numbers of units in their order, each at most once.
fn units(text: &str, units: &[Unit]) -> Option<TimeDelta> {
    let mut total = TimeDelta::zero();
    let mut rest = text;
    for (letter, unit) in units {
        let Some((digits, more)) = rest.split_once(*letter) else {
            continue;
        };
        // With more digits nobody means a length of days.
        let fine = (1..=5).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
        total += unit(digits.parse().ok().filter(|_| fine)?);
        rest = more;
    }
    rest.is_empty().then_some(total)
}

/// A value that a property cannot have, with the form that it should have (RFC 5545, 3.3.4 to
/// 3.3.8).
pub(super) fn wrong(property: &'static str, text: &str) -> Why {
    Why::Value {
        property,
        found: beginning(text),
        form: match property {
            "SEQUENCE" => "a whole number",
            "DURATION" => "a length such as P1D, or PT2H",
            _ => "a day such as 20260907, or a time such as 20260907T180000",
        },
    }
}
