//! Rules and windows as another reader of the standard has them.
//!
//! [dateutil.jsonl](dateutil.jsonl) holds invented rules and windows, drawn at random with seed
//! 305. The days are the answers of python-dateutil 4.0.0, the instants those of Python's
//! `zoneinfo` with the IANA database 2025b, for years that no later edition will change. Where a
//! rule is marked `asked: otherwise`, dateutil reads it otherwise than RFC 5545, 3.3.10, and was
//! asked in other words: plain days among numbered ones as all their numbers, a week with BYSETPOS
//! from its start, BYWEEKNO as a filter on its answer. Where a zone is named, dateutil reckoned
//! with it too.
//!
//! `WORMROTA_PATTERN_CASES` names a file with more of the same.

use super::{Pattern, Window};
use crate::calendar::SiteZone;
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(untagged)]
enum Case {
    Window {
        zone: String,
        day: NaiveDate,
        opens: NaiveTime,
        closes: NaiveTime,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    },
    Days {
        first: NaiveDate,
        rule: String,
        last: Option<NaiveDate>,
        days: Vec<NaiveDate>,
        zone: Option<String>,
    },
    Refused {
        first: NaiveDate,
        rule: String,
        last: Option<NaiveDate>,
        code: String,
    },
}

fn cases() -> Vec<Case> {
    let mut text = include_str!("dateutil.jsonl").to_owned();
    if let Ok(path) = std::env::var("WORMROTA_PATTERN_CASES") {
        text.push_str(&std::fs::read_to_string(path).unwrap());
    }
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

fn zone(name: &str) -> SiteZone {
    name.parse().unwrap()
}

fn time(text: &str) -> NaiveTime {
    text.parse().unwrap()
}

/// Guards every reading of a rule: days, ends, refusals.
#[test]
fn rules_have_the_days_that_dateutil_finds() {
    let (mut equal, mut refused) = (0, 0);
    for case in cases() {
        match case {
            Case::Days {
                first,
                rule,
                last,
                days,
                zone: name,
            } => {
                let pattern = Pattern::parse(&rule, first, last)
                    .unwrap_or_else(|refusal| panic!("{rule} from {first}: {refusal}"));
                assert_eq!(pattern.days(), days, "{rule} from {first} to {last:?}");
                if let Some(zone) = name.as_deref().map(zone) {
                    let window = Window::new(time("04:00:00"), time("23:59:59")).unwrap();
                    for day in pattern.days() {
                        let (from, to) = window.on(*day, zone);
                        assert_eq!(zone.local_date(from), *day, "{zone}");
                        assert_eq!(zone.local_date(to), *day, "{zone}");
                    }
                }
                equal += 1;
            }
            Case::Refused {
                first,
                rule,
                last,
                code,
            } => {
                let refusal = Pattern::parse(&rule, first, last)
                    .map(|pattern| panic!("{rule} from {first}: {:?}", pattern.days()))
                    .unwrap_err();
                assert_eq!(refusal.code(), code, "{rule} from {first} to {last:?}");
                refused += 1;
            }
            Case::Window { .. } => {}
        }
    }
    println!("rules with equal days: {equal}, refused alike: {refused}");
    assert!(equal >= 250 && refused >= 20);
}

/// Guards turns on nights on which the clocks change.
#[test]
fn windows_are_the_instants_that_zoneinfo_finds() {
    let mut equal = 0;
    for case in cases() {
        let Case::Window {
            zone: name,
            day,
            opens,
            closes,
            from,
            to,
        } = case
        else {
            continue;
        };
        let window = Window::new(opens, closes).unwrap();
        assert_eq!(
            window.on(day, zone(&name)),
            (from, to),
            "{name} {day} {opens} {closes}"
        );
        equal += 1;
    }
    println!("equal windows: {equal}");
    assert!(equal >= 60);
}
