//! Days as people name them.

use super::{day, now, voice};
use crate::wording::Voice;
use chrono::{DateTime, TimeZone, Utc};
use wormrota_domain::site::{Language, UnitSystem};

fn english(units: UnitSystem) -> Voice {
    voice(Language::English, units)
}

fn utc(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

#[test]
fn a_day_is_named_with_its_weekday() {
    let metric = english(UnitSystem::Metric);
    assert_eq!(metric.on_day(day(10), now()), "on Thursday 10 September");
    assert_eq!(metric.day(day(10), now()), "Thursday 10 September");
    let us = english(UnitSystem::Us);
    assert_eq!(us.on_day(day(10), now()), "on Thursday, September 10");
    let spanish = voice(Language::Spanish, UnitSystem::Metric);
    assert_eq!(spanish.on_day(day(10), now()), "el jueves 10 de septiembre");
}

#[test]
fn today_and_tomorrow_are_those_of_the_sites_own_calendar() {
    let mut metric = english(UnitSystem::Metric);
    let late = utc("2026-09-07T22:30:00Z");
    assert_eq!(metric.day(late, now()), "today");
    assert_eq!(metric.day(day(8), now()), "tomorrow");
    assert_eq!(metric.day(day(8), late), "tomorrow");
    metric.zone = "Asia/Tokyo".parse().unwrap();
    assert_eq!(metric.day(late, now()), "today");
    assert_eq!(metric.date(late, now()), "Tuesday 8 September");
    assert_eq!(metric.date(day(7), now()), "Monday 7 September");
}

#[test]
fn yesterday_is_a_date() {
    let metric = english(UnitSystem::Metric);
    assert_eq!(metric.day(day(6), now()), "Sunday 6 September");
}

#[test]
fn another_year_is_named() {
    let at = utc("2027-01-01T12:00:00Z");
    let metric = english(UnitSystem::Metric);
    assert_eq!(metric.date(at, now()), "Friday 1 January 2027");
    let us = english(UnitSystem::Us);
    assert_eq!(us.date(at, now()), "Friday, January 1, 2027");
    let spanish = voice(Language::Spanish, UnitSystem::Metric);
    assert_eq!(spanish.date(at, now()), "viernes 1 de enero de 2027");
}

#[test]
fn every_weekday_and_month_has_its_own_name() {
    for language in Language::ALL {
        let voice = voice(*language, UnitSystem::Metric);
        let names: std::collections::BTreeSet<String> = (1..=12)
            .map(|month| Utc.with_ymd_and_hms(2026, month, 1, 12, 0, 0).unwrap())
            .map(|at| voice.date(at, now()))
            .collect();
        assert_eq!(names.len(), 12);
    }
}
