//! Texts that mean no good, or nothing.

use super::{event, feed, window};
use crate::icalendar::{Choice, When, read_closures};
use chrono::NaiveDate;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::fmt::Write;
use std::ops::RangeInclusive;
use wormrota_domain::calendar::SiteZone;

const SEED: u64 = 55_46;

fn years() -> RangeInclusive<NaiveDate> {
    "2026-09-01".parse().unwrap()..="2029-08-31".parse().unwrap()
}

fn read(text: &[u8]) -> Result<(usize, usize), &'static str> {
    let zone: SiteZone = "Europe/Lisbon".parse().unwrap();
    let found = read_closures(text, zone, &years(), &Choice::default());
    let found = found.map_err(|refused| refused.why.code())?;
    let mut before = None;
    for span in &found.spans {
        assert!(span.first <= span.last && before.is_none_or(|last| last < span.first));
        assert!(years().contains(&span.first) && years().contains(&span.last));
        before = Some(span.last);
    }
    Ok((found.spans.len(), found.refused.len()))
}

fn calendar(events: impl Iterator<Item = String>) -> Vec<u8> {
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
    text.into_bytes()
}

/// A calendar with something of everything.
fn ordinary() -> Vec<u8> {
    let days = |first: &str, last: &str| When::Days {
        first: first.parse().unwrap(),
        last: last.parse().unwrap(),
    };
    let ours = feed(vec![
        event("a", days("2026-12-21", "2027-01-03")),
        event(
            "b",
            window(
                "Europe/Lisbon",
                "2026-10-24T23:00:00Z",
                "2026-10-27T00:00:00Z",
            ),
        ),
    ]);
    let mut text = ours.write().into_bytes();
    text.extend(calendar(
        [
            "UID:c\nDTSTART:20261005\nDURATION:P2D\nRRULE:FREQ=WEEKLY;COUNT=3;BYDAY=MO\nEXDATE:20261012",
            "UID:c\nRECURRENCE-ID:20261019\nDTSTART:20261021\nSEQUENCE:2",
            "DTSTART;TZID=Asia/Kathmandu:20200101T000000\nDTEND:20200102T120000Z\nRRULE:FREQ=MONTHLY;UNTIL=20280101T000000Z;BYDAY=-1SU",
            "DTSTART:20000229\nRRULE:FREQ=YEARLY;INTERVAL=4\nRDATE:20270101,20270201\nSTATUS:TENTATIVE",
        ]
        .iter()
        .map(ToString::to_string),
    ));
    text
}

/// Guards against panics and endless work: whatever is put in, something comes out, and its spans
/// are in order and in bounds.
#[test]
fn no_bytes_make_it_panic() {
    println!("seed {SEED}");
    let mut random = StdRng::seed_from_u64(SEED);
    let whole = ordinary();
    assert_eq!(read(&whole), Ok((19, 0)));
    let words: Vec<&[u8]> = [
        "\r\n",
        "\n ",
        ":",
        ";",
        "=",
        ",",
        "\"",
        "T",
        "Z",
        "-",
        "0",
        "9",
        "99991231",
        "00000101",
        "BEGIN:VEVENT\n",
        "END:VEVENT\n",
        "COUNT=",
        "UNTIL=",
        "INTERVAL=",
        "BYSETPOS=-1",
        "FREQ=DAILY",
        "DTEND:99991231\n",
        "DURATION:P99999W\n",
        "TZID=Pacific/Apia",
        "VALUE=DATE",
        "\u{feff}",
        "é",
    ]
    .iter()
    .map(|word| word.as_bytes())
    .collect();
    let (mut taken, mut refused) = (0, 0);
    for round in 0..3_000 {
        let mut text = if round % 10 == 0 {
            (0..random.random_range(0..300))
                .map(|_| random.random())
                .collect()
        } else {
            whole.clone()
        };
        for _ in 0..random.random_range(0..6) {
            let at = random.random_range(0..=text.len());
            let to = (at + random.random_range(0..12)).min(text.len());
            let new: Vec<u8> = match random.random_range(0..4) {
                0 => Vec::new(),
                1 => vec![random.random()],
                2 => words[random.random_range(0..words.len())].to_vec(),
                _ => {
                    let from = random.random_range(0..whole.len());
                    whole[from..(from + 40).min(whole.len())].to_vec()
                }
            };
            text.splice(at..to, new);
        }
        match read(&text) {
            Ok(_) => taken += 1,
            Err(_) => refused += 1,
        }
    }
    println!("{taken} taken, {refused} refused");
    assert!(taken > 1_000 && refused > 1_000);
}

/// Guards the machine: what would take long is refused before it is worked out.
#[test]
fn what_would_take_long_is_refused() {
    let daily = |count: usize, rule: &str| {
        let event = format!("DTSTART:19700101\nRRULE:{rule}");
        calendar((0..count).map(|_| event.clone()))
    };
    assert_eq!(read(&daily(1, "FREQ=SECONDLY")), Ok((0, 1)));
    assert_eq!(read(&daily(10, "FREQ=DAILY")), Ok((1, 0)));
    // Not all of them: what is over the bound is refused one by one.
    let (spans, refused) = read(&daily(2_000, "FREQ=DAILY")).unwrap();
    assert!(spans == 1 && (1_800..2_000).contains(&refused), "{refused}");
    let (_, refused) = read(&daily(100, "FREQ=DAILY;COUNT=4000000000")).unwrap();
    assert!(refused > 90, "{refused}");
    assert_eq!(read(&daily(2_001, "FREQ=DAILY")), Err("events_too_many"));
    assert_eq!(read(&vec![b' '; 262_145]), Err("calendar_too_long"));
    assert_eq!(read(&daily(1, "FREQ=WEEKLY")), Err("spans_too_many"));
    let deep = "BEGIN:A\n".repeat(30_000);
    let deep = format!("BEGIN:VCALENDAR\n{deep}");
    assert_eq!(read(deep.as_bytes()), Err("component_unbalanced"));
    let long = calendar(std::iter::once(format!(
        "DTSTART:20261001\nRDATE:{}",
        "20261001,".repeat(28_000) + "20261001"
    )));
    assert_eq!(read(&long), Ok((1, 0)));
    let folded = format!(
        "BEGIN:VCALENDAR\nX:{}\nEND:VCALENDAR\n",
        "\n ".repeat(120_000)
    );
    assert_eq!(read(folded.as_bytes()), Ok((0, 0)));
}
