//! From the parts of a rule to its days.
//!
//! The crate `rrule` steps through the periods (FREQ, INTERVAL, WKST) and gives their days of
//! the week. It is asked for nothing that might never come: it looks for a next day until it
//! finds one or the year 10,000. The rest is reckoned here. That is little, and it is where the
//! crate is not as RFC 5545, 3.3.10, has it:
//!
//! - `BYDAY=MO,1TU` names every Monday and the first Tuesday; it takes only days that are both.
//! - `-5MO` of a month and `-53MO` of a year may be asked for, and positions that no period
//!   reaches; it refuses them.
//! - Days around New Year are in the weeks that the calendar gives them, from whichever end the
//!   weeks are numbered; it misses some. `BYWEEKNO` without a day means the first day's weekday;
//!   it takes seven days.
//! - A period starts at its beginning, not at the first day: `BYSETPOS=1` of a week that is
//!   half over is a day before the first; it takes the first that is left.

use super::part::Frequency;
use super::rule::{NamedDay, Rule};
use chrono::{Datelike, Days, Months, NaiveDate, NaiveTime, TimeDelta, Weekday};
use rrule::{NWeekday, RRule, RRuleSet, Tz, Unvalidated};
use std::ops::RangeInclusive;

const WEEK: [Weekday; 7] = [
    Weekday::Mon,
    Weekday::Tue,
    Weekday::Wed,
    Weekday::Thu,
    Weekday::Fri,
    Weekday::Sat,
    Weekday::Sun,
];

/// The wanted days of a rule that begins on `first`, in order, whatever COUNT and UNTIL say.
///
/// The work is bounded by the days of the periods that the wanted days lie in, and of one more.
pub(super) fn days(
    rule: &Rule,
    first: NaiveDate,
    wanted: RangeInclusive<NaiveDate>,
) -> Vec<NaiveDate> {
    let rule = rule.with_what_the_first_day_says(first);
    let start = rule.period_near(first, *wanted.start());
    let mut found = rule.candidates(start, *wanted.end());
    found.retain(|day| rule.is_named(*day));
    found
        .chunk_by(|one, next| rule.period(*one) == rule.period(*next))
        .flat_map(|period| rule.at_positions(period))
        .filter(|day| *day >= first && wanted.contains(day))
        .collect()
}

impl Rule {
    /// The rule with the days written out that are taken from the first day where no part
    /// says them.
    fn with_what_the_first_day_says(&self, first: NaiveDate) -> Self {
        let mut rule = self.clone();
        let no_day =
            rule.year_days.is_empty() && rule.month_days.is_empty() && rule.named_days.is_empty();
        if !no_day {
            return rule;
        }
        let by_weekday = match rule.frequency {
            Frequency::Daily => return rule,
            Frequency::Weekly => true,
            Frequency::Monthly => false,
            Frequency::Yearly => !rule.week_numbers.is_empty(),
        };
        if by_weekday {
            rule.named_days = vec![NamedDay {
                number: None,
                weekday: first.weekday(),
            }];
            return rule;
        }
        rule.month_days = i16::try_from(first.day()).into_iter().collect();
        if rule.frequency == Frequency::Yearly && rule.months.is_empty() {
            rule.months = u8::try_from(first.month()).into_iter().collect();
        }
        rule
    }

    /// The first day of the period that a day lies in.
    fn period(&self, day: NaiveDate) -> NaiveDate {
        let back = match self.frequency {
            Frequency::Daily => 0,
            Frequency::Weekly => return week(day, self.week_start),
            Frequency::Monthly => day.day0(),
            Frequency::Yearly => day.ordinal0(),
        };
        day - Days::new(u64::from(back))
    }

    /// The first day of the last period of the rule that does not begin after `near`; of its
    /// first if all do. Periods are alike, so that nothing is lost by beginning late.
    fn period_near(&self, first: NaiveDate, near: NaiveDate) -> NaiveDate {
        let (start, near) = (self.period(first), self.period(near.max(first)));
        let interval = u32::from(self.interval);
        let whole = |periods: i64| u32::try_from(periods).unwrap_or(0) / interval * interval;
        let days = (near - start).num_days();
        let months = i64::from(near.year() - start.year()) * 12 + i64::from(near.month())
            - i64::from(start.month());
        match self.frequency {
            Frequency::Daily => start + Days::new(u64::from(whole(days))),
            Frequency::Weekly => start + Days::new(u64::from(whole(days / 7)) * 7),
            Frequency::Monthly => start + Months::new(whole(months)),
            Frequency::Yearly => start + Months::new(whole(months / 12) * 12),
        }
    }

