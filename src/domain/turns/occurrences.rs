//! The days of a rule that others wrote: it may have begun long ago, and never end.

use super::combinations;
use super::expansion;
use super::pattern::YEARS;
use super::refusal::Refusal;
use super::rule::Rule;
use chrono::{Datelike, NaiveDate};
use std::ops::RangeInclusive;

/// Those days of the value of an RRULE property (RFC 5545, 3.3.10) that are wanted, in order.
///
/// It is read as strictly as that of a [`Pattern`](super::Pattern), and its days are the same;
/// but it need not end, and it may give none. The work is in proportion to the wanted days and
/// one interval; if there is a COUNT, to the days from the first to the last wanted one. The
/// caller bounds both.
///
/// # Errors
///
/// What the standard forbids or leaves open, what repeats within a day, and a first day
/// outside [`YEARS`].
pub fn occurrences(
    rule: &str,
    first_day: NaiveDate,
    wanted: RangeInclusive<NaiveDate>,
) -> Result<Vec<NaiveDate>, Refusal> {
    let rule = Rule::read(rule)?;
    combinations::check(&rule)?;
    if !YEARS.contains(&first_day.year()) {
        return Err(Refusal::FirstDay);
    }
    if rule.until.is_some_and(|until| until < first_day) {
        return Err(Refusal::UntilBeforeFirstDay);
    }
    let (from, to) = wanted.into_inner();
    let to = rule.until.map_or(to, |until| until.min(to));
    let Some(count) = rule.count else {
        return Ok(expansion::days(&rule, first_day, from..=to));
    };
    let mut days = expansion::days(&rule, first_day, first_day..=to);
    if days.first().is_some_and(|day| *day != first_day) {
        return Err(Refusal::FirstDayNotInRule);
    }
    days.truncate(usize::try_from(count).unwrap_or(usize::MAX));
    days.retain(|day| *day >= from);
    Ok(days)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::turns::Pattern;
    use chrono::Days;
    use proptest::prelude::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn shown(rule: &str, first: &str, wanted: [&str; 2]) -> Result<Vec<String>, &'static str> {
        let days = occurrences(rule, day(first), day(wanted[0])..=day(wanted[1]));
        days.map(|days| days.iter().map(ToString::to_string).collect())
            .map_err(|refusal| refusal.code())
    }

    /// Guards holidays that calendars have had for decades: they are no rhythm, and still have
    /// days.
    #[test]
    fn a_rule_may_have_begun_long_ago_and_never_end() {
        let years = ["2026-01-01", "2027-12-31"];
        assert_eq!(
            shown("FREQ=YEARLY;BYMONTH=11;BYDAY=4TH", "1999-11-25", years).unwrap(),
            ["2026-11-26", "2027-11-25"]
        );
        // Every third year from 1970, and the 29th of February of every fourth.
        assert_eq!(
            shown("FREQ=YEARLY;INTERVAL=3", "1970-05-01", years).unwrap(),
            ["2027-05-01"]
        );
        let decade = ["2025-01-01", "2034-12-31"];
        assert_eq!(
            shown("FREQ=YEARLY", "1972-02-29", decade).unwrap(),
            ["2028-02-29", "2032-02-29"]
        );
        let none: [&str; 0] = [];
        let past = ["2026-12-01", "2026-12-23"];
        assert_eq!(shown("FREQ=DAILY", "2026-12-24", past).unwrap(), none);
        assert_eq!(
            shown("FREQ=DAILY;COUNT=1000000", "2026-12-22", past).unwrap(),
            ["2026-12-22", "2026-12-23"]
        );
    }

    /// Guards against days that somebody else's calendar would not show.
    #[test]
    fn what_is_open_is_refused() {
        for (rule, code) in [
            ("FREQ=SECONDLY", "freq_too_fine"),
            ("FREQ=DAILY;UNTIL=20261201", "until_before_first_day"),
            ("FREQ=WEEKLY;BYDAY=MO;COUNT=3", "count_first_day"),
            ("FREQ=MONTHLY;BYWEEKNO=1", "byweekno_frequency"),
        ] {
            assert_eq!(
                shown(rule, "2026-12-24", ["2026-12-24", "2027-12-24"]),
                Err(code),
                "{rule}"
            );
        }
        assert_eq!(
            shown("FREQ=DAILY", "1969-12-31", ["2026-01-01"; 2]),
            Err("first_day_year")
        );
    }

    proptest! {
        /// Guards against two readings of one rule: where a pattern can be had, its wanted days
        /// are these.
        #[test]
        fn the_days_are_those_of_the_pattern(
            frequency in prop::sample::select(vec!["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]),
            interval in 1_u8..5,
            named in prop::sample::select(vec!["", ";BYDAY=MO,FR", ";BYDAY=TU;BYSETPOS=-1"]),
            end in prop::sample::select(vec!["", ";COUNT=3", ";UNTIL=20270301"]),
            begin in 0_u64..700,
            skipped in 0_u64..900,
        ) {
            let first = day("2026-01-01") + Days::new(begin);
            let last = first + Days::new(1_000);
            let from = first + Days::new(skipped);
            let rule = format!("FREQ={frequency};INTERVAL={interval}{named}{end}");
            let ours = occurrences(&rule, first, from..=last);
            match Pattern::parse(&rule, first, Some(last)) {
                Ok(pattern) => {
                    let wanted = pattern.days().iter().filter(|day| **day >= from);
                    prop_assert_eq!(ours.unwrap(), wanted.copied().collect::<Vec<_>>());
                }
                // Only a pattern wants some, and all that it counts.
                Err(Refusal::NoDays) => prop_assert_eq!(ours.unwrap(), []),
                Err(Refusal::CountBeyondSpan { found, .. }) => {
                    let all = occurrences(&rule, first, first..=last);
                    prop_assert_eq!(all.unwrap().len(), found);
                }
                Err(refusal) => prop_assert_eq!(ours, Err(refusal)),
            }
        }
    }
}
