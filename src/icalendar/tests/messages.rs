//! What RFC 5546 wants of a message (3.2.2 and 3.2.5) and of what is published (3.2.1).

use super::{event, feed, message, unfolded, window};
use crate::icalendar::{Event, Status};

fn turn(status: Status) -> Event {
    let when = window(
        "Europe/Lisbon",
        "2026-12-01T08:00:00Z",
        "2026-12-01T18:00:00Z",
    );
    Event {
        status,
        ..event("turn", when)
    }
}

fn count(written: &str, property: &str) -> usize {
    let named = |line: &&String| line.split([':', ';']).next() == Some(property);
    unfolded(written).iter().filter(named).count()
}

/// Guards against messages that a mail program shows as a plain file.
#[test]
fn a_message_has_what_the_standard_wants_once() {
    for status in [Status::Confirmed, Status::Cancelled] {
        let message = message(turn(status));
        let written = message.write();
        for property in [
            "METHOD",
            "ORGANIZER",
            "ATTENDEE",
            "UID",
            "DTSTAMP",
            "SEQUENCE",
            "DTSTART",
            "SUMMARY",
            "STATUS",
        ] {
            let zones = usize::from(property == "DTSTART");
            assert_eq!(count(&written, property), 1 + zones, "{property}");
        }
        let said = format!("METHOD:{}", message.method());
        assert!(unfolded(&written).contains(&said));
        assert!(written.contains("\r\nSEQUENCE:2\r\n"));
    }
}

/// Guards against a message that calls somebody to what is off.
#[test]
fn what_is_cancelled_is_a_cancel_and_nothing_else_is() {
    for (status, method, word) in [
        (Status::Confirmed, "REQUEST", "CONFIRMED"),
        (Status::Cancelled, "CANCEL", "CANCELLED"),
    ] {
        let written = message(turn(status)).write();
        assert!(written.contains(&format!("\r\nMETHOD:{method}\r\n")));
        assert!(written.contains(&format!("\r\nSTATUS:{word}\r\n")));
    }
}

/// Guards people's names: what is published calls nobody, and says whose it is.
#[test]
fn what_is_published_has_no_attendees() {
    let written = feed(vec![turn(Status::Confirmed), turn(Status::Cancelled)]).write();
    assert_eq!(count(&written, "METHOD"), 1);
    assert!(written.contains("\r\nMETHOD:PUBLISH\r\n"));
    assert_eq!(count(&written, "ORGANIZER"), 2);
    assert_eq!(count(&written, "ATTENDEE"), 0);
    assert_eq!(count(&written, "SEQUENCE"), 2);
}
