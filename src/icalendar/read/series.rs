//! From an event to the starts of its occurrences, and from each to the days that it closes.

use super::MOST_STEPS;
use super::moment::{Moment, Written, written};
use super::occasion::Occasion;
use super::refusal::{Refused, Why};
use chrono::{Days, NaiveDate, NaiveDateTime, TimeDelta};
use std::collections::BTreeSet;
use std::ops::RangeInclusive;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::turns::occurrences;
use wormrota_domain::turns::regenerate::Closure;

/// Two clocks on earth are never further apart.
const APART: Days = Days::new(2);
/// An end at 23:59 means midnight: common practice, no source.
const LAST_MINUTE: TimeDelta = TimeDelta::minutes(1);

/// How many days may still be worked out for a text.
#[derive(Debug)]
pub(super) struct Steps(i64);

impl Steps {
    pub(super) const fn all() -> Self {
        Self(MOST_STEPS)
    }

    fn take(&mut self, from: NaiveDate, to: NaiveDate) -> Result<(), Why> {
        self.0 -= (to - from).num_days().max(0) + 1;
        if self.0 < 0 {
            Err(Why::TooManyDays)
        } else {
            Ok(())
        }
    }
}

impl Occasion {
    /// The starts of its occurrences by its own clock: all that could touch the days, and
    /// perhaps others.
    pub(super) fn starts(
        &self,
        days: &RangeInclusive<NaiveDate>,
        steps: &mut Steps,
    ) -> Result<BTreeSet<NaiveDateTime>, Refused> {
        // The first is one whatever the rule says (RFC 5545, 3.8.5.3).
        let mut starts = BTreeSet::from([self.start.wall()]);
        starts.extend(&self.more);
        if let Some((line, rule)) = &self.rule {
            let found = self.days_of_rule(rule, days, steps);
            let time = self.start.wall().time();
            let found = found.map_err(|why| why.at(*line))?;
            starts.extend(found.iter().map(|day| day.and_time(time)));
        }
        for start in &self.without {
            starts.remove(start);
        }
        Ok(starts)
    }

    fn days_of_rule(
        &self,
        rule: &str,
        days: &RangeInclusive<NaiveDate>,
        steps: &mut Steps,
    ) -> Result<Vec<NaiveDate>, Why> {
        let first = self.start.wall().date();
        let last = (days.end().checked_add_days(APART)).unwrap_or(NaiveDate::MAX);
        let from = days
            .start()
            .checked_sub_signed(self.length)
            .and_then(|from| from.checked_sub_days(APART))
            .unwrap_or(NaiveDate::MIN)
            .max(first);
        // What is counted has to be worked out from its beginning.
        let counted = rule.to_ascii_uppercase().contains("COUNT");
        steps.take(if counted { first } else { from }, last)?;
        Ok(occurrences(&self.by_days(rule), first, from..=last)?)
    }

    /// The rule with UNTIL as the last day on which an occurrence can start. With times it is
    /// one, mostly in UTC (RFC 5545, 3.3.10), and only here it is known by which clock.
    fn by_days(&self, rule: &str) -> String {
        let Moment::Wall(start, zone) = self.start else {
            return rule.to_owned();
        };
        let by_days = |part: &str| {
            let (name, value) = part.split_once('=')?;
            let until = match written(value).filter(|_| name.eq_ignore_ascii_case("UNTIL"))? {
                Written::Day(_) => return None,
                Written::Local(wall) => wall,
                Written::Utc(wall) => zone.wall(wall.and_utc()),
            };
            let early = u64::from(until.time() < start.time());
            let day = until.date().checked_sub_days(Days::new(early))?;
            Some(format!("UNTIL={}", day.format("%Y%m%d")))
        };
        let parts = rule
            .split(';')
            .map(|part| by_days(part).unwrap_or_else(|| part.to_owned()));
        parts.collect::<Vec<_>>().join(";")
    }

    /// Whether an occurrence that starts then touches one of the days.
    pub(super) fn touches(&self, start: NaiveDateTime, days: &RangeInclusive<NaiveDate>) -> bool {
        start.date() <= *days.end() && (start + self.length).date() >= *days.start()
    }

    /// The days at the site that lie in an occurrence as a whole.
    pub(super) fn closed(&self, start: NaiveDateTime, site: SiteZone) -> Option<Closure> {
        let end = start + self.length;
        let (first, after) = match self.start {
            Moment::Day(_) => (start.date(), end.date()),
            Moment::Wall(_, zone) => {
                let (start, end) = (zone.first_instant(start), zone.first_instant(end));
                let first = site.local_date(start);
                let begun = u64::from(site.start_of_day(first) < start);
                let first = first + Days::new(begun);
                (first, site.local_date(end + LAST_MINUTE))
            }
        };
        let last = after.pred_opt()?;
        (first <= last).then_some(Closure { first, last })
    }
}
