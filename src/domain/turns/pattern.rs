//! A bin's rhythm: a recurrence rule and its days.

use super::combinations;
use super::expansion;
use super::refusal::Refusal;
use super::rule::Rule;
use chrono::{Datelike, Days, NaiveDate};
use std::ops::RangeInclusive;

/// The longest span in days, and so the most days: three years with a leap day and a bit.
/// Ours: a rota is drafted for a term or a year.
pub const MOST_DAYS: u32 = 1_098;
/// The years that a first day may lie in: those of today's calendar that have four digits.
pub const YEARS: RangeInclusive<i32> = 1970..=9990;

/// The days of a recurrence rule, at a site and without times: at least one.
///
/// # Examples
///
/// ```
/// use wormrota_domain::turns::Pattern;
///
/// let first = "2026-12-01".parse().expect("a date");
/// let pattern = Pattern::parse("FREQ=WEEKLY;BYDAY=TU,FR;COUNT=3", first, None)?;
/// let days: Vec<String> = pattern.days().iter().map(ToString::to_string).collect();
/// assert_eq!(days, ["2026-12-01", "2026-12-04", "2026-12-08"]);
/// # Ok::<(), wormrota_domain::turns::Refusal>(())
/// ```
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    days: Vec<NaiveDate>,
}

impl Pattern {
    /// Reads the value of an RRULE property (RFC 5545, 3.3.10) as local days.
    ///
    /// The rule begins on `first_day`: intervals are counted from it, and days or months that
    /// no part names are its own. With COUNT it must be a day of the rule, because there the
    /// standard counts it anyway. It ends with UNTIL, COUNT or `last_day`, whichever comes
    /// first; but a COUNT that `last_day` cuts short is refused. UNTIL is a date, or a local
    /// time of which the date is taken; both ends are included.
    ///
    /// # Errors
    ///
    /// What the standard forbids or leaves open, what repeats within a day, what never ends or
    /// gives no day, and more than [`MOST_DAYS`] from the first to the last day.
    pub fn parse(
        rule: &str,
        first_day: NaiveDate,
        last_day: Option<NaiveDate>,
    ) -> Result<Self, Refusal> {
        let rule = Rule::read(rule)?;
        combinations::check(&rule)?;
        let end = end(&rule, first_day, last_day)?;
        let mut days = expansion::days(&rule, first_day, first_day..=end);
        if days.is_empty() {
            return Err(Refusal::NoDays);
        }
        if let Some(count) = rule.count {
            if days.first() != Some(&first_day) {
                return Err(Refusal::FirstDayNotInRule);
            }
            let wanted = usize::try_from(count).unwrap_or(usize::MAX);
            if days.len() < wanted {
                return Err(Refusal::CountBeyondSpan {
                    found: days.len(),
                    count,
                });
            }
            days.truncate(wanted);
        }
        Ok(Self { days })
    }

    /// All days, in order, none twice.
    #[must_use]
    pub fn days(&self) -> &[NaiveDate] {
        &self.days
    }
}

/// The last day that a rule can reach.
fn end(
    rule: &Rule,
    first_day: NaiveDate,
    last_day: Option<NaiveDate>,
) -> Result<NaiveDate, Refusal> {
    if !YEARS.contains(&first_day.year()) {
        return Err(Refusal::FirstDay);
    }
    if last_day.is_some_and(|last| last < first_day) {
        return Err(Refusal::LastDayBeforeFirstDay);
    }
    if rule.until.is_some_and(|until| until < first_day) {
        return Err(Refusal::UntilBeforeFirstDay);
    }
    if let Some(count) = rule.count.filter(|count| *count > MOST_DAYS) {
        return Err(Refusal::TooManyDays { count });
    }
    // A COUNT that ends soon is taken even if the last day is far.
    let longest = first_day + Days::new(u64::from(MOST_DAYS) - 1);
    let ends = [rule.until, last_day, rule.count.map(|_| longest)];
    let end = ends.into_iter().flatten().min().ok_or(Refusal::Endless)?;
    let days = (end - first_day).num_days() + 1;
    if days > i64::from(MOST_DAYS) {
        return Err(Refusal::SpanTooLong { days });
    }
    Ok(end)
}
