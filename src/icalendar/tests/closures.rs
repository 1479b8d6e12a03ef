//! Reading the days on which a school is shut.

use crate::icalendar::{Choice, ClosedDays, Refused, read_closures};
use chrono::NaiveDate;
use std::fmt::Write;
use std::ops::RangeInclusive;
use wormrota_domain::calendar::SiteZone;

fn years() -> RangeInclusive<NaiveDate> {
    "2026-09-01".parse().unwrap()..="2028-08-31".parse().unwrap()
}

pub(super) fn read(zone: &str, text: &str) -> Result<ClosedDays, Refused> {
    let zone: SiteZone = zone.parse().unwrap();
    read_closures(text.as_bytes(), zone, &years(), &Choice::default())
}

/// The spans, and the codes of what is refused with their lines, of events in Lisbon.
pub(super) fn shown(events: &[&str]) -> (Vec<String>, Vec<(usize, &'static str)>) {
    let mut text = String::from(
        "BEGIN:VCALENDAR
",
    );
    for event in events {
        write!(
            text,
            "BEGIN:VEVENT
{event}
END:VEVENT
"
        )
        .unwrap();
    }
    text.push_str(
        "END:VCALENDAR
",
    );
    let found = read("Europe/Lisbon", &text).unwrap();
    let spans = found.spans.iter().map(|span| {
        if span.first == span.last {
            span.first.to_string()
        } else {
            format!("{}..{}", span.first, span.last)
        }
    });
    let refused = found.refused.iter().map(|it| (it.line, it.why.code()));
    (spans.collect(), refused.collect())
}

#[track_caller]
fn assert_closed(events: &[&str], spans: &[&str]) {
    assert_eq!(
        shown(events),
        (spans.iter().map(ToString::to_string).collect(), vec![])
    );
}

#[track_caller]
pub(super) fn assert_refused(event: &str, line: usize, code: &'static str) {
    assert_eq!(shown(&[event]), (vec![], vec![(line, code)]), "{event}");
}

/// Guards the end of a span, which iCalendar names by the day after it.
#[test]
fn whole_days_are_closed() {
    assert_closed(&["DTSTART;VALUE=DATE:20261005"], &["2026-10-05"]);
    assert_closed(
        &["DTSTART;VALUE=DATE:20261221\r\nDTEND;VALUE=DATE:20270104"],
        &["2026-12-21..2027-01-03"],
    );
    assert_closed(
        &["DTSTART:20261221\nDURATION:P2W"],
        &["2026-12-21..2027-01-03"],
    );
    assert_closed(
        &["dtstart:20261221\nduration:p3d"],
        &["2026-12-21..2026-12-23"],
    );
}

/// Guards the site's days: a time is somewhere's, and only a day that lies in the event as a
/// whole is closed.
#[test]
fn times_close_the_days_that_they_hold_as_a_whole() {
    // Midnight in Lisbon, through the night on which its clocks go back.
    assert_closed(
        &["DTSTART:20261024T230000Z\nDTEND:20261027T000000Z"],
        &["2026-10-25..2026-10-26"],
    );
    assert_closed(
        &["DTSTART:20261025T000000\nDTEND:20261026T000000"],
        &["2026-10-25"],
    );
    // Friday after school until Monday morning, as a clock in Paris shows it.
    assert_closed(
        &["DTSTART;TZID=Europe/Paris:20261204T160000\nDTEND;TZID=\"Europe/Paris\":20261207T080000"],
        &["2026-12-05..2026-12-06"],
    );
    assert_closed(
        &["DTSTART:20261204T000000\nDTEND:20261206T235900"],
        &["2026-12-04..2026-12-06"],
    );
    assert_refused(
        "DTSTART:20261204T180000\nDTEND:20261204T200000",
        2,
        "no_whole_day",
    );
    assert_refused("DTSTART:20261204T180000", 2, "no_whole_day");
    // Nobody wants to hear of evenings that are long over.
    assert_closed(&["DTSTART:20161204T180000\nDTEND:20161204T200000"], &[]);
}

/// Guards rules: their days, those added and those left out, with starts in any form.
#[test]
fn what_recurs_is_closed_again() {
    assert_closed(
        &["DTSTART;VALUE=DATE:19740425\nRRULE:FREQ=YEARLY"],
        &["2027-04-25", "2028-04-25"],
    );
    assert_closed(
        &[
            "DTSTART;VALUE=DATE:20261005\nDURATION:P2D\nRRULE:FREQ=WEEKLY;COUNT=3\nEXDATE;VALUE=DATE:20261012\nRDATE;VALUE=DATE:20261101,20261102",
        ],
        &[
            "2026-10-05..2026-10-06",
            "2026-10-19..2026-10-20",
            "2026-11-01..2026-11-03",
        ],
    );
    // UNTIL is in UTC, as the standard wants it of times: the third is its last, not the fourth.
    // The first begins at half past midnight in Lisbon: Lord Howe's clocks change in between.
    assert_closed(
        &[
            "DTSTART;TZID=Australia/Lord_Howe:20261001T100000\nDURATION:P2DT10H\nRRULE:FREQ=WEEKLY;UNTIL=20261014T230000Z\nEXDATE:20261007T230000Z",
        ],
        &["2026-10-02", "2026-10-15..2026-10-16"],
    );
    assert_closed(
        &[
            "DTSTART:20261005T000000\nDTEND:20261006T000000\nRRULE:FREQ=WEEKLY;UNTIL=20261018T235959",
        ],
        &["2026-10-05", "2026-10-12"],
    );
}

/// Guards changed occurrences: the old day is open again, the new one is shut.
#[test]
fn an_occurrence_that_was_moved_closes_its_new_day_only() {
    let series = "UID:a\nDTSTART;VALUE=DATE:20261005\nRRULE:FREQ=WEEKLY;COUNT=3";
    let moved = "UID:a\nRECURRENCE-ID;VALUE=DATE:20261012\nDTSTART;VALUE=DATE:20261014";
    assert_closed(
        &[series, moved],
        &["2026-10-05", "2026-10-14", "2026-10-19"],
    );
    assert_closed(
        &[moved, series],
        &["2026-10-05", "2026-10-14", "2026-10-19"],
    );
    let off = format!("{moved}\nSTATUS:CANCELLED");
    assert_closed(&[series, &off], &["2026-10-05", "2026-10-19"]);
    let all_off = format!("{series}\nSTATUS:CANCELLED");
    assert_closed(&[&all_off, moved], &[]);
    let newer = format!("{moved}\nSEQUENCE:1\nSTATUS:CANCELLED");
    assert_closed(&[series, &newer, moved], &["2026-10-05", "2026-10-19"]);
    let timed = "UID:a\nRECURRENCE-ID:20261012T000000\nDTSTART;VALUE=DATE:20261014";
    let codes = vec![(9, "day_with_time")];
    assert_eq!(shown(&[series, timed]).1, codes);
    assert_eq!(shown(&[series, series]).1, [(7, "uid_twice")]);
}

/// Guards the list that a site is given: no day stands in two spans, and none lies outside.
#[test]
fn spans_are_put_together_and_cut_to_what_was_asked_for() {
    assert_closed(
        &[
            "DTSTART;VALUE=DATE:20261003\nDTEND;VALUE=DATE:20261006",
            "DTSTART;VALUE=DATE:20261001\nDTEND;VALUE=DATE:20261003",
            "DTSTART;VALUE=DATE:20261005",
            "DTSTART;VALUE=DATE:20261007",
            "DTSTART;VALUE=DATE:20260701\nDTEND;VALUE=DATE:20260910",
            "DTSTART;VALUE=DATE:20260903",
            "DTSTART;VALUE=DATE:20280830\nDTEND;VALUE=DATE:99991231",
            "DTSTART;VALUE=DATE:20250830",
        ],
        &[
            "2026-09-01..2026-09-09",
            "2026-10-01..2026-10-05",
            "2026-10-07",
            "2028-08-30..2028-08-31",
        ],
    );
}

/// Guards what calendars also hold: zones with rules of their own, alarms, things to do.
#[test]
fn other_components_are_passed_over() {
    let text = "BEGIN:VCALENDAR\nMETHOD:PUBLISH\nBEGIN:VTIMEZONE\nTZID:Europe/Lisbon\n\
        BEGIN:STANDARD\nDTSTART:19700101T000000\nRRULE:FREQ=SECONDLY\nEND:STANDARD\n\
        END:VTIMEZONE\nBEGIN:VTODO\nDTSTART:20261001\nEND:VTODO\nBEGIN:VEVENT\n\
        DTSTART:20261002\nBEGIN:VALARM\nDTSTART:nonsense\nDURATION:PT5M\nEND:VALARM\n\
        END:VEVENT\nEND:VCALENDAR\n\nBEGIN:VCALENDAR\nBEGIN:VEVENT\nDTSTART:20261009\n\
        END:VEVENT\nEND:VCALENDAR\n";
    let found = read("Europe/Lisbon", text).unwrap();
    let days: Vec<String> = found
        .spans
        .iter()
        .map(|span| span.first.to_string())
        .collect();
    assert_eq!(days, ["2026-10-02", "2026-10-09"]);
    assert_eq!(found.refused, []);
}
