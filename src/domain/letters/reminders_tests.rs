//! What reminders promise: in time, at a decent hour, and never two at once.

use super::quiet::QuietHours;
use super::reminders::HeldTurn;
use crate::calendar::SiteZone;
use crate::turns::Window;
use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Utc};
use proptest::prelude::*;

const LONG_AGO: DateTime<Utc> = DateTime::UNIX_EPOCH;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn time(text: &str) -> NaiveTime {
    text.parse().unwrap()
}

fn chicago() -> SiteZone {
    "America/Chicago".parse().unwrap()
}

fn turn(day: &str, hours: Option<(&str, &str)>) -> HeldTurn {
    HeldTurn {
        on_date: day.parse().unwrap(),
        window: hours.map(|(opens, closes)| Window::new(time(opens), time(closes)).unwrap()),
        held_since: LONG_AGO,
    }
}

/// When letters go about a turn in Chicago under the usual quiet hours, looked for every minute
/// of the ten days before its end.
fn letters(turn: &HeldTurn, rules: &[u8]) -> Vec<(u8, String)> {
    let mut found = Vec::new();
    let start = turn.over_at(chicago()) - TimeDelta::days(10);
    for minute in 0..11 * 24 * 60 {
        let now = start + TimeDelta::minutes(minute);
        let Some(due) = turn.reminder(rules, QuietHours::USUAL, chicago(), now) else {
            continue;
        };
        let wall = chicago().wall(due.from).format("%a %H:%M").to_string();
        if !found.contains(&(due.days_before, wall.clone())) {
            assert_eq!(due.from, now, "looked for every minute");
            found.push((due.days_before, wall));
        }
    }
    found
}

fn went(days_before: u8, wall: &str) -> (u8, String) {
    (days_before, wall.to_owned())
}

/// Protects the usual promise: one letter two days before, one on the morning.
#[test]
fn the_usual_letters_come_two_days_before_and_on_the_morning() {
    let thursday = turn("2026-11-26", None);
    let usual = [went(2, "Tue 07:00"), went(0, "Thu 07:00")];
    assert_eq!(letters(&thursday, &[2, 0]), usual);
    // However the rules are written down.
    assert_eq!(letters(&thursday, &[0, 2, 2]), usual);
    assert_eq!(letters(&thursday, &[]), []);
}

/// Protects whoever feeds before breakfast: the morning's letter would come too late.
#[test]
fn a_turn_that_is_over_early_is_told_of_on_the_evening_before() {
    for (closes, morning) in [
        ("06:30", went(0, "Wed 19:00")),
        ("07:59", went(0, "Wed 19:00")),
        ("08:00", went(0, "Thu 07:00")),
    ] {
        let early = turn("2026-11-26", Some(("05:00", closes)));
        assert_eq!(
            letters(&early, &[2, 0]),
            [went(2, "Tue 07:00"), morning.clone()]
        );
        let both = [went(1, "Wed 07:00"), morning];
        assert_eq!(letters(&early, &[1, 0]), both);
    }
}

/// Protects people from being told what they did a moment ago.
#[test]
fn nobody_is_reminded_of_what_they_took_after_the_letters_hour() {
    let mut thursday = turn("2026-11-26", None);
    thursday.held_since = at("2026-11-24T13:00:00Z");
    assert_eq!(letters(&thursday, &[2, 0]), [went(0, "Thu 07:00")]);
    thursday.held_since -= TimeDelta::seconds(1);
    assert_eq!(letters(&thursday, &[2, 0]).len(), 2);
    thursday.held_since = at("2026-11-26T13:00:00Z");
    assert_eq!(letters(&thursday, &[2, 0]), []);
}

/// Protects people from two letters at once after an outage, and from a letter that helps
/// nobody.
#[test]
fn after_a_sleep_only_what_still_helps_is_due() {
    let thursday = turn("2026-11-26", Some(("08:00", "18:00")));
    let due = |now: &str| {
        let due = thursday.reminder(&[2, 0], QuietHours::USUAL, chicago(), at(now));
        due.map(|due| (due.days_before, due.until.to_rfc3339()))
    };
    let until = |text: &str| at(text).to_rfc3339();
    // Tuesday at seven is 13:00 in UTC.
    assert_eq!(due("2026-11-24T12:59:59Z"), None);
    let first = Some((2, until("2026-11-26T13:00:00Z")));
    assert_eq!(due("2026-11-24T13:00:00Z"), first);
    assert_eq!(due("2026-11-26T12:59:59Z"), first);
    let morning = Some((0, until("2026-11-27T00:00:00Z")));
    assert_eq!(due("2026-11-26T13:00:00Z"), morning);
    assert_eq!(due("2026-11-26T23:59:59Z"), morning);
    assert_eq!(due("2026-11-27T00:00:00Z"), None);
}

/// Protects the nights in which clocks change: seven o'clock is seven o'clock.
#[test]
fn letters_keep_to_the_wall_when_the_clocks_change() {
    // The clocks go back on the 1st of November and forward on the 8th of March 2026.
    for day in ["2026-11-01", "2026-11-02", "2026-03-08", "2026-03-09"] {
        let found = letters(&turn(day, None), &[1, 0]);
        assert!(
            found.iter().all(|(_, wall)| wall.ends_with("07:00")),
            "{day}: {found:?}"
        );
        assert_eq!(found.len(), 2, "{day}");
    }
}

/// A calendar on the wall, walked through a minute at a time: the slow way to say when.
struct Walk {
    start: DateTime<Utc>,
    walls: Vec<NaiveDateTime>,
}

