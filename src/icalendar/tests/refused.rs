//! What is not taken, and what whoever pasted it is told.

use super::closures::{assert_refused, read, shown};

/// Guards whoever pastes from guessing: a value is said to be wrong in a sentence, with the form
/// that it should have.
#[test]
fn a_value_that_cannot_be_is_told_with_the_right_form() {
    let form = "a day such as 20260907, or a time such as 20260907T180000";
    for (event, said) in [
        (
            "DTSTART:2026-9-7",
            format!("line 3: DTSTART cannot be \"2026-9-7\": it must be {form}"),
        ),
        (
            "DTSTART:20261204\nDURATION:1 day",
            "line 4: DURATION cannot be \"1 day\": it must be a length such as P1D, or PT2H"
                .to_owned(),
        ),
    ] {
        let calendar = "BEGIN:VCALENDAR\nBEGIN:VEVENT\n";
        let text = format!("{calendar}{event}\nEND:VEVENT\nEND:VCALENDAR\n");
        let found = read("Europe/Lisbon", &text).unwrap();
        assert_eq!(found.refused[0].to_string(), said);
    }
}

/// Guards whoever pastes: each refusal has its line and its code, and the other events are taken.
#[test]
fn what_cannot_be_read_is_refused_with_its_line() {
    for (event, line, code) in [
        ("SUMMARY:x", 2, "dtstart_missing"),
        ("DTSTART:20260230", 3, "property_value"),
        ("DTSTART;VALUE=DATE:20261204T180000", 3, "property_value"),
        (
            "DTSTART:20261204T180060Z\nDTEND:20261204T250000Z",
            4,
            "property_value",
        ),
        ("DTSTART:20261204\nDTSTART:20261204", 4, "property_twice"),
        (
            "DTSTART;TZID=Lisbon Time:20261204T000000",
            3,
            "tzid_unknown",
        ),
        ("DTSTART:20261204\nDTEND:20261204", 4, "ends_too_early"),
        (
            "DTSTART:20261204T000000\nDTEND:20261203T000000",
            4,
            "ends_too_early",
        ),
        (
            "DTSTART:20261204\nDTEND:20261205T000000",
            4,
            "day_with_time",
        ),
        ("DTSTART:20261204\nDURATION:PT12H", 4, "day_with_time"),
        ("DTSTART:20261204\nDURATION:P0D", 4, "ends_too_early"),
        ("DTSTART:20261204\nDURATION:-P1D", 4, "property_value"),
        ("DTSTART:20261204\nDURATION:P1DT", 4, "property_value"),
        ("DTSTART:20261204\nDURATION:P123456D", 4, "property_value"),
        (
            "DTSTART:20261204\nDTEND:20261205\nDURATION:P1D",
            5,
            "dtend_with_duration",
        ),
        ("DTSTART:20261204\nRRULE:FREQ=SECONDLY", 4, "freq_too_fine"),
        (
            "DTSTART:20261204\nRRULE:FREQ=DAILY;BYHOUR=3",
            4,
            "byhour_too_fine",
        ),
        (
            "DTSTART:20261204\nRRULE:FREQ=DAILY;UNTIL=20270101T000000Z",
            4,
            "until_utc",
        ),
        (
            "DTSTART:20261204\nRRULE:FREQ=WEEKLY;BYDAY=MO;COUNT=3",
            4,
            "count_first_day",
        ),
        (
            "DTSTART:20261204\nEXRULE:FREQ=DAILY",
            4,
            "property_not_read",
        ),
        (
            "DTSTART:20261204\nRDATE;VALUE=PERIOD:20261204T000000/P1D",
            4,
            "property_not_read",
        ),
        (
            "DTSTART:20261204\nEXDATE:20261204T000000",
            4,
            "day_with_time",
        ),
        ("DTSTART:20261204\nRECURRENCE-ID:20261204", 4, "uid_missing"),
        (
            "DTSTART:20261204\nUID:a\nRECURRENCE-ID;RANGE=THISANDFUTURE:20261204",
            5,
            "property_not_read",
        ),
        ("DTSTART:20261204\nSEQUENCE:-1", 4, "property_value"),
        ("DTSTART:20261204\nthe rest was lost", 4, "line_malformed"),
    ] {
        assert_refused(event, line, code);
        let (spans, refused) = shown(&["DTSTART:20270501", event]);
        assert_eq!(spans, ["2027-05-01"], "{event}");
        assert_eq!(refused, [(line + 3, code)], "{event}");
    }
}

/// Guards against taking something else for a calendar.
#[test]
fn what_is_no_calendar_is_refused_as_a_whole() {
    for (text, line, code) in [
        ("", 1, "calendar_missing"),
        ("Autumn holidays: 1 to 5 October", 1, "calendar_missing"),
        ("\n\nBEGIN:VEVENT\nEND:VEVENT\n", 3, "calendar_missing"),
        (
            "BEGIN:VCALENDAR\nBEGIN:VEVENT\nEND:VCALENDAR\n",
            3,
            "component_unbalanced",
        ),
        (
            "BEGIN:VCALENDAR\nBEGIN:VEVENT\nEND:VEVENT\n",
            3,
            "component_unbalanced",
        ),
        (
            "BEGIN:VCALENDAR\nBEGIN:VEVENT\nBEGIN:VEVENT\n",
            3,
            "component_unbalanced",
        ),
        ("BEGIN:VCALENDAR\nEND:VCALENDAR\nx\n", 3, "calendar_missing"),
        (
            "BEGIN:VCALENDAR\nno line\nEND:VCALENDAR\n",
            2,
            "line_malformed",
        ),
        (
            "BEGIN:VCALENDAR\nMETHOD:CANCEL\nEND:VCALENDAR\n",
            2,
            "calendar_method",
        ),
    ] {
        let refused = read("Europe/Lisbon", text).unwrap_err();
        assert_eq!((refused.line, refused.why.code()), (line, code), "{text}");
    }
}
