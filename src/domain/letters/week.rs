//! The week that is summed up, and when.

use super::quiet::QuietHours;
use crate::calendar::SiteZone;
use chrono::{DateTime, Datelike, Days, NaiveDate, TimeDelta, Utc};

/// A week of which whoever looks after a site is told, known by its Monday.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Week {
    /// Its first day.
    pub monday: NaiveDate,
    /// From when on the letter is due: when the quiet hours of that Monday are over.
    pub due_at: DateTime<Utc>,
    /// From then on the letter helps nobody.
    pub too_late_at: DateTime<Utc>,
}

/// How long the letter of a week may be late: after Wednesday it would tell of days that are
/// half over (our suggestion).
const LATEST: TimeDelta = TimeDelta::days(3);

impl Week {
    /// The week whose letter is due at an instant, if one is: Monday's, and until it is too late.
    #[must_use]
    pub fn due(now: DateTime<Utc>, zone: SiteZone, quiet: QuietHours) -> Option<Self> {
        let today = zone.local_date(now);
        let since_monday = today.weekday().num_days_from_monday();
        let monday = today.checked_sub_days(Days::new(since_monday.into()))?;
        // An hour that comes twice is quiet until it is over for good.
        let due_at = zone.last_instant(monday.and_time(quiet.until()));
        let too_late_at = due_at + LATEST;
        (due_at <= now && now < too_late_at).then_some(Self {
            monday,
            due_at,
            too_late_at,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn due(now: &str, zone: &str) -> Option<NaiveDate> {
        let zone = zone.parse().unwrap();
        Week::due(now.parse().unwrap(), zone, QuietHours::USUAL).map(|week| week.monday)
    }

    /// Protects keepers from a letter at night, twice a week, or about a week half over.
    #[test]
    fn a_week_is_told_from_its_monday_morning_until_thursday_morning() {
        let monday = NaiveDate::from_ymd_opt(2026, 6, 15);
        let chicago = "America/Chicago";
        for (now, expected) in [
            ("2026-06-15T11:59:59Z", None),
            ("2026-06-15T12:00:00Z", monday),
            ("2026-06-17T12:00:00Z", monday),
            ("2026-06-18T11:59:59Z", monday),
            ("2026-06-18T12:00:00Z", None),
            ("2026-06-21T23:00:00Z", None),
        ] {
            assert_eq!(due(now, chicago), expected, "{now}");
        }
    }

    /// Protects keepers far from Greenwich: it is Monday where the site is.
    #[test]
    fn monday_is_the_sites_own() {
        let now = "2026-06-14T20:00:00Z";
        assert_eq!(
            due(now, "Pacific/Auckland"),
            NaiveDate::from_ymd_opt(2026, 6, 15)
        );
        assert_eq!(due(now, "America/Chicago"), None);
    }
}