impl Walk {
    fn around(day: NaiveDate, zone: SiteZone) -> Self {
        let start = zone.start_of_day(day) - TimeDelta::days(10);
        let walls = (0..13 * 24 * 60).map(|minute| zone.wall(start + TimeDelta::minutes(minute)));
        Self {
            start,
            walls: walls.collect(),
        }
    }

    fn at(&self, minute: usize) -> DateTime<Utc> {
        self.start + TimeDelta::minutes(minute.try_into().unwrap())
    }

    /// From when on the wall is past a time for good.
    fn past(&self, wall: NaiveDateTime) -> usize {
        let before = self.walls.iter().rposition(|shown| *shown < wall);
        before.unwrap() + 1
    }

    /// When the wall first shows a time or a later one.
    fn reached(&self, wall: NaiveDateTime) -> usize {
        let found = self.walls.iter().position(|shown| *shown >= wall);
        found.unwrap()
    }

    /// The minutes of the letters of each rule, and of the end of the turn.
    fn plan(&self, turn: &HeldTurn, rules: &[u8], quiet: QuietHours) -> (Vec<(usize, u8)>, usize) {
        let over = match turn.window {
            Some(window) => self.past(turn.on_date.and_time(window.closes())),
            None => self.reached((turn.on_date + TimeDelta::days(1)).and_time(NaiveTime::MIN)),
        };
        let mut plan = Vec::new();
        for days in rules {
            let day = turn.on_date - TimeDelta::days((*days).into());
            let morning = day.and_time(quiet.until());
            let mut minute = self.past(morning);
            // Two hours before the quiet hours that end then, else a day earlier.
            for back in 0..2 {
                if minute + 60 > over {
                    let mut begin = day.and_time(quiet.from());
                    if quiet.from() > quiet.until() {
                        begin -= TimeDelta::days(1);
                    }
                    minute = self.reached(begin - TimeDelta::hours(2) - TimeDelta::days(back));
                }
            }
            if minute + 60 <= over {
                plan.push((minute, *days));
            }
        }
        // Of two at one minute the nearer one counts: it comes last.
        plan.sort_by_key(|(minute, days)| (*minute, u8::MAX - days));
        (plan, over)
    }
}

fn quiet_hours() -> impl Strategy<Value = QuietHours> {
    let all = [
        ("21:00", "07:00"),
        ("13:00", "16:30"),
        ("00:00", "06:00"),
        ("03:00", "21:00"),
    ];
    prop::sample::select(all.to_vec())
        .prop_map(|(from, until)| QuietHours::new(time(from), time(until)).unwrap())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Guards every zone, night and list of rules: walking through the days a minute at a time
    /// comes to the same letters, none in the quiet hours, each rule's at most once and in order.
    #[test]
    fn reminders_are_those_of_a_walk_through_the_days(
        zone in prop::sample::select(SiteZone::all().collect::<Vec<_>>()),
        day in 0_i64..6_000,
        hours in prop::option::of((0_i64..1_438, 1_i64..1_438)),
        rules in prop::collection::vec(0_u8..=7, 0..5),
        quiet in quiet_hours(),
        held in 0_usize..18_720,
        stride in 7_usize..60,
    ) {
        let on_date = NaiveDate::from_ymd_opt(2013, 1, 1).unwrap() + TimeDelta::days(day);
        let clock = |minutes: i64| NaiveTime::MIN + TimeDelta::minutes(minutes);
        let window = hours.map(|(opens, length)| {
            Window::new(clock(opens), clock((opens + length).min(1_439))).unwrap()
        });
        let walk = Walk::around(on_date, zone);
        let held_since = walk.at(held % (6 * 24 * 60));
        let turn = HeldTurn { on_date, window, held_since };
        let (plan, over) = walk.plan(&turn, &rules, quiet);
        prop_assert_eq!(turn.over_at(zone), walk.at(over));

        let near = plan.iter().flat_map(|(minute, _)| [minute - 1, *minute, minute + 1]);
        let mut looked: Vec<usize> = (0..walk.walls.len()).step_by(stride).chain(near).collect();
        looked.extend([over - 1, over, over + 1]);
        looked.sort_unstable();
        let mut sent: Vec<(DateTime<Utc>, u8)> = Vec::new();
        for minute in looked {
            let now = walk.at(minute);
            let passed = plan.iter().rfind(|(at, _)| *at <= minute);
            let wanted = passed.filter(|(at, _)| minute < over && held_since < walk.at(*at));
            let due = turn.reminder(&rules, quiet, zone, now);
            let of_due = due.map(|due| (due.from, due.days_before));
            prop_assert_eq!(of_due, wanted.map(|(at, days)| (walk.at(*at), *days)), "{}", now);
            let Some(due) = due else { continue };
            prop_assert_eq!(quiet.not_before(due.from, zone), due.from);
            prop_assert!(now < due.until && due.until <= walk.at(over));
            if sent.last() != Some(&(due.from, due.days_before)) {
                prop_assert!(sent.iter().all(|(from, _)| *from < due.from));
                sent.push((due.from, due.days_before));
            }
        }
    }
}

/// Protects the question "was it fed?" from being about another room than the letter of the day:
/// that goes when the quiet hours are over, or before a turn that is over by then.
#[test]
fn the_morning_of_a_turn_is_when_its_last_letter_goes() {
    let quiet = QuietHours::USUAL;
    let cases = [None, Some(("13:00", "15:00")), Some(("05:00", "06:30"))];
    for hours in cases {
        let turn = turn("2026-11-26", hours);
        let wall = chicago().wall(turn.morning(quiet, chicago()));
        let went_at = wall.format("%a %H:%M").to_string();
        assert_eq!(letters(&turn, &[0]), [went(0, &went_at)], "{hours:?}");
    }
}
