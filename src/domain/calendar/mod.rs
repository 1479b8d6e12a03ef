//! Local days and instants.
//!
//! What happened is an instant (UTC). What people agree on is a local date at a site.
//! [`SiteZone`] is the one bridge between the two; it knows that a day may begin at one
//! o'clock, last 23 or 25 hours, or not exist at all. [`Observance`] is a stretch of time in
//! which its clocks are not changed.

mod basic;
mod observance;

pub use basic::{basic_date, basic_time};
pub use observance::Observance;

use chrono::{
    DateTime, MappedLocalTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, TimeZone, Timelike,
    Utc,
};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// The time zone of a site, by its name in the IANA time zone database.
///
/// # Examples
///
/// ```
/// use wormrota_domain::calendar::SiteZone;
///
/// let zone: SiteZone = "Europe/Lisbon".parse()?;
/// let date = "2026-11-25".parse().expect("a date");
/// assert_eq!(zone.start_of_day(date).to_rfc3339(), "2026-11-25T00:00:00+00:00");
/// # Ok::<(), wormrota_domain::calendar::UnknownZone>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct SiteZone(Tz);

/// The name is not in the IANA time zone database.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("not a time zone name of the IANA database, such as America/Chicago")]
pub struct UnknownZone;

impl FromStr for SiteZone {
    type Err = UnknownZone;

    fn from_str(name: &str) -> Result<Self, UnknownZone> {
        name.parse().map(Self).map_err(|_| UnknownZone)
    }
}

impl fmt::Display for SiteZone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl SiteZone {
    /// Every zone of the database, by name.
    pub fn all() -> impl Iterator<Item = Self> {
        chrono_tz::TZ_VARIANTS.into_iter().map(Self)
    }

    /// Universal time, for what belongs to no site.
    pub const UTC: Self = Self(Tz::UTC);

