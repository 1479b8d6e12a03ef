//! When people are asked whether a bin was fed, and when whoever keeps it hears that nobody
//! knows.

use super::quiet::QuietHours;
use crate::calendar::SiteZone;
use crate::coded::coded;
use crate::turns::Window;
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, Utc};

coded! {
    /// Which time somebody is asked about the same turn.
    Ask {
        /// For the first time.
        First = "first",
        /// Once more, since nobody answered.
        Second = "second",
    }
}

/// What is due about a turn of which nothing was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Step {
    /// Whoever was to come is asked.
    Ask(Ask),
    /// Whoever keeps the bin hears of it.
    TellKeepers,
}

/// When the questions about one turn are due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Course {
    first: DateTime<Utc>,
    over: DateTime<Utc>,
    quiet: QuietHours,
    zone: SiteZone,
}

/// Who feeds writes it down at the bin or on the way home (our suggestion).
const AFTER_THE_WINDOW: TimeDelta = TimeDelta::hours(1);
/// Between two questions, and before whoever keeps the bin hears of it (our suggestion).
const PATIENCE: TimeDelta = TimeDelta::hours(24);
/// After that nobody remembers, and the worms have eaten it or gone without (our suggestion).
const FORGOTTEN_AFTER: TimeDelta = TimeDelta::days(5);
/// When a feeding was whose hour nobody knows.
const NOON: NaiveTime = match NaiveTime::from_hms_opt(12, 0, 0) {
    Some(noon) => noon,
    None => NaiveTime::MIN,
};

impl Course {
    /// That of a turn on a day: people are asked an hour after it closed, and about a turn
    /// without hours on the next morning.
    #[must_use]
    pub fn of(day: NaiveDate, window: Option<Window>, quiet: QuietHours, zone: SiteZone) -> Self {
        let next = day.checked_add_days(Days::new(1)).unwrap_or(day);
        let (end, first) = match window {
            Some(window) => {
                let closes = window.on(day, zone).1;
                (closes, closes + AFTER_THE_WINDOW)
            }
            None => (
                zone.start_of_day(next),
                zone.last_instant(next.and_time(quiet.until())),
            ),
        };
        Self {
            first: quiet.not_before(first, zone),
            over: end + FORGOTTEN_AFTER,
            quiet,
            zone,
        }
    }

    /// From when on nobody is asked about it any more.
    #[must_use]
    pub const fn over(self) -> DateTime<Utc> {
        self.over
    }

    /// Whether something about it can be due at an instant.
    #[must_use]
    pub fn is_open(self, now: DateTime<Utc>) -> bool {
        self.first <= now && now < self.over
    }

    /// What is due as long as nobody answers, with the instants of the questions that were
    /// asked. A question waits for the one before it, however late that was: nobody gets two at
    /// once, and nobody is said to be silent who had no day to answer. Nothing is due in quiet
    /// hours, so that the day begins when the question goes.
    #[must_use]
    pub fn step(
        self,
        first: Option<DateTime<Utc>>,
        second: Option<DateTime<Utc>>,
        now: DateTime<Utc>,
    ) -> Option<Step> {
        let (due, step) = match (first, second) {
            (None, _) => (self.first, Step::Ask(Ask::First)),
            (Some(asked), None) => (self.after(asked), Step::Ask(Ask::Second)),
            (_, Some(asked)) => (self.after(asked), Step::TellKeepers),
        };
        let is_quiet = self.quiet.not_before(now, self.zone) > now;
        (self.is_open(now) && due <= now && !is_quiet).then_some(step)
    }

    fn after(self, asked: DateTime<Utc>) -> DateTime<Utc> {
        self.quiet.not_before(asked + PATIENCE, self.zone)
    }
}

/// When a turn was done of which nobody says the hour: in the middle of its hours, or at noon.
#[must_use]
pub fn middle(day: NaiveDate, window: Option<Window>, zone: SiteZone) -> DateTime<Utc> {
    match window {
        Some(window) => {
            let (opens, closes) = window.on(day, zone);
            opens + (closes - opens) / 2
        }
        None => zone.first_instant(day.and_time(NOON)),
    }
}
