//! What is refused, with its code.

use super::refusal::Refusal;
use super::{Pattern, Window};
use chrono::{NaiveDate, NaiveTime};

/// A Wednesday.
const FIRST: &str = "2026-11-25";

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn read(rule: &str, last: &str) -> Result<Pattern, Refusal> {
    Pattern::parse(rule, date(FIRST), Some(date(last)))
}

/// The code, the rule and its last day; `-` for none.
const REFUSED: &[(&str, &str, &str)] = &[
    ("rule_not_ascii", "FREQ=DAILY;BYDAY=MÖ", "2027-01-01"),
    ("rule_malformed", "", "2027-01-01"),
    ("rule_malformed", "FREQ=DAILY;", "2027-01-01"),
    ("rule_malformed", "FREQ=DAILY;;COUNT=2", "2027-01-01"),
    ("rule_malformed", "FREQ=DAILY;COUNT", "2027-01-01"),
    ("rule_malformed", "FREQ=", "2027-01-01"),
    ("rule_malformed", "=DAILY", "2027-01-01"),
    ("rule_unknown_part", "RRULE:FREQ=DAILY", "2027-01-01"),
    (
        "rule_unknown_part",
        "RSCALE=GREGORIAN;FREQ=DAILY",
        "2027-01-01",
    ),
    ("rule_unknown_part", "FREQ=MONTHLY;SKIP=OMIT", "2027-01-01"),
    ("rule_unknown_part", "FREQ=YEARLY;BYEASTER=0", "2027-01-01"),
    ("rule_unknown_part", "FREQ=DAILY; COUNT=2", "2027-01-01"),
    ("freq_twice", "FREQ=DAILY;FREQ=DAILY", "2027-01-01"),
    (
        "until_twice",
        "FREQ=DAILY;UNTIL=20261201;UNTIL=20261202",
        "-",
    ),
    ("count_twice", "FREQ=DAILY;COUNT=2;count=2", "2027-01-01"),
    (
        "interval_twice",
        "INTERVAL=1;INTERVAL=2;FREQ=DAILY",
        "2027-01-01",
    ),
    ("byday_twice", "FREQ=DAILY;BYDAY=MO;BYDAY=TU", "2027-01-01"),
    (
        "bymonthday_twice",
        "FREQ=MONTHLY;BYMONTHDAY=1;BYMONTHDAY=2",
        "2027-01-01",
    ),
    (
        "byyearday_twice",
        "FREQ=YEARLY;BYYEARDAY=1;BYYEARDAY=2",
        "2027-01-01",
    ),
    (
        "byweekno_twice",
        "FREQ=YEARLY;BYWEEKNO=1;BYWEEKNO=2",
        "2027-01-01",
    ),
    (
        "bymonth_twice",
        "FREQ=DAILY;BYMONTH=1;BYMONTH=2",
        "2027-01-01",
    ),
    (
        "bysetpos_twice",
        "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=1;BYSETPOS=1",
        "2027-01-01",
    ),
    ("wkst_twice", "FREQ=DAILY;WKST=MO;WKST=MO", "2027-01-01"),
    ("freq_missing", "BYDAY=MO", "2027-01-01"),
    ("freq_too_fine", "FREQ=SECONDLY", "2027-01-01"),
    ("freq_too_fine", "FREQ=MINUTELY;INTERVAL=1440", "2027-01-01"),
    ("freq_too_fine", "freq=hourly", "2027-01-01"),
    ("byhour_too_fine", "FREQ=DAILY;BYHOUR=12", "2027-01-01"),
    ("byminute_too_fine", "FREQ=DAILY;BYMINUTE=0", "2027-01-01"),
    ("bysecond_too_fine", "FREQ=DAILY;BYSECOND=0", "2027-01-01"),
    ("freq_value", "FREQ=FORTNIGHTLY", "2027-01-01"),
    ("interval_value", "FREQ=DAILY;INTERVAL=0", "2027-01-01"),
    ("interval_value", "FREQ=DAILY;INTERVAL=1099", "2027-01-01"),
    ("interval_value", "FREQ=DAILY;INTERVAL=+2", "2027-01-01"),
    (
        "interval_value",
        "FREQ=DAILY;INTERVAL=99999999999999999999",
        "2027-01-01",
    ),
    ("count_value", "FREQ=DAILY;COUNT=0", "2027-01-01"),
    ("count_value", "FREQ=DAILY;COUNT=-1", "2027-01-01"),
    ("count_value", "FREQ=DAILY;COUNT=4294967296", "2027-01-01"),
    ("until_value", "FREQ=DAILY;UNTIL=2026-12-01", "-"),
    ("until_value", "FREQ=DAILY;UNTIL=20270229", "-"),
    ("until_value", "FREQ=DAILY;UNTIL=20261201Z", "-"),
    ("until_value", "FREQ=DAILY;UNTIL=20261201T240000", "-"),
    ("until_value", "FREQ=DAILY;UNTIL=20261201T0000", "-"),
    ("until_value", "FREQ=DAILY;UNTIL=20261201T000000+0100", "-"),
    ("until_utc", "FREQ=DAILY;UNTIL=20261201T235959Z", "-"),
    ("byday_value", "FREQ=DAILY;BYDAY=MON", "2027-01-01"),
    ("byday_value", "FREQ=DAILY;BYDAY=M", "2027-01-01"),
    ("byday_value", "FREQ=DAILY;BYDAY=MO,", "2027-01-01"),
    ("byday_value", "FREQ=MONTHLY;BYDAY=0MO", "2027-01-01"),
    ("byday_value", "FREQ=YEARLY;BYDAY=54MO", "2027-01-01"),
    ("byday_value", "FREQ=YEARLY;BYDAY=-54MO", "2027-01-01"),
    ("byday_value", "FREQ=YEARLY;BYDAY=-+1MO", "2027-01-01"),
    (
        "bymonthday_value",
        "FREQ=MONTHLY;BYMONTHDAY=0",
        "2027-01-01",
    ),
    (
        "bymonthday_value",
        "FREQ=MONTHLY;BYMONTHDAY=32",
        "2027-01-01",
    ),
    (
        "bymonthday_value",
        "FREQ=MONTHLY;BYMONTHDAY=-32",
        "2027-01-01",
    ),
    ("byyearday_value", "FREQ=YEARLY;BYYEARDAY=367", "2027-01-01"),
    ("byyearday_value", "FREQ=YEARLY;BYYEARDAY=-0", "2027-01-01"),
    ("byweekno_value", "FREQ=YEARLY;BYWEEKNO=54", "2027-01-01"),
    ("bymonth_value", "FREQ=DAILY;BYMONTH=13", "2027-01-01"),
    ("bymonth_value", "FREQ=DAILY;BYMONTH=-1", "2027-01-01"),
    (
        "bysetpos_value",
        "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=0",
        "2027-01-01",
    ),
    (
        "bysetpos_value",
        "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=367",
        "2027-01-01",
    ),
    ("wkst_value", "FREQ=WEEKLY;WKST=1MO", "2027-01-01"),
    (
        "byweekno_frequency",
        "FREQ=MONTHLY;BYWEEKNO=1",
        "2027-01-01",
    ),
    ("byweekno_frequency", "FREQ=WEEKLY;BYWEEKNO=1", "2027-01-01"),
    ("byweekno_frequency", "FREQ=DAILY;BYWEEKNO=1", "2027-01-01"),
    (
        "byyearday_frequency",
        "FREQ=MONTHLY;BYYEARDAY=1",
        "2027-01-01",
    ),
    (
        "byyearday_frequency",
        "FREQ=WEEKLY;BYYEARDAY=1",
        "2027-01-01",
    ),
    (
        "byyearday_frequency",
        "FREQ=DAILY;BYYEARDAY=1",
        "2027-01-01",
    ),
    (
        "bymonthday_frequency",
        "FREQ=WEEKLY;BYMONTHDAY=1",
        "2027-01-01",
    ),
    ("byday_numbered", "FREQ=WEEKLY;BYDAY=1MO", "2027-01-01"),
    ("byday_numbered", "FREQ=DAILY;BYDAY=TU,-1MO", "2027-01-01"),
    (
        "byday_with_byweekno",
        "FREQ=YEARLY;BYWEEKNO=1;BYDAY=1MO",
        "2027-01-01",
    ),
    (
        "interval_with_byweekno",
        "FREQ=YEARLY;BYWEEKNO=1;INTERVAL=2",
        "2027-01-01",
    ),
    (
        "bysetpos_with_byweekno",
        "FREQ=YEARLY;BYWEEKNO=1;BYSETPOS=1",
        "2027-01-01",
    ),
    ("bysetpos_alone", "FREQ=MONTHLY;BYSETPOS=1", "2027-01-01"),
    (
        "until_with_count",
        "FREQ=DAILY;COUNT=2;UNTIL=20261201",
        "2027-01-01",
    ),
    (
        "until_before_first_day",
        "FREQ=DAILY;UNTIL=20261124",
        "2027-01-01",
    ),
    ("last_day_before_first_day", "FREQ=DAILY", "2026-11-24"),
    ("rule_endless", "FREQ=DAILY", "-"),
    ("span_too_long", "FREQ=YEARLY", "2029-11-27"),
    ("span_too_long", "FREQ=DAILY;UNTIL=20291127", "-"),
    ("count_too_many", "FREQ=DAILY;COUNT=1099", "-"),
    ("count_beyond_span", "FREQ=WEEKLY;COUNT=6", "2026-12-25"),
    ("count_beyond_span", "FREQ=YEARLY;COUNT=5", "-"),
    ("count_first_day", "FREQ=WEEKLY;BYDAY=TH;COUNT=3", "-"),
    (
        "rule_no_days",
        "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
        "2027-11-25",
    ),
    (
        "rule_no_days",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "2027-11-25",
    ),
    (
        "rule_no_days",
        "FREQ=MONTHLY;INTERVAL=12;BYMONTH=2",
        "2027-11-25",
    ),
    (
        "rule_no_days",
        "FREQ=DAILY;INTERVAL=7;BYDAY=MO",
        "2027-11-25",
    ),
    (
        "rule_no_days",
        "FREQ=MONTHLY;BYMONTHDAY=20;BYDAY=1MO",
        "2027-11-25",
    ),
    (
        "rule_no_days",
        "FREQ=YEARLY;BYWEEKNO=20;BYMONTH=1",
        "2027-11-25",
    ),
    (
        "rule_no_days",
        "FREQ=DAILY;BYDAY=WE;BYSETPOS=2",
        "2027-11-25",
    ),
    ("rule_no_days", "FREQ=MONTHLY;BYDAY=6MO;COUNT=2", "-"),
];

