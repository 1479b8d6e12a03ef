//! From a day to instants.

use super::refusal::Refusal;
use crate::calendar::SiteZone;
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};

/// From when to when a turn can be done, on a clock on the site's wall: it closes after it
/// opens, on the same day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    opens: NaiveTime,
    closes: NaiveTime,
}

impl Window {
    /// # Errors
    ///
    /// [`Refusal::WindowBackwards`] if it does not close after it opens.
    pub fn new(opens: NaiveTime, closes: NaiveTime) -> Result<Self, Refusal> {
        if closes > opens {
            Ok(Self { opens, closes })
        } else {
            Err(Refusal::WindowBackwards)
        }
    }

    /// When it opens.
    #[must_use]
    pub const fn opens(self) -> NaiveTime {
        self.opens
    }

    /// When it closes.
    #[must_use]
    pub const fn closes(self) -> NaiveTime {
        self.closes
    }

    /// The instants at which it opens and closes on a day.
    ///
    /// A time that the clocks skip is the first instant after the gap. Of a time that comes
    /// twice, a window opens at the first and closes at the second: nobody who comes in time is
    /// too late. It never closes before it opens; if it lies in a gap altogether, or on a day
    /// that the zone skipped, both are the same instant.
    #[must_use]
    pub fn on(self, day: NaiveDate, zone: SiteZone) -> (DateTime<Utc>, DateTime<Utc>) {
        (
            zone.first_instant(day.and_time(self.opens)),
            zone.last_instant(day.and_time(self.closes)),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Days, TimeDelta};
    use proptest::prelude::*;

    /// Guards turns in gaps and on days that a zone skipped: Samoa had no 30th of December 2011.
    #[test]
    fn a_window_in_a_gap_is_the_end_of_the_gap() {
        let time = |minutes| NaiveTime::MIN + TimeDelta::minutes(minutes);
        let both = |zone: &str, day: &str, opens, closes| {
            let window = Window::new(time(opens), time(closes)).unwrap();
            let (from, to) = window.on(day.parse().unwrap(), zone.parse().unwrap());
            [from, to].map(|at| at.to_rfc3339())
        };
        assert_eq!(
            both("Europe/Berlin", "2026-03-29", 130, 170),
            ["2026-03-29T01:00:00+00:00"; 2]
        );
        assert_eq!(
            both("Pacific/Apia", "2011-12-30", 480, 1_080),
            ["2011-12-30T10:00:00+00:00"; 2]
        );
    }

    proptest! {
        /// Guards against windows that close before they open, in every zone.
        #[test]
        fn no_window_closes_before_it_opens(
            zone in prop::sample::select(SiteZone::all().collect::<Vec<_>>()),
            day in 0_u64..9_000,
            opens in 0_i64..1_439,
            length in 1_i64..1_440,
        ) {
            let day = NaiveDate::from_ymd_opt(2010, 1, 1).unwrap() + Days::new(day);
            let time = |minutes| NaiveTime::MIN + TimeDelta::minutes(minutes);
            let closes = (opens + length).min(1_439);
            let (from, to) = Window::new(time(opens), time(closes)).unwrap().on(day, zone);
            prop_assert!(from <= to);
            prop_assert!(to - from <= TimeDelta::minutes(closes - opens) + TimeDelta::days(1));
        }
    }
}
