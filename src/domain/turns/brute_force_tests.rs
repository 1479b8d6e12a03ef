//! The rules once more, in another way: every day of a span is asked whether it belongs.

use super::{Frequency, Pattern};
use chrono::{Datelike, Days, NaiveDate, Weekday};
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

const NAMES: [&str; 7] = ["MO", "TU", "WE", "TH", "FR", "SA", "SU"];

/// A rule as a test writes it. Days of the week by their number from Monday.
#[derive(Debug, Clone)]
struct Written {
    frequency: Frequency,
    interval: u16,
    week_start: usize,
    months: Vec<i64>,
    week_numbers: Vec<i64>,
    year_days: Vec<i64>,
    month_days: Vec<i64>,
    week_days: Vec<(i64, usize)>,
    positions: Vec<i64>,
}

impl Written {
    fn text(&self) -> String {
        let list = |name: &str, values: &[i64]| {
            let values: Vec<String> = values.iter().map(ToString::to_string).collect();
            (!values.is_empty()).then(|| format!("{name}={}", values.join(",")))
        };
        let week_days: Vec<String> = self
            .week_days
            .iter()
            .map(|&(number, day)| match number {
                0 => NAMES[day].to_owned(),
                number => format!("{number}{}", NAMES[day]),
            })
            .collect();
        let mut parts = vec![
            format!("FREQ={}", self.frequency.code()),
            format!("INTERVAL={}", self.interval),
            format!("WKST={}", NAMES[self.week_start]),
        ];
        parts.extend(list("BYMONTH", &self.months));
        parts.extend(list("BYWEEKNO", &self.week_numbers));
        parts.extend(list("BYYEARDAY", &self.year_days));
        parts.extend(list("BYMONTHDAY", &self.month_days));
        parts.extend(list("BYSETPOS", &self.positions));
        if !week_days.is_empty() {
            parts.push(format!("BYDAY={}", week_days.join(",")));
        }
        parts.join(";")
    }

    fn starts_week(&self, day: NaiveDate) -> bool {
        weekday(day) == self.week_start
    }

    /// The number of a day's period since some day long ago.
    fn period(&self, day: NaiveDate) -> i64 {
        let epoch = NaiveDate::from_ymd_opt(1900, 1, 1).unwrap();
        let days = (day - epoch).num_days();
        match self.frequency {
            Frequency::Daily => days,
            // The epoch was a Monday.
            Frequency::Weekly => (days - i64::try_from(self.week_start).unwrap()).div_euclid(7),
            Frequency::Monthly => i64::from(day.year()) * 12 + i64::from(day.month()),
            Frequency::Yearly => i64::from(day.year()),
        }
    }

    /// The first day of the week with the fourth of January.
    fn first_week(&self, year: i32) -> NaiveDate {
        let fourth = NaiveDate::from_ymd_opt(year, 1, 4).unwrap();
        back(fourth, |day| self.starts_week(day))
    }

    fn in_week_numbers(&self, day: NaiveDate) -> bool {
        [day.year() - 1, day.year(), day.year() + 1]
            .into_iter()
            .any(|year| {
                let (first, next) = (self.first_week(year), self.first_week(year + 1));
                let number = (day - first).num_days().div_euclid(7) + 1;
                let weeks = (next - first).num_days() / 7;
                (first..next).contains(&day)
                    && (self.week_numbers.contains(&number)
                        || self.week_numbers.contains(&(number - weeks - 1)))
            })
    }

    fn in_week_days(&self, day: NaiveDate) -> bool {
        let in_year = self.frequency == Frequency::Yearly && self.months.is_empty();
        let frame = |other: NaiveDate| {
            other.year() == day.year() && (in_year || other.month() == day.month())
        };
        let alike = |step: fn(NaiveDate) -> NaiveDate| {
            let days = std::iter::successors(Some(day), |other| Some(step(*other)));
            let days = days.take_while(|other| frame(*other));
            let count = days
                .filter(|other| other.weekday() == day.weekday())
                .count();
            i64::try_from(count).unwrap()
        };
        let from_start = alike(|other| other - Days::new(1));
        let from_end = alike(|other| other + Days::new(1));
        self.week_days.iter().any(|&(number, name)| {
            name == weekday(day) && (number == 0 || number == from_start || number == -from_end)
        })
    }