/// Guards the codes that clients and the wording go by.
#[test]
fn what_is_wrong_with_a_rule_has_its_code() {
    for &(code, rule, last) in REFUSED {
        let last = (last != "-").then(|| date(last));
        let refusal = Pattern::parse(rule, date(FIRST), last).unwrap_err();
        assert_eq!(refusal.code(), code, "{rule}: {refusal}");
        assert!(!refusal.to_string().is_empty());
    }
}

/// Guards the bound on what is read at all.
#[test]
fn a_text_is_read_up_to_500_bytes() {
    let rule = format!("FREQ=MONTHLY;BYMONTHDAY=1{}", ",1".repeat(237));
    assert_eq!(rule.len(), 499);
    read(&rule, "2027-01-01").unwrap();
    let longer = format!("{rule},1");
    let refusal = read(&longer, "2027-01-01").unwrap_err();
    assert_eq!(refusal, Refusal::TooLong { bytes: 501 });
    assert_eq!(refusal.code(), "rule_too_long");
}

/// Guards against rules of which nobody could print the days, and whose search would not end.
#[test]
fn years_that_no_calendar_shows_are_refused() {
    for first in ["1969-12-31", "9991-01-01"] {
        let refusal = Pattern::parse("FREQ=DAILY;COUNT=2", date(first), None).unwrap_err();
        assert_eq!(refusal.code(), "first_day_year");
    }
    for first in ["1970-01-01", "9990-12-31"] {
        let pattern = Pattern::parse("FREQ=DAILY;COUNT=1098", date(first), None).unwrap();
        assert_eq!(pattern.days().len(), 1_098, "{first}");
    }
}

