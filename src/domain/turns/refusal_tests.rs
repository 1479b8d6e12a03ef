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

/// The code and the rule, which ends a year later.
const REFUSED: &[(&str, &str)] = &[
    ("rule_not_ascii", "FREQ=DAILY;BYDAY=MÖ"),
    ("rule_malformed", ""),
    ("rule_malformed", "FREQ=DAILY;"),
    ("rule_malformed", "FREQ=DAILY;;COUNT=2"),
    ("rule_malformed", "FREQ=DAILY;COUNT"),
    ("rule_malformed", "FREQ="),
    ("rule_malformed", "=DAILY"),
    ("rule_unknown_part", "RRULE:FREQ=DAILY"),
    ("rule_unknown_part", "RSCALE=GREGORIAN;FREQ=DAILY"),
    ("rule_unknown_part", "FREQ=MONTHLY;SKIP=OMIT"),
    ("rule_unknown_part", "FREQ=YEARLY;BYEASTER=0"),
    ("rule_unknown_part", "FREQ=DAILY; COUNT=2"),
    ("freq_twice", "FREQ=DAILY;FREQ=DAILY"),
    ("count_twice", "FREQ=DAILY;COUNT=2;count=2"),
    ("interval_twice", "INTERVAL=1;INTERVAL=2;FREQ=DAILY"),
    ("byday_twice", "FREQ=DAILY;BYDAY=MO;BYDAY=TU"),
    ("bymonthday_twice", "FREQ=MONTHLY;BYMONTHDAY=1;BYMONTHDAY=2"),
    ("byyearday_twice", "FREQ=YEARLY;BYYEARDAY=1;BYYEARDAY=2"),
    ("byweekno_twice", "FREQ=YEARLY;BYWEEKNO=1;BYWEEKNO=2"),
    ("bymonth_twice", "FREQ=DAILY;BYMONTH=1;BYMONTH=2"),
    (
        "bysetpos_twice",
        "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=1;BYSETPOS=1",
    ),
    ("wkst_twice", "FREQ=DAILY;WKST=MO;WKST=MO"),
    ("freq_missing", "BYDAY=MO"),
    ("freq_too_fine", "FREQ=SECONDLY"),
    ("freq_too_fine", "FREQ=MINUTELY;INTERVAL=1440"),
    ("freq_too_fine", "freq=hourly"),
    ("byhour_too_fine", "FREQ=DAILY;BYHOUR=12"),
    ("byminute_too_fine", "FREQ=DAILY;BYMINUTE=0"),
    ("bysecond_too_fine", "FREQ=DAILY;BYSECOND=0"),
    ("freq_value", "FREQ=FORTNIGHTLY"),
    ("interval_value", "FREQ=DAILY;INTERVAL=0"),
    ("interval_value", "FREQ=DAILY;INTERVAL=1099"),
    ("interval_value", "FREQ=DAILY;INTERVAL=+2"),
    ("interval_value", "FREQ=DAILY;INTERVAL=99999999999999999999"),
    ("count_value", "FREQ=DAILY;COUNT=0"),
    ("count_value", "FREQ=DAILY;COUNT=-1"),
    ("count_value", "FREQ=DAILY;COUNT=4294967296"),
    ("byday_value", "FREQ=DAILY;BYDAY=MON"),
    ("byday_value", "FREQ=DAILY;BYDAY=M"),
    ("byday_value", "FREQ=DAILY;BYDAY=MO,"),
    ("byday_value", "FREQ=MONTHLY;BYDAY=0MO"),
    ("byday_value", "FREQ=YEARLY;BYDAY=54MO"),
    ("byday_value", "FREQ=YEARLY;BYDAY=-54MO"),
    ("byday_value", "FREQ=YEARLY;BYDAY=-+1MO"),
    ("bymonthday_value", "FREQ=MONTHLY;BYMONTHDAY=0"),
    ("bymonthday_value", "FREQ=MONTHLY;BYMONTHDAY=32"),
    ("bymonthday_value", "FREQ=MONTHLY;BYMONTHDAY=-32"),
    ("bymonthday_value", "FREQ=MONTHLY;BYMONTHDAY=001"),
    ("bymonth_value", "FREQ=DAILY;BYMONTH=001"),
    ("byyearday_value", "FREQ=YEARLY;BYYEARDAY=367"),
    ("byyearday_value", "FREQ=YEARLY;BYYEARDAY=-0"),
    ("byweekno_value", "FREQ=YEARLY;BYWEEKNO=54"),
    ("bymonth_value", "FREQ=DAILY;BYMONTH=13"),
    ("bymonth_value", "FREQ=DAILY;BYMONTH=-1"),
    ("bysetpos_value", "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=0"),
    ("bysetpos_value", "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=367"),
    ("wkst_value", "FREQ=WEEKLY;WKST=1MO"),
    ("byweekno_frequency", "FREQ=MONTHLY;BYWEEKNO=1"),
    ("byweekno_frequency", "FREQ=WEEKLY;BYWEEKNO=1"),
    ("byweekno_frequency", "FREQ=DAILY;BYWEEKNO=1"),
    ("byyearday_frequency", "FREQ=MONTHLY;BYYEARDAY=1"),
    ("byyearday_frequency", "FREQ=WEEKLY;BYYEARDAY=1"),
    ("byyearday_frequency", "FREQ=DAILY;BYYEARDAY=1"),
    ("bymonthday_frequency", "FREQ=WEEKLY;BYMONTHDAY=1"),
    ("byday_numbered", "FREQ=WEEKLY;BYDAY=1MO"),
    ("byday_numbered", "FREQ=DAILY;BYDAY=TU,-1MO"),
    ("byday_with_byweekno", "FREQ=YEARLY;BYWEEKNO=1;BYDAY=1MO"),
    (
        "interval_with_byweekno",
        "FREQ=YEARLY;BYWEEKNO=1;INTERVAL=2",
    ),
    (
        "bysetpos_with_byweekno",
        "FREQ=YEARLY;BYWEEKNO=1;BYSETPOS=1",
    ),
    ("bysetpos_alone", "FREQ=MONTHLY;BYSETPOS=1"),
    ("until_with_count", "FREQ=DAILY;COUNT=2;UNTIL=20261201"),
    ("until_before_first_day", "FREQ=DAILY;UNTIL=20261124"),
    ("rule_no_days", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"),
    ("rule_no_days", "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30"),
    ("rule_no_days", "FREQ=MONTHLY;INTERVAL=12;BYMONTH=2"),
    ("rule_no_days", "FREQ=DAILY;INTERVAL=7;BYDAY=MO"),
    ("rule_no_days", "FREQ=MONTHLY;BYMONTHDAY=20;BYDAY=1MO"),
    ("rule_no_days", "FREQ=YEARLY;BYWEEKNO=20;BYMONTH=1"),
    ("rule_no_days", "FREQ=DAILY;BYDAY=WE;BYSETPOS=2"),
];

/// The code, the rule and its last day, if it has one.
const REFUSED_FOR_THEIR_END: &[(&str, &str, Option<&str>)] = &[
    (
        "until_twice",
        "FREQ=DAILY;UNTIL=20261201;UNTIL=20261202",
        None,
    ),
    ("until_value", "FREQ=DAILY;UNTIL=2026-12-01", None),
    ("until_value", "FREQ=DAILY;UNTIL=20270229", None),
    ("until_value", "FREQ=DAILY;UNTIL=20261201Z", None),
    ("until_value", "FREQ=DAILY;UNTIL=20261201T240000", None),
    ("until_value", "FREQ=DAILY;UNTIL=20261201T0000", None),
    ("until_value", "FREQ=DAILY;UNTIL=20261201T000000+0100", None),
    ("until_utc", "FREQ=DAILY;UNTIL=20261201T235959Z", None),
    (
        "last_day_before_first_day",
        "FREQ=DAILY",
        Some("2026-11-24"),
    ),
    ("rule_endless", "FREQ=DAILY", None),
    ("span_too_long", "FREQ=YEARLY", Some("2029-11-27")),
    ("span_too_long", "FREQ=DAILY;UNTIL=20291127", None),
    ("count_too_many", "FREQ=DAILY;COUNT=1099", None),
    (
        "count_beyond_span",
        "FREQ=WEEKLY;COUNT=6",
        Some("2026-12-25"),
    ),
    ("count_beyond_span", "FREQ=YEARLY;COUNT=5", None),
    ("count_first_day", "FREQ=WEEKLY;BYDAY=TH;COUNT=3", None),
    ("rule_no_days", "FREQ=MONTHLY;BYDAY=6MO;COUNT=2", None),
];

fn refused() -> Vec<(&'static str, &'static str, Refusal)> {
    let of_a_year = REFUSED
        .iter()
        .map(|&(code, rule)| (code, rule, Some("2027-11-25")));
    of_a_year
        .chain(REFUSED_FOR_THEIR_END.iter().copied())
        .map(|(code, rule, last)| {
            let pattern = Pattern::parse(rule, date(FIRST), last.map(date));
            (code, rule, pattern.unwrap_err())
        })
        .collect()
}

/// Guards the codes that clients and the wording go by.
#[test]
fn what_is_wrong_with_a_rule_has_its_code() {
    for (code, rule, refusal) in refused() {
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

/// Guards rules as other calendars write them.
#[test]
fn case_order_signs_and_zeros_in_front_do_not_matter() {
    let plain = read("FREQ=MONTHLY;INTERVAL=2;BYDAY=1MO,-1FR", "2027-11-25").unwrap();
    for same in [
        "freq=monthly;interval=2;byday=1mo,-1fr",
        "BYDAY=-1FR,+1MO;WKST=SU;INTERVAL=0002;FREQ=MONTHLY",
        "BYDAY=01MO,-01FR,1MO;FREQ=MONTHLY;INTERVAL=2;UNTIL=20271125T000000",
    ] {
        assert_eq!(read(same, "2027-11-25"), Ok(plain.clone()), "{same}");
    }
}

/// Guards rules whose last day is far, but whose end is near.
#[test]
fn the_nearest_end_is_the_end() {
    let days = |rule| read(rule, "2040-01-01").unwrap().days().len();
    assert_eq!(days("FREQ=DAILY;COUNT=3"), 3);
    assert_eq!(days("FREQ=DAILY;UNTIL=20261126"), 2);
    let until_far = read("FREQ=DAILY;UNTIL=20400101", "2026-11-28").unwrap();
    assert_eq!(until_far.days().len(), 4);
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
    provoked.extend(refused().into_iter().map(|(_, _, refusal)| refusal));
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
