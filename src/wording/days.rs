//! Days in words, as a calendar on the site's wall shows them.

use super::voice::Voice;
use chrono::{DateTime, Datelike, TimeDelta, Utc};

impl Voice {
    /// The local date with its weekday: "Thursday 10 September". With the year where it is
    /// not the present one.
    #[must_use]
    pub fn date(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> String {
        let (date, today) = (self.zone.local_date(at), self.zone.local_date(now));
        let weekday = date.weekday().number_from_monday();
        let weekday = self.say(&format!("weekday-{weekday}"), []);
        let month = self.say(&format!("month-{}", date.month()), []);
        let day = date.day().to_string();
        let units = self.units.code();
        let args = [
            ("weekday", weekday.into()),
            ("day", day.into()),
            ("month", month.into()),
            ("units", units.into()),
            ("year", date.year().to_string().into()),
        ];
        let id = if date.year() == today.year() {
            "date"
        } else {
            "date-with-year"
        };
        self.say(id, args)
    }

    /// The local day, as it stands after a word such as "until": "today", "tomorrow",
    /// "Thursday 10 September".
    #[must_use]
    pub fn day(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> String {
        self.day_as("day-bare", at, now)
    }

    /// The local day on which something happens: "today", "on Thursday 10 September".
    #[must_use]
    pub fn on_day(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> String {
        self.day_as("day-on", at, now)
    }

    /// A moment as it stands after "by" or "until": "Thursday 10 September at 18:05". Nobody is
    /// sure to which day a midnight belongs, so it is the end of a day.
    #[must_use]
    pub fn until(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> String {
        let midnight = self.zone.start_of_day(self.zone.local_date(at));
        if midnight == at {
            let date = self.date(at - TimeDelta::seconds(1), now);
            return self.say("until-end", [("date", date.into())]);
        }
        let args = [
            ("date", self.date(at, now).into()),
            ("time", self.zone.local_time(at).into()),
        ];
        self.say("until", args)
    }

    /// "now", or the day where another than today was asked about.
    pub(super) fn moment(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> String {
        if self.days_until(at, now) == 0 {
            self.say("now", [])
        } else {
            self.on_day(at, now)
        }
    }

    /// From one local date to another.
    pub(super) fn days_until(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> i64 {
        (self.zone.local_date(at) - self.zone.local_date(now)).num_days()
    }

    fn day_as(&self, id: &str, at: DateTime<Utc>, now: DateTime<Utc>) -> String {
        let args = [
            ("when", self.when(at, now).into()),
            ("date", self.date(at, now).into()),
        ];
        self.say(id, args)
    }

    fn when(&self, at: DateTime<Utc>, now: DateTime<Utc>) -> &'static str {
        match self.days_until(at, now) {
            0 => "today",
            1 => "tomorrow",
            _ => "other",
        }
    }
}
