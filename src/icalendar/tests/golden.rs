//! Calendars that somebody has read. When they are to change, write them anew with
//! `WORMROTA_WRITE_GOLDEN=1 cargo test --lib icalendar`, and read the difference.

use super::{event, feed, message, window};
use crate::icalendar::{Status, When};
use std::fs;
use std::path::Path;

#[track_caller]
fn assert_golden(name: &str, written: &str) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/icalendar/tests");
    let path = folder.join(name);
    if std::env::var_os("WORMROTA_WRITE_GOLDEN").is_some() {
        fs::write(path, written).unwrap();
        return;
    }
    let read = fs::read_to_string(path).unwrap();
    for (number, (written, read)) in written.lines().zip(read.lines()).enumerate() {
        assert_eq!(written, read, "{name}, line {}", number + 1);
    }
    assert_eq!(written, read, "{name}");
}

/// The day before a change of the clocks, the day itself and the day after; a turn at the hour
/// that comes twice; days on which the site is shut.
#[test]
fn three_zones_across_a_change_of_their_clocks() {
    let shut = When::Days {
        first: "2026-12-21".parse().unwrap(),
        last: "2027-01-03".parse().unwrap(),
    };
    let berlin = feed(vec![
        event(
            "before",
            window(
                "Europe/Berlin",
                "2026-10-24T16:00:00Z",
                "2026-10-24T18:00:00Z",
            ),
        ),
        event(
            "twice",
            window(
                "Europe/Berlin",
                "2026-10-25T00:30:00Z",
                "2026-10-25T01:30:00Z",
            ),
        ),
        event(
            "after",
            window(
                "Europe/Berlin",
                "2026-10-25T17:00:00Z",
                "2026-10-25T19:00:00Z",
            ),
        ),
        event("shut", shut),
    ]);
    assert_golden("berlin.ics", &berlin.write());
    let half_an_hour = feed(vec![
        event(
            "before",
            window(
                "Australia/Lord_Howe",
                "2026-10-02T21:30:00Z",
                "2026-10-03T07:30:00Z",
            ),
        ),
        event(
            "after",
            window(
                "Australia/Lord_Howe",
                "2026-10-03T21:00:00Z",
                "2026-10-04T07:00:00Z",
            ),
        ),
    ]);
    assert_golden("lord_howe.ics", &half_an_hour.write());
    let mut off = event(
        "ramadan",
        window(
            "Africa/Casablanca",
            "2026-03-01T08:00:00Z",
            "2026-03-01T18:00:00Z",
        ),
    );
    off.status = Status::Cancelled;
    let two_zones = feed(vec![
        event(
            "before",
            window(
                "Africa/Casablanca",
                "2026-02-14T07:00:00Z",
                "2026-02-14T17:00:00Z",
            ),
        ),
        off,
        event(
            "elsewhere",
            window(
                "America/Sao_Paulo",
                "2026-03-23T11:00:00Z",
                "2026-03-23T12:00:00Z",
            ),
        ),
        event(
            "after",
            window(
                "Africa/Casablanca",
                "2026-03-23T07:00:00Z",
                "2026-03-23T17:00:00Z",
            ),
        ),
    ]);
    assert_golden("casablanca.ics", &two_zones.write());
}

/// A call to a turn, and word that it is off.
#[test]
fn a_request_and_a_cancellation() {
    let when = window(
        "Europe/Lisbon",
        "2026-12-01T08:00:00Z",
        "2026-12-01T18:00:00Z",
    );
    let mut turn = event("turn", when);
    assert_golden("request.ics", &message(turn.clone()).write());
    turn.status = Status::Cancelled;
    turn.sequence += 1;
    assert_golden("cancel.ics", &message(turn).write());
}