/// Guards the longest span from being shorter than it says.
#[test]
fn three_years_are_taken() {
    let pattern = read("FREQ=DAILY", "2029-11-26").unwrap();
    assert_eq!(pattern.days().len(), 1_098);
}

/// Guards windows that would open when they are closed.
#[test]
fn a_window_closes_after_it_opens() {
    let time = |text: &str| -> NaiveTime { text.parse().unwrap() };
    for (opens, closes) in [("18:00:00", "18:00:00"), ("18:00:00", "07:00:00")] {
        let refusal = Window::new(time(opens), time(closes)).unwrap_err();
        assert_eq!(refusal.code(), "window_backwards");
    }
    assert!(Window::new(time("07:00:00"), time("18:00:00")).is_ok());
}

/// A new way to refuse that no test above provokes does not get past this.
#[test]
fn every_refusal_is_provoked_by_a_test() {
    // Those with tests of their own, above.
    let mut provoked = vec![
        Refusal::TooLong { bytes: 501 },
        Refusal::FirstDay,
        Refusal::WindowBackwards,
    ];
    provoked.extend(REFUSED.iter().map(|&(_, rule, last)| {
        let last = (last != "-").then(|| date(last));
        Pattern::parse(rule, date(FIRST), last).unwrap_err()
    }));
    let row = |refusal: &Refusal| match refusal {
        Refusal::TooLong { .. } => 0,
        Refusal::NotAscii => 1,
        Refusal::Malformed { .. } => 2,
        Refusal::UnknownPart { .. } => 3,
        Refusal::Twice(_) => 4,
        Refusal::NoFrequency => 5,
        Refusal::TooFine(_) => 6,
        Refusal::Value { .. } => 7,
        Refusal::Frequency { .. } => 8,
        Refusal::NumberedDay => 9,
        Refusal::WithWeekNumber(_) => 10,
        Refusal::PositionAlone => 11,
        Refusal::UntilWithCount => 12,
        Refusal::UntilInUtc => 13,
        Refusal::UntilBeforeFirstDay => 14,
        Refusal::LastDayBeforeFirstDay => 15,
        Refusal::FirstDay => 16,
        Refusal::Endless => 17,
        Refusal::SpanTooLong { .. } => 18,
        Refusal::TooManyDays { .. } => 19,
        Refusal::CountBeyondSpan { .. } => 20,
        Refusal::FirstDayNotInRule => 21,
        Refusal::NoDays => 22,
        Refusal::WindowBackwards => 23,
    };
    let rows: std::collections::BTreeSet<_> = provoked.iter().map(row).collect();
    assert_eq!(rows.len(), 24);
}