    /// The name in the IANA database.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.0.name()
    }

    /// The date that a calendar on the site's wall shows at that instant.
    #[must_use]
    pub fn local_date(self, instant: DateTime<Utc>) -> NaiveDate {
        instant.with_timezone(&self.0).date_naive()
    }

    /// What calendar and clock on the site's wall show at that instant.
    #[must_use]
    pub fn wall(self, instant: DateTime<Utc>) -> NaiveDateTime {
        instant.with_timezone(&self.0).naive_local()
    }

    /// The time that a clock on the site's wall shows at that instant, to the minute: "18:05".
    #[must_use]
    pub fn local_time(self, instant: DateTime<Utc>) -> String {
        instant.with_timezone(&self.0).format("%H:%M").to_string()
    }

    /// The first instant of a local day.
    ///
    /// Where midnight is skipped by a change to summer time this is the instant of the
    /// change. Where midnight comes twice it is the first. A day that a zone skipped
    /// altogether begins with the next day.
    #[must_use]
    pub fn start_of_day(self, date: NaiveDate) -> DateTime<Utc> {
        self.first_instant(date.and_time(NaiveTime::MIN))
    }

    /// The first instant at which a clock on the site's wall shows that time.
    ///
    /// Where a change of the clocks skips the time, the first instant after the gap.
    #[must_use]
    pub fn first_instant(self, wall: NaiveDateTime) -> DateTime<Utc> {
        match self.0.from_local_datetime(&wall) {
            MappedLocalTime::Single(at) | MappedLocalTime::Ambiguous(at, _) => {
                at.with_timezone(&Utc)
            }
            MappedLocalTime::None => self.end_of_gap(wall),
        }
    }

    /// The last instant at which a clock on the site's wall shows that time: another than the
    /// first only where the clocks go back.
    ///
    /// Where a change of the clocks skips the time, the first instant after the gap.
    #[must_use]
    pub fn last_instant(self, wall: NaiveDateTime) -> DateTime<Utc> {
        match self.0.from_local_datetime(&wall) {
            MappedLocalTime::Single(at) | MappedLocalTime::Ambiguous(_, at) => {
                at.with_timezone(&Utc)
            }
            MappedLocalTime::None => self.end_of_gap(wall),
        }
    }

    /// Halving search for times that do not exist.
    fn end_of_gap(self, wall: NaiveDateTime) -> DateTime<Utc> {
        // No zone is further than this from UTC, and a skipped day adds one more.
        let margin = TimeDelta::hours(40);
        // Clocks change on whole seconds.
        let near = wall.with_nanosecond(0).unwrap_or(wall).and_utc();
        let mut before = near
            .checked_sub_signed(margin)
            .unwrap_or(DateTime::<Utc>::MIN_UTC);
        let mut after = near
            .checked_add_signed(margin)
            .unwrap_or(DateTime::<Utc>::MAX_UTC);
        while after - before > TimeDelta::seconds(1) {
            let middle = before + TimeDelta::seconds((after - before).num_seconds() / 2);
            if middle.with_timezone(&self.0).naive_local() >= wall {
                after = middle;
            } else {
                before = middle;
            }
        }
        after
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::Days;
    use proptest::prelude::*;

    fn start(zone: &str, date: &str) -> String {
        let zone: SiteZone = zone.parse().unwrap();
        zone.start_of_day(date.parse().unwrap()).to_rfc3339()
    }

    #[test]
    fn an_ordinary_day_begins_at_local_midnight() {
        assert_eq!(
            start("America/New_York", "2026-01-15"),
            "2026-01-15T05:00:00+00:00"
        );
        assert_eq!(
            start("Asia/Kathmandu", "2026-01-15"),
            "2026-01-14T18:15:00+00:00"
        );
        assert_eq!(
            start("Australia/Lord_Howe", "2026-01-15"),
            "2026-01-14T13:00:00+00:00"
        );
    }

    /// The IANA database moves these zones to summer time at local midnight.
    #[test]
    fn a_day_without_a_midnight_begins_when_the_clocks_jump() {
        assert_eq!(
            start("America/Santiago", "2024-09-08"),
            "2024-09-08T04:00:00+00:00"
        );
        assert_eq!(
            start("Africa/Cairo", "2024-04-26"),
            "2024-04-25T22:00:00+00:00"
        );
        assert_eq!(
            start("Asia/Beirut", "2024-03-31"),
            "2024-03-30T22:00:00+00:00"
        );
    }

    #[test]
    fn a_midnight_that_comes_twice_counts_the_first_time() {
        // Havana goes back from one o'clock to midnight.
        assert_eq!(
            start("America/Havana", "2024-11-03"),
            "2024-11-03T04:00:00+00:00"
        );
    }

    #[test]
    fn a_day_that_a_zone_skipped_begins_with_the_next_one() {
        // Samoa went from the 29th to the 31st of December 2011.
        assert_eq!(
            start("Pacific/Apia", "2011-12-30"),
            start("Pacific/Apia", "2011-12-31")
        );
    }

    /// The first and the last instant of a time that a wall clock shows twice, and of one that
    /// it never shows.
    #[test]
    fn a_time_that_comes_twice_has_two_instants_and_one_that_is_skipped_has_the_end_of_the_gap() {
        let zone: SiteZone = "Europe/Berlin".parse().unwrap();
        let instants = |wall: &str| {
            let wall = wall.parse().unwrap();
            [zone.first_instant(wall), zone.last_instant(wall)].map(|at| at.to_rfc3339())
        };
        assert_eq!(
            instants("2026-10-25T02:30:00"),
            ["2026-10-25T00:30:00+00:00", "2026-10-25T01:30:00+00:00"]
        );
        assert_eq!(
            instants("2026-03-29T02:30:00.5"),
            ["2026-03-29T01:00:00+00:00"; 2]
        );
        assert_eq!(
            instants("2026-03-29T03:00:00"),
            ["2026-03-29T01:00:00+00:00"; 2]
        );
    }

    #[test]
    fn days_of_23_and_25_hours_have_their_length() {
        let zone: SiteZone = "Europe/Berlin".parse().unwrap();
        let hours = |date: &str| {
            let date = date.parse().unwrap();
            (zone.start_of_day(date + Days::new(1)) - zone.start_of_day(date)).num_hours()
        };
        assert_eq!(hours("2026-03-29"), 23);
        assert_eq!(hours("2026-10-25"), 25);
        assert_eq!(hours("2026-10-26"), 24);
    }

    #[test]
    fn a_clock_on_the_wall_shows_local_time() {
        let zone: SiteZone = "Asia/Kathmandu".parse().unwrap();
        let at = "2026-01-14T18:15:59Z".parse().unwrap();
        assert_eq!(zone.local_time(at), "00:00");
    }

    #[test]
    fn a_name_that_is_no_zone_is_an_error() {
        for name in ["", "Mars/Olympus", "UTC+25", "europe/berlin "] {
            assert_eq!(name.parse::<SiteZone>(), Err(UnknownZone), "{name:?}");
        }
    }

    proptest! {
        #[test]
        fn the_start_of_a_day_lies_in_it_and_the_second_before_does_not(
            zone in prop::sample::select(vec![
                "America/Santiago", "Africa/Cairo", "Asia/Beirut", "America/Havana",
                "Asia/Kathmandu", "Australia/Lord_Howe", "Europe/Berlin", "Pacific/Chatham",
                "America/Asuncion", "UTC",
            ]),
            day in 0_u64..9_000,
        ) {
            let zone: SiteZone = zone.parse().unwrap();
            let date = NaiveDate::from_ymd_opt(2010, 1, 1).unwrap() + Days::new(day);
            let start = zone.start_of_day(date);
            prop_assert_eq!(zone.local_date(start), date);
            prop_assert!(zone.local_date(start - TimeDelta::seconds(1)) < date);
        }
    }
}