    fn fits(&self, day: NaiveDate, first: NaiveDate) -> bool {
        let month_length = i64::from(day.num_days_in_month());
        let month_day = i64::from(day.day());
        let year_length = if day.leap_year() { 366 } else { 365 };
        let year_day = i64::from(day.ordinal());
        let no_day =
            self.week_days.is_empty() && self.month_days.is_empty() && self.year_days.is_empty();
        let implied = match self.frequency {
            _ if !no_day => true,
            Frequency::Daily => true,
            Frequency::Weekly => day.weekday() == first.weekday(),
            Frequency::Monthly => day.day() == first.day(),
            Frequency::Yearly if !self.week_numbers.is_empty() => day.weekday() == first.weekday(),
            Frequency::Yearly => {
                day.day() == first.day()
                    && (!self.months.is_empty() || day.month() == first.month())
            }
        };
        let either = |values: &[i64], up: i64, down: i64| {
            values.is_empty() || values.contains(&up) || values.contains(&down)
        };
        implied
            && either(&self.months, i64::from(day.month()), 0)
            && either(&self.month_days, month_day, month_day - month_length - 1)
            && either(&self.year_days, year_day, year_day - year_length - 1)
            && (self.week_numbers.is_empty() || self.in_week_numbers(day))
            && (self.week_days.is_empty() || self.in_week_days(day))
    }

    fn days(&self, first: NaiveDate, last: NaiveDate) -> Vec<NaiveDate> {
        let origin = self.period(first);
        let span = first.iter_days().take_while(|day| *day <= last);
        span.filter(|&day| {
            let period = self.period(day);
            let counted = (period - origin) % i64::from(self.interval) == 0;
            counted && self.fits(day, first) && self.in_positions(day, first)
        })
        .collect()
    }

    fn in_positions(&self, day: NaiveDate, first: NaiveDate) -> bool {
        if self.positions.is_empty() {
            return true;
        }
        let period = self.period(day);
        let begin = back(day, |other| self.period(other - Days::new(1)) != period);
        let set: Vec<NaiveDate> = begin
            .iter_days()
            .take_while(|other| self.period(*other) == period)
            .filter(|other| self.fits(*other, first))
            .collect();
        let at = i64::try_from(set.iter().position(|other| *other == day).unwrap()).unwrap();
        let length = i64::try_from(set.len()).unwrap();
        self.positions.contains(&(at + 1)) || self.positions.contains(&(at - length))
    }
}

fn weekday(day: NaiveDate) -> usize {
    usize::try_from(day.weekday().days_since(Weekday::Mon)).unwrap()
}

/// The nearest day that is so, from `day` backwards.
fn back(day: NaiveDate, is_so: impl Fn(NaiveDate) -> bool) -> NaiveDate {
    std::iter::successors(Some(day), |other| Some(*other - Days::new(1)))
        .find(|other| is_so(*other))
        .unwrap()
}

/// None half of the time, else up to `most` numbers from 1 to `to`, or from -`to`.
fn numbers(most: usize, to: i64, signed: bool) -> BoxedStrategy<Vec<i64>> {
    let from = if signed { -to } else { 1 };
    let number = (from..=to).prop_filter("zero", |number| *number != 0);
    prop_oneof![Just(Vec::new()), prop::collection::vec(number, 1..=most)].boxed()
}

