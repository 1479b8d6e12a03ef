//! Lines: their length, and what a value can do to them.

use super::{event, feed, message, unfolded, window};
use crate::icalendar::{Event, When};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

const SEED: u64 = 55_45;

fn turn(summary: &str) -> Event {
    let when = window(
        "Europe/Lisbon",
        "2026-12-01T08:00:00Z",
        "2026-12-01T18:00:00Z",
    );
    Event {
        summary: summary.to_owned(),
        ..event("turn", when)
    }
}

fn summary(written: &str) -> String {
    let lines = unfolded(written);
    let found = lines.iter().find_map(|line| line.strip_prefix("SUMMARY:"));
    found.unwrap().to_owned()
}

/// The inverse of the escaping, as RFC 5545, 3.3.11, has it.
fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut characters = text.chars();
    while let Some(character) = characters.next() {
        match character {
            '\\' => match characters.next().unwrap() {
                'n' => out.push('\n'),
                other => {
                    assert!(['\\', ';', ','].contains(&other), "{text}");
                    out.push(other);
                }
            },
            ';' | ',' => panic!("not escaped: {text}"),
            other => out.push(other),
        }
    }
    out
}

/// Guards the escapes one by one.
#[test]
fn what_has_a_meaning_in_a_value_is_escaped() {
    for (said, written) in [
        ("a;b,c\\d:e\"f", "a\\;b\\,c\\\\d:e\"f"),
        ("a\r\nb\nc\rd\u{2028}e\u{85}f", "a\\nb\\nc\\nd\\ne\\nf"),
        ("\\n is not a line", "\\\\n is not a line"),
        ("a\tb\u{0}\u{7}\u{1b}[31m\u{7f}\u{9b}c", "a\tb[31mc"),
        ("", ""),
    ] {
        assert_eq!(
            summary(&feed(vec![turn(said)]).write()),
            written,
            "{said:?}"
        );
    }
}

/// Guards readers that cut or refuse longer lines, and letters in halves: whatever is said comes
/// back, and no line has more than 75 octets.
#[test]
fn texts_of_any_kind_come_back_from_lines_of_75_octets() {
    println!("seed {SEED}");
    let mut random = StdRng::seed_from_u64(SEED);
    let letters: Vec<char> = "aZ 09;,\\:\"^é€日🪱\u{301}\u{200d}\n".chars().collect();
    for length in (0..400).chain([5_000]) {
        let said: String = (0..length)
            .map(|_| letters[random.random_range(0..letters.len())])
            .collect();
        let written = feed(vec![turn(&said)]).write();
        assert!(written.ends_with("END:VCALENDAR\r\n"));
        for line in written.split_terminator("\r\n") {
            assert!(line.len() <= 75 && !line.is_empty(), "{line:?}");
            assert!(!line.contains(['\r', '\n']), "{line:?}");
        }
        assert_eq!(unescaped(&summary(&written)), said);
    }
}

/// Guards everybody's calendar against neighbours with strange names: nothing that is said
/// begins a line or a parameter of its own.
#[test]
fn no_value_adds_a_line_or_a_parameter() {
    let evil = "x\r\nATTENDEE:mailto:eve@evil.example\r\n:;\",^n\u{0}\n BEGIN:VALARM\"";
    let plain = message(turn("x"));
    let mut changed = plain.clone();
    changed.organizer.name = Some(evil.to_owned());
    changed.organizer.address = evil.to_owned();
    changed.attendee.name = Some(evil.to_owned());
    changed.attendee.address = evil.to_owned();
    changed.event.uid = evil.to_owned();
    changed.event.summary = evil.to_owned();
    changed.event.description = Some(evil.to_owned());
    changed.event.location = Some(evil.to_owned());
    changed.event.url = Some(evil.to_owned());
    let names = |written: &str| {
        let lines = unfolded(written);
        let name = |line: &String| line.split([':', ';']).next().unwrap().to_owned();
        lines.iter().map(name).collect::<Vec<_>>()
    };
    let written = changed.write();
    assert_eq!(names(&written), names(&plain.write()));
    let attendee = unfolded(&written);
    let attendee = attendee.iter().find(|line| line.starts_with("ATTENDEE"));
    let name = "xATTENDEE:mailto:eve@evil.example:;^',^^n BEGIN:VALARM^'";
    let address = "x%0D%0AATTENDEE%3Amailto%3Aeve@evil.example%0D%0A%3A%3B%22%2C%5En%00%0A%20BEGIN%3AVALARM%22";
    assert_eq!(
        attendee.unwrap(),
        &format!("ATTENDEE;RSVP=FALSE;CN=\"{name}\":mailto:{address}")
    );
}

/// Guards readers of a feed with nothing in it, and the forms of RFC 7986.
#[test]
fn a_feed_says_what_it_is_called_and_when_to_come_again() {
    let lines = unfolded(&feed(Vec::new()).write());
    assert_eq!(
        lines,
        [
            "BEGIN:VCALENDAR",
            "VERSION:2.0",
            "PRODID:-//Wormrota//Wormrota//EN",
            "NAME:Worms\\, at home",
            "X-WR-CALNAME:Worms\\, at home",
            "REFRESH-INTERVAL;VALUE=DURATION:PT360M",
            "X-PUBLISHED-TTL:PT360M",
            "BEGIN:VTIMEZONE",
            "TZID:UTC",
            "BEGIN:STANDARD",
            "DTSTART:19700101T000000",
            "TZOFFSETFROM:+0000",
            "TZOFFSETTO:+0000",
            "TZNAME:UTC",
            "END:STANDARD",
            "END:VTIMEZONE",
            "END:VCALENDAR",
        ]
    );
}

/// Guards the last day: the end that is written is the day after it.
#[test]
fn whole_days_end_with_the_day_after_the_last() {
    let day = "2026-12-31".parse().unwrap();
    let when = When::Days {
        first: day,
        last: day,
    };
    let lines = unfolded(&feed(vec![event("shut", when)]).write());
    assert!(lines.contains(&"DTSTART;VALUE=DATE:20261231".to_owned()));
    assert!(lines.contains(&"DTEND;VALUE=DATE:20270101".to_owned()));
    assert!(!lines.contains(&"BEGIN:VTIMEZONE".to_owned()));
}
