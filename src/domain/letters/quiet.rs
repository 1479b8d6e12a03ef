//! The hours in which nobody is written to.

use crate::calendar::SiteZone;
use chrono::{DateTime, Days, NaiveTime, TimeDelta, Utc};

/// Hours of the local day, mostly across midnight, in which nobody is written to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuietHours {
    from: NaiveTime,
    until: NaiveTime,
}

/// Why hours cannot be quiet ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum QuietRefusal {
    /// They begin when they end: none, or the whole day.
    #[error("quiet hours must not begin when they end")]
    Empty,
    /// They leave less than six hours of the day for letters.
    #[error("quiet hours must leave six hours of the day")]
    TooLong,
}

const DAY_MINUTES: i64 = 24 * 60;

/// What must be left of a day for letters, minutes (our suggestion).
const LEFT_MINUTES: i64 = 6 * 60;

impl QuietHours {
    /// From nine in the evening until seven in the morning (our suggestion).
    pub const USUAL: Self = Self {
        from: match NaiveTime::from_hms_opt(21, 0, 0) {
            Some(time) => time,
            None => NaiveTime::MIN,
        },
        until: match NaiveTime::from_hms_opt(7, 0, 0) {
            Some(time) => time,
            None => NaiveTime::MIN,
        },
    };

    /// From one time of the local day until another, which comes the next day when it is the
    /// earlier one.
    ///
    /// # Errors
    /// When they leave too little of the day.
    pub fn new(from: NaiveTime, until: NaiveTime) -> Result<Self, QuietRefusal> {
        let hours = Self { from, until };
        let quiet = hours.length().num_minutes();
        if quiet == 0 {
            return Err(QuietRefusal::Empty);
        }
        if DAY_MINUTES - quiet < LEFT_MINUTES {
            return Err(QuietRefusal::TooLong);
        }
        Ok(hours)
    }

    /// How long they last on a day on which no clock is changed.
    #[must_use]
    pub fn length(self) -> TimeDelta {
        let minutes = (self.until - self.from).num_minutes();
        TimeDelta::minutes(minutes.rem_euclid(DAY_MINUTES))
    }

    /// When they begin, as the site counts its hours.
    #[must_use]
    pub const fn from(self) -> NaiveTime {
        self.from
    }

    /// When they are over: the hour of the first letters of a day.
    #[must_use]
    pub const fn until(self) -> NaiveTime {
        self.until
    }

    /// The instant itself when people may be written to then, else the first one after the
    /// quiet hours that it lies in.
    #[must_use]
    pub fn not_before(self, at: DateTime<Utc>, zone: SiteZone) -> DateTime<Utc> {
        let wall = zone.wall(at);
        let (day, time) = (wall.date(), wall.time());
        let over_night = self.until < self.from;
        let ends_on = match over_night {
            true if time >= self.from => day.checked_add_days(Days::new(1)),
            true if time < self.until => Some(day),
            false if time >= self.from && time < self.until => Some(day),
            _ => return at,
        };
        // An hour that comes twice is quiet until it is over for good.
        let end = ends_on.map(|day| zone.last_instant(day.and_time(self.until)));
        end.map_or(at, |end| end.max(at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn time(text: &str) -> NaiveTime {
        text.parse().unwrap()
    }

    /// Protects sleepers: a letter of the night comes in the morning, one of the day at once.
    #[test]
    fn letters_of_the_night_come_in_the_morning() {
        let zone: SiteZone = "America/Chicago".parse().unwrap();
        let quiet = QuietHours::USUAL;
        let cases = [
            ("2026-11-26T02:59:00Z", "2026-11-26T02:59:00Z"),
            ("2026-11-26T03:00:00Z", "2026-11-26T13:00:00Z"),
            ("2026-11-26T12:59:59Z", "2026-11-26T13:00:00Z"),
            ("2026-11-26T13:00:00Z", "2026-11-26T13:00:00Z"),
            // The night in which the clocks go back lasts an hour longer.
            ("2026-11-01T04:00:00Z", "2026-11-01T13:00:00Z"),
        ];
        for (asked, allowed) in cases {
            assert_eq!(quiet.not_before(at(asked), zone), at(allowed), "{asked}");
        }
    }

    /// Protects sleepers and letters alike: in every zone and hour the answer is never quiet,
    /// never earlier than asked, and less than a day away.
    #[test]
    fn the_answer_is_never_quiet_and_never_far() {
        let siesta = QuietHours::new(time("13:00"), time("16:30")).unwrap();
        for name in [
            "America/Chicago",
            "Australia/Lord_Howe",
            "Asia/Kolkata",
            "UTC",
        ] {
            let zone: SiteZone = name.parse().unwrap();
            for quiet in [QuietHours::USUAL, siesta] {
                let start = at("2026-03-01T00:10:00Z");
                for hour in 0..24 * 300 {
                    let asked = start + TimeDelta::hours(hour);
                    let allowed = quiet.not_before(asked, zone);
                    assert_eq!(quiet.not_before(allowed, zone), allowed, "{name} {asked}");
                    assert!(allowed >= asked && allowed - asked < TimeDelta::hours(24));
                }
            }
        }
    }

    /// Protects a site from hours in which no letter could ever go.
    #[test]
    fn a_day_keeps_six_hours_for_letters() {
        let new = |from, until| QuietHours::new(time(from), time(until));
        assert_eq!(new("07:00", "07:00"), Err(QuietRefusal::Empty));
        assert_eq!(new("12:00", "07:00"), Err(QuietRefusal::TooLong));
        assert!(new("13:00", "07:00").is_ok());
    }
}