prop_compose! {
    /// Rules that the standard allows; one kind of week numbers or none.
    fn written()(
        frequency in select(Frequency::ALL),
        interval in select(vec![1_u16, 1, 2, 3, 4, 7, 12]),
        week_start in 0_usize..7,
        months in numbers(4, 12, false),
        week_numbers in prop_oneof![
            Just(Vec::new()),
            Just(vec![1]), Just(vec![-1]), Just(vec![52, 53]), Just(vec![-52, -53]),
            numbers(10, 53, true),
        ],
        year_days in numbers(40, 366, true),
        month_days in numbers(8, 31, true),
        names in subsequence(vec![0_usize, 1, 2, 3, 4, 5, 6], 0..=4),
        day_numbers in prop::collection::vec(select(vec![0_i64, 0, 1, 2, 4, 5, -1, -2, -4, -5, 53, -53]), 4),
        positions in numbers(3, 4, true),
        kept in prop::array::uniform4(any::<bool>()),
    ) -> Written {
        let yearly = frequency == Frequency::Yearly;
        let some = |list: Vec<i64>, kept: bool| if kept { list } else { Vec::new() };
        let week_numbers = some(week_numbers, yearly && kept[0]);
        let in_weeks = !week_numbers.is_empty();
        let numbered = !in_weeks && kept[1] && (yearly || frequency == Frequency::Monthly);
        let week_days = names
            .into_iter()
            .zip(day_numbers)
            .map(|(name, number)| (if numbered { number } else { 0 }, name))
            .collect::<Vec<_>>();
        let year_days = some(year_days, yearly && kept[2] && !in_weeks);
        let month_days = some(month_days, frequency != Frequency::Weekly && kept[3]);
        let alone = months.is_empty() && year_days.is_empty() && month_days.is_empty()
            && week_days.is_empty();
        Written {
            frequency,
            interval: if in_weeks { 1 } else { interval },
            week_start,
            months,
            positions: some(positions, !in_weeks && !alone && !kept[0]),
            week_numbers,
            year_days,
            month_days,
            week_days,
        }
    }
}

prop_compose! {
    /// A first and a last day around changes of the year and leap days.
    fn span()(start in 0_u64..4_000, length in 0_u64..1_098) -> (NaiveDate, NaiveDate) {
        let first = NaiveDate::from_ymd_opt(2022, 1, 1).unwrap() + Days::new(start);
        (first, first + Days::new(length))
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// Guards the days of every rule that the standard allows, and that they are in order,
    /// within the span, and none twice.
    #[test]
    fn a_rule_has_the_days_that_brute_force_finds(written in written(), (first, last) in span()) {
        let rule = written.text();
        let days = written.days(first, last);
        match Pattern::parse(&rule, first, Some(last)) {
            Ok(pattern) => {
                prop_assert_eq!(pattern.days(), &days, "{}", rule);
                prop_assert!(days.is_sorted_by(|one, next| one < next));
                prop_assert!(days[0] >= first && days[days.len() - 1] <= last);
                prop_assert!(days.len() <= 1_098);
            }
            Err(refusal) => {
                prop_assert_eq!(refusal.code(), "rule_no_days", "{}", rule);
                prop_assert!(days.is_empty(), "{}: {:?}", rule, days);
            }
        }
    }

    /// Guards the three ways to end a rule from drifting apart.
    #[test]
    fn an_end_by_count_until_or_last_day_is_the_same(written in written(), (first, last) in span()) {
        let rule = written.text();
        let by_last_day = Pattern::parse(&rule, first, Some(last));
        let until = format!("{rule};UNTIL={}", last.format("%Y%m%d"));
        prop_assert_eq!(&Pattern::parse(&until, first, None), &by_last_day);
        if let Ok(whole) = by_last_day {
            let count = format!("COUNT={};{rule}", whole.days().len());
            let counted = Pattern::parse(&count, first, Some(last));
            if whole.days()[0] == first {
                prop_assert_eq!(counted, Ok(whole));
            } else {
                prop_assert_eq!(counted.unwrap_err().code(), "count_first_day");
            }
        }
    }

    /// Guards the service: whatever somebody sends is days or a refusal, and never a panic.
    #[test]
    fn nonsense_is_refused_and_nothing_worse(
        pieces in prop::collection::vec(select(vec![
            "FREQ=", "DAILY", "YEARLY", "MONTHLY", "WEEKLY", ";", ";", "=", ",", "-", "+", "BYDAY=",
            "MO", "5SU", "BYSETPOS=", "366", "INTERVAL=", "1098", "COUNT=", "UNTIL=", "20280229",
            "T235959", "Z", "BYWEEKNO=", "53", "BYYEARDAY=", "BYMONTHDAY=", "31", "BYMONTH=", "2",
            "WKST=", "é", " ", "0",
        ]), 0..24),
        (first, last) in span(),
    ) {
        let rule = pieces.concat();
        if let Ok(pattern) = Pattern::parse(&rule, first, Some(last)) {
            prop_assert!(!pattern.days().is_empty());
        }
    }
}
