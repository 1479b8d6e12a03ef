//! From the parts of a rule to its days.
//!
//! The crate `rrule` steps through the periods and picks their days by month, day of the month,
//! day of the year and day of the week. The rest is reckoned here, because it reads it otherwise
//! than RFC 5545, 3.3.10, or not at all:
//!
//! - `BYDAY=MO,1TU` names every Monday and the first Tuesday; it takes only days that are both.
//! - `-5MO` of a month and `-53MO` of a year may be asked for; it refuses them.
//! - Days around New Year are in the weeks that the calendar gives them, from whichever end the
//!   weeks are numbered; it misses some. `BYWEEKNO` without a day means the first day's weekday,
//!   not seven days.
//! - A period starts at its beginning, not at the first day: `BYSETPOS=1` of a week that is
//!   half over is a day before the first.
//! - Positions that no period reaches match nothing; it refuses them.

use super::part::Frequency;
use super::rule::{NamedDay, Rule};
use super::week;
use chrono::{Datelike, Days, Month, NaiveDate, NaiveTime};
use rrule::{NWeekday, RRule, Tz, Unvalidated};

/// The calendar repeats itself, days of the week included, after so many days and years.
const CYCLE_DAYS: u64 = 146_097;
const CYCLE_YEARS: i32 = 400;
/// The crate stops looking for a next day after the year 10,000.
const LAST_YEAR: i32 = 9_999;

/// The days of a rule from `first` to `last`, in order, whatever COUNT and UNTIL say.
///
/// `last` must not lie before `first`, nor outside of years with four digits.
pub(super) fn days(rule: &Rule, first: NaiveDate, last: NaiveDate) -> Vec<NaiveDate> {
    let rule = rule.with_what_the_first_day_says(first);
    let candidates: Vec<NaiveDate> = rule
        .candidates(first, last)
        .filter(|day| rule.in_its_weeks(*day) && rule.in_its_named_days(*day))
        .collect();
    candidates
        .chunk_by(|one, next| rule.period(*one) == rule.period(*next))
        .flat_map(|period| rule.at_positions(period))
        .filter(|day| (first..=last).contains(day))
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
            Frequency::Weekly => return week::start(day, self.week_start),
            Frequency::Monthly => day.day0(),
            Frequency::Yearly => day.ordinal0(),
        };
        day - Days::new(u64::from(back))
    }

    /// What the crate finds in all periods from that of `first` to that of `last`.
    ///
    /// The crate looks for a next day until it finds one. It is asked as late as the calendar
    /// allows, so that the search for a day that never comes is short.
    fn candidates(&self, first: NaiveDate, last: NaiveDate) -> impl Iterator<Item = NaiveDate> {
        let cycles = (LAST_YEAR - last.year()).div_euclid(CYCLE_YEARS);
        let later = Days::new(CYCLE_DAYS * u64::from(cycles.unsigned_abs()));
        // At noon in UTC, where no day is longer than another.
        let noon = NaiveTime::MIN + chrono::TimeDelta::hours(12);
        let start = (self.period(first) + later)
            .and_time(noon)
            .and_utc()
            .with_timezone(&Tz::UTC);
        // What it refuses beyond what was refused before gives no days, and that is refused.
        let set = self
            .for_the_crate()
            .build(start)
            .ok()
            .map(rrule::RRuleSet::limit);
        let found: Vec<NaiveDate> = set
            .iter()
            .flatten()
            .map(|at| at.date_naive() - later)
            .take_while(|day| self.period(*day) <= last)
            .collect();
        found.into_iter()
    }

    fn for_the_crate(&self) -> RRule<Unvalidated> {
        let frequency = match self.frequency {
            Frequency::Daily => rrule::Frequency::Daily,
            Frequency::Weekly => rrule::Frequency::Weekly,
            Frequency::Monthly => rrule::Frequency::Monthly,
            Frequency::Yearly => rrule::Frequency::Yearly,
        };
        let months: Vec<Month> = self
            .months
            .iter()
            .filter_map(|month| Month::try_from(*month).ok())
            .collect();
        let weekdays = self
            .named_days
            .iter()
            .map(|day| NWeekday::Every(day.weekday))
            .collect();
        let month_days = self
            .month_days
            .iter()
            .filter_map(|day| i8::try_from(*day).ok())
            .collect();
        RRule::new(frequency)
            .interval(self.interval)
            .week_start(self.week_start)
            .by_month(&months)
            .by_month_day(month_days)
            .by_year_day(self.year_days.clone())
            .by_weekday(weekdays)
    }

    fn in_its_weeks(&self, day: NaiveDate) -> bool {
        self.week_numbers.is_empty()
            || week::numbers(day, self.week_start)
                .iter()
                .any(|number| self.week_numbers.contains(number))
    }

    /// A number counts within the year where no months are named, and else within the month.
    fn in_its_named_days(&self, day: NaiveDate) -> bool {
        let in_year = self.frequency == Frequency::Yearly && self.months.is_empty();
        let (before, length) = if in_year {
            (day.ordinal0(), if day.leap_year() { 366 } else { 365 })
        } else {
            (day.day0(), u32::from(day.num_days_in_month()))
        };
        let nth = |days: u32| i16::try_from(days / 7 + 1).unwrap_or(i16::MAX);
        let numbers = [nth(before), -nth(length - 1 - before)];
        self.named_days.is_empty()
            || self.named_days.iter().any(|named| {
                named.weekday == day.weekday()
                    && named.number.is_none_or(|number| numbers.contains(&number))
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