    /// Days of all periods from the one that begins with `start` to that of `last`, in order:
    /// more than belong to the rule, and none that does is missing.
    fn candidates(&self, start: NaiveDate, last: NaiveDate) -> Vec<NaiveDate> {
        // At noon in UTC, where no day is longer than another.
        let noon = NaiveTime::MIN + TimeDelta::hours(12);
        let start = start.and_time(noon).and_utc();
        // It refuses no frequency with plain weekdays. If it did, there would be no days, and
        // a rule without days is refused.
        let set = self.for_the_crate().build(start.with_timezone(&Tz::UTC));
        set.iter()
            .flat_map(|set: &RRuleSet| set.into_iter())
            .map(|at| at.date_naive())
            .take_while(|day| self.period(*day) <= last)
            .collect()
    }

    /// Days of the week that every period has, so that there always is a next day.
    fn for_the_crate(&self) -> RRule<Unvalidated> {
        let frequency = match self.frequency {
            Frequency::Daily => rrule::Frequency::Daily,
            Frequency::Weekly => rrule::Frequency::Weekly,
            Frequency::Monthly => rrule::Frequency::Monthly,
            Frequency::Yearly => rrule::Frequency::Yearly,
        };
        let weekdays = if self.frequency == Frequency::Daily || self.named_days.is_empty() {
            WEEK.map(NWeekday::Every).to_vec()
        } else {
            let named = self.named_days.iter();
            named.map(|day| NWeekday::Every(day.weekday)).collect()
        };
        RRule::new(frequency)
            .interval(self.interval)
            .week_start(self.week_start)
            .by_weekday(weekdays)
    }

    /// Whether every part that names days names this one.
    fn is_named(&self, day: NaiveDate) -> bool {
        let months = &self.months;
        (months.is_empty() || months.iter().any(|month| u32::from(*month) == day.month()))
            && counts(&self.month_days, day.day0(), month_length(day), 1)
            && counts(&self.year_days, day.ordinal0(), year_length(day), 1)
            && self.in_its_weeks(day)
            && self.in_its_named_days(day)
    }

    fn in_its_weeks(&self, day: NaiveDate) -> bool {
        // The first week is the first with four days in the year (RFC 5545, 3.3.10). So a week
        // belongs to the year of its fourth day, and that day counts the weeks.
        let fourth = week(day, self.week_start) + Days::new(3);
        counts(
            &self.week_numbers,
            fourth.ordinal0(),
            year_length(fourth),
            7,
        )
    }

    /// A number counts within the year where no months are named, and else within the month.
    fn in_its_named_days(&self, day: NaiveDate) -> bool {
        let in_year = self.frequency == Frequency::Yearly && self.months.is_empty();
        let (before, length) = if in_year {
            (day.ordinal0(), year_length(day))
        } else {
            (day.day0(), month_length(day))
        };
        self.named_days.is_empty()
            || self.named_days.iter().any(|named| {
                named.weekday == day.weekday()
                    && (named.number).is_none_or(|number| counts(&[number], before, length, 7))
            })
    }

    /// The days of one period at the positions that the rule asks for.
    fn at_positions(&self, period: &[NaiveDate]) -> Vec<NaiveDate> {
        if self.positions.is_empty() {
            return period.to_vec();
        }
        let asked = |at: usize| {
            self.positions.iter().any(|position| {
                let steps = usize::from(position.unsigned_abs());
                if *position > 0 {
                    at + 1 == steps
                } else {
                    at + steps == period.len()
                }
            })
        };
        period
            .iter()
            .enumerate()
            .filter(|(at, _)| asked(*at))
            .map(|(_, day)| *day)
            .collect()
    }
}

/// The first day of the week that a day lies in.
fn week(day: NaiveDate, week_start: Weekday) -> NaiveDate {
    day - Days::new(u64::from(day.weekday().days_since(week_start)))
}

fn month_length(day: NaiveDate) -> u32 {
    u32::from(day.num_days_in_month())
}

fn year_length(day: NaiveDate) -> u32 {
    if day.leap_year() { 366 } else { 365 }
}

/// Whether `wanted` is empty or holds the number of a day, counted from 1 at the start or from
/// -1 at the end, in steps of `step` days; `before` of `length` days lie before it.
fn counts(wanted: &[i16], before: u32, length: u32, step: u32) -> bool {
    let number = |days: u32| i64::from(days / step + 1);
    let (up, down) = (number(before), -number(length - 1 - before));
    wanted.is_empty()
        || wanted
            .iter()
            .any(|wanted| [up, down].contains(&i64::from(*wanted)))
}
