//! Which reminder of a turn is due.

use super::quiet::QuietHours;
use crate::calendar::SiteZone;
use crate::turns::Window;
use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};

/// From the morning's letter to the end of a turn at least: who reads it later than that is not
/// helped (our suggestion).
const TIME_TO_COME: TimeDelta = TimeDelta::hours(1);

/// How long before the quiet hours the letter goes that cannot wait for the morning: people still
/// sit in their kitchens (our suggestion).
const BEFORE_QUIET: TimeDelta = TimeDelta::hours(2);

/// A turn whose holder is reminded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeldTurn {
    /// The local day.
    pub on_date: NaiveDate,
    /// Its hours; all day without.
    pub window: Option<Window>,
    /// Since when the holder has the place.
    pub held_since: DateTime<Utc>,
}

/// A reminder that is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reminder {
    /// The rule that it follows: so many days before the turn, 0 for its morning.
    pub days_before: u8,
    /// From when on.
    pub from: DateTime<Utc>,
    /// Until when it helps: then comes the next one, or the turn is over.
    pub until: DateTime<Utc>,
}

impl HeldTurn {
    /// The reminder that is due at `now`, under rules that say how many days before the turn.
    ///
    /// Each rule's letter goes when the quiet hours of its day are over, and one instant has one
    /// letter: a service that slept through two owes the later one. Nobody is reminded of what
    /// they took after the letter's hour.
    #[must_use]
    pub fn reminder(
        &self,
        rules: &[u8],
        quiet: QuietHours,
        zone: SiteZone,
        now: DateTime<Utc>,
    ) -> Option<Reminder> {
        let over_at = self.over_at(zone);
        let instants = || {
            let at = |&days| Some((self.instant(days, quiet, zone)?, days));
            rules.iter().filter_map(at)
        };
        // Of two rules with one instant the one that is nearer to the turn.
        let reached = instants().filter(|(at, _)| *at <= now);
        let (from, days_before) = reached.max_by_key(|(at, days)| (*at, u8::MAX - days))?;
        let next = instants().map(|(at, _)| at).filter(|at| *at > now).min();
        let until = next.map_or(over_at, |next| next.min(over_at));
        (self.held_since < from && now < until).then_some(Reminder {
            days_before,
            from,
            until,
        })
    }

    /// When the turn is over: when it closes, or with its day.
    #[must_use]
    pub fn over_at(&self, zone: SiteZone) -> DateTime<Utc> {
        if let Some(window) = self.window {
            return window.on(self.on_date, zone).1;
        }
        let next = self.on_date.checked_add_days(Days::new(1));
        next.map_or(DateTime::<Utc>::MAX_UTC, |day| zone.start_of_day(day))
    }

    /// When the letter of the turn's own day goes, and says what the bin can take.
    #[must_use]
    pub fn morning(&self, quiet: QuietHours, zone: SiteZone) -> DateTime<Utc> {
        let morning = self.instant(0, quiet, zone);
        morning.unwrap_or_else(|| zone.start_of_day(self.on_date))
    }

    /// When the letter of a rule goes: when the quiet hours of its day are over. Where the turn
    /// is nearly over by then, before the quiet hours, or the day before.
    fn instant(&self, days: u8, quiet: QuietHours, zone: SiteZone) -> Option<DateTime<Utc>> {
        let day = self.on_date.checked_sub_days(Days::new(days.into()))?;
        let morning = day.and_time(quiet.until());
        // An hour that comes twice is quiet until it is over for good.
        let at = zone.last_instant(morning);
        let last = self.over_at(zone) - TIME_TO_COME;
        if at <= last {
            return Some(at);
        }
        let evening = morning - quiet.length() - BEFORE_QUIET;
        let evenings = [evening, evening - TimeDelta::days(1)];
        let mut evenings = evenings.map(|wall| zone.first_instant(wall)).into_iter();
        evenings.find(|at| *at <= last)
    }
}
