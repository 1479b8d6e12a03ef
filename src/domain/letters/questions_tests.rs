//! The course of questions, against instants written by hand and a walk through the hours.

use super::questions::{Ask, Course, Step, middle};
use super::quiet::QuietHours;
use crate::calendar::SiteZone;
use crate::turns::Window;
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use proptest::prelude::*;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn window(opens: &str, closes: &str) -> Window {
    let time = |text: &str| text.parse::<NaiveTime>().unwrap();
    Window::new(time(opens), time(closes)).unwrap()
}

fn chicago() -> SiteZone {
    "America/Chicago".parse().unwrap()
}

/// The instants at which something is due when nobody ever answers and somebody looks every
/// `minutes` from `from` on.
fn walk(course: Course, from: DateTime<Utc>, minutes: i64) -> Vec<(Step, DateTime<Utc>)> {
    let (mut first, mut second, mut found) = (None, None, Vec::new());
    for n in 0..8 * 24 * 60 / minutes {
        let now = from + TimeDelta::minutes(n * minutes);
        match course.step(first, second, now) {
            Some(Step::Ask(Ask::First)) => first = Some(now),
            Some(Step::Ask(Ask::Second)) => second = Some(now),
            Some(Step::TellKeepers) => {
                found.push((Step::TellKeepers, now));
                return found;
            }
            None => continue,
        }
        let which = if second.is_some() {
            Ask::Second
        } else {
            Ask::First
        };
        found.push((Step::Ask(which), now));
    }
    found
}

/// Protects people from questions at night, and the caretaker from hearing before anybody could
/// answer: the days of one turn, written by hand.
#[test]
fn a_turn_is_asked_about_an_hour_after_it_closed_and_again_a_day_later() {
    let noon = Some(window("11:00", "13:00"));
    let evening = Some(window("18:00", "20:30"));
    let (first, second) = (Step::Ask(Ask::First), Step::Ask(Ask::Second));
    let cases = [
        // Chicago is five hours behind in June.
        (
            noon,
            [
                "2026-06-10T19:00:00Z",
                "2026-06-11T19:00:00Z",
                "2026-06-12T19:00:00Z",
            ],
        ),
        // Half past nine is quiet: the morning after.
        (
            evening,
            [
                "2026-06-11T12:00:00Z",
                "2026-06-12T12:00:00Z",
                "2026-06-13T12:00:00Z",
            ],
        ),
        (
            None,
            [
                "2026-06-11T12:00:00Z",
                "2026-06-12T12:00:00Z",
                "2026-06-13T12:00:00Z",
            ],
        ),
    ];
    for (window, instants) in cases {
        let course = Course::of(day("2026-06-10"), window, QuietHours::USUAL, chicago());
        let steps = walk(course, at("2026-06-10T05:00:00Z"), 1);
        let expected: Vec<_> = [first, second, Step::TellKeepers]
            .into_iter()
            .zip(instants.map(at))
            .collect();
        assert_eq!(steps, expected);
    }
}

/// Protects people from being asked on one day about all that lay in a pause of the service, and
/// from a word to the caretaker that they were silent when nobody asked.
#[test]
fn after_a_pause_of_the_service_people_are_asked_first_and_stale_turns_never() {
    let course = Course::of(day("2026-06-10"), None, QuietHours::USUAL, chicago());
    let late = at("2026-06-14T17:00:00Z");
    let steps = walk(course, late, 60);
    let again = late + TimeDelta::hours(24);
    let asked = [
        (Step::Ask(Ask::First), late),
        (Step::Ask(Ask::Second), again),
    ];
    assert_eq!(steps, asked);
    assert_eq!(course.step(None, None, course.over()), None);
    assert_eq!(course.over(), at("2026-06-16T05:00:00Z"));
}

/// Protects the model from food that went in on another day or has not gone in yet.
#[test]
fn the_hour_of_a_feeding_that_nobody_says_is_the_middle_of_its_hours_or_noon() {
    let of = |window| middle(day("2026-06-10"), window, chicago());
    assert_eq!(of(None), at("2026-06-10T17:00:00Z"));
    assert_eq!(
        of(Some(window("07:00", "10:00"))),
        at("2026-06-10T13:30:00Z")
    );
}

proptest! {
    /// Protects sleepers in every zone and season: no step is due in quiet hours, each follows
    /// the one before by at least a day, and none comes after five days.
    #[test]
    fn no_question_comes_at_night_or_sooner_than_a_day_after_the_last(
        zone in prop::sample::select(vec![
            "America/Chicago", "Europe/Berlin", "Australia/Lord_Howe", "Asia/Kathmandu",
            "America/Santiago", "UTC",
        ]),
        days in 0_u64..800,
        hours in prop::option::of((0_i64..1_380, 1_i64..600)),
        siesta in any::<bool>(),
        step_minutes in prop::sample::select(vec![5_i64, 20, 60]),
    ) {
        let zone: SiteZone = zone.parse().unwrap();
        let time = |minutes| NaiveTime::MIN + TimeDelta::minutes(minutes);
        let window = hours.map(|(opens, length)| {
            Window::new(time(opens), time((opens + length).min(1_439))).unwrap()
        });
        let quiet = if siesta {
            QuietHours::new(time(13 * 60), time(16 * 60 + 30)).unwrap()
        } else {
            QuietHours::USUAL
        };
        let on = NaiveDate::from_ymd_opt(2026, 1, 1).unwrap() + Days::new(days);
        let course = Course::of(on, window, quiet, zone);
        let steps = walk(course, zone.start_of_day(on), step_minutes);
        prop_assert_eq!(steps.len(), 3);
        let ends = window.map_or(zone.start_of_day(on + Days::new(1)), |w| w.on(on, zone).1);
        prop_assert!(steps[0].1 >= ends);
        for (step, at) in &steps {
            prop_assert!(*at < ends + TimeDelta::days(5), "{step:?}");
            prop_assert!(quiet.not_before(*at, zone) == *at, "{step:?} {at}");
        }
        for pair in steps.windows(2) {
            prop_assert!(pair[1].1 - pair[0].1 >= TimeDelta::hours(24));
        }
    }
}
