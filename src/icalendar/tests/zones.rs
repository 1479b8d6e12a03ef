//! Zones: a reader who knows nothing but the text comes to our instants.

use super::{event, feed, unfolded, window};
use crate::icalendar::When;
use chrono::{DateTime, Days, NaiveDateTime, TimeDelta, Utc};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::collections::BTreeMap;
use wormrota_domain::calendar::SiteZone;

const SEED: u64 = 20_261_125;

fn wall(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y%m%dT%H%M%S").unwrap()
}

fn offset(text: &str) -> TimeDelta {
    let part = |at: usize| text.get(at..at + 2).map_or(0, |two| two.parse().unwrap());
    let seconds = part(1) * 3_600 + part(3) * 60 + part(5);
    TimeDelta::seconds(if text.starts_with('-') {
        -seconds
    } else {
        seconds
    })
}

/// Onset by the clock before it, what was before, and what is from then on.
type Observance = (NaiveDateTime, TimeDelta, TimeDelta);

/// A reader of lines, which knows no zone by itself.
#[derive(Default)]
struct Reader {
    zones: BTreeMap<String, Vec<Observance>>,
    starts: Vec<DateTime<Utc>>,
    ends: Vec<DateTime<Utc>>,
}

impl Reader {
    fn read(text: &str) -> Self {
        let mut reader = Self::default();
        let (mut zone, mut onset, mut before) = (String::new(), None, TimeDelta::zero());
        for line in unfolded(text) {
            let (name, value) = line.split_once(':').unwrap();
            match name {
                "TZID" => value.clone_into(&mut zone),
                "DTSTART" if !value.ends_with('Z') => onset = Some(wall(value)),
                "TZOFFSETFROM" => before = offset(value),
                "TZOFFSETTO" => {
                    let known = reader.zones.entry(zone.clone()).or_default();
                    known.push((onset.unwrap(), before, offset(value)));
                }
                _ if name.starts_with("DTSTART") => reader.starts.push(reader.instant(name, value)),
                _ if name.starts_with("DTEND") => reader.ends.push(reader.instant(name, value)),
                _ => {}
            }
        }
        reader
    }

    /// The offset of the last onset before; a time that is skipped has the offset before the
    /// gap, and of one that comes twice the first counts (RFC 5545, 3.3.5).
    fn instant(&self, name: &str, value: &str) -> DateTime<Utc> {
        if let Some(utc) = value.strip_suffix('Z') {
            return wall(utc).and_utc();
        }
        let zone = name.split_once("TZID=").unwrap().1;
        let local = wall(value);
        let begun = |(onset, before, after): &&Observance| {
            // A gap is as long as the clocks jump.
            local >= *onset + (*after - *before).max(TimeDelta::zero())
        };
        let known = &self.zones[zone];
        let (_, _, offset) = known.iter().rfind(begun).unwrap_or(&known[0]);
        (local - *offset).and_utc()
    }
}

/// Guards every zone of the database: over years in which rules were and were not changed, both
/// ends of events are read as they were meant, also at hours that come twice.
#[test]
fn the_text_alone_leads_back_to_the_instants() {
    println!("seed {SEED}");
    let mut random = StdRng::seed_from_u64(SEED);
    let mut events_read = 0;
    for zone in SiteZone::all() {
        let begin: DateTime<Utc> = "2005-01-01T00:00:00Z".parse().unwrap();
        let from = begin + Days::new(random.random_range(0..9_000));
        let until = from + Days::new(random.random_range(1..1_098));
        let mut around: Vec<DateTime<Utc>> = zone
            .observances(from, until)
            .iter()
            .filter(|one| one.onset > from)
            .flat_map(|one| (-6..=6).map(|step| one.onset + TimeDelta::minutes(step * 30)))
            .collect();
        around.extend([from, until]);
        let (mut starts, mut ends, mut events) = (Vec::new(), Vec::new(), Vec::new());
        for at in around {
            let end = at + TimeDelta::minutes(random.random_range(1..600));
            starts.push(at);
            ends.push(end);
            let when = When::Window {
                starts: at,
                ends: end,
                zone,
            };
            events.push(event("x", when));
        }
        let read = Reader::read(&feed(events).write());
        assert_eq!(read.starts, starts, "{zone}");
        assert_eq!(read.ends, ends, "{zone}");
        assert!(read.zones.len() <= 1, "{zone}");
        events_read += starts.len();
    }
    println!("{events_read} events");
    assert!(events_read > 5_000);
}

/// Guards against readers who disagree about an hour that comes twice: nothing names it by the
/// clock on the wall, neither its first time nor its second, and what lies beside it is.
#[test]
fn a_time_that_comes_twice_is_written_in_utc() {
    let ends = |starts: &str, ends: &str| {
        let written = feed(vec![event("x", window("Europe/Lisbon", starts, ends))]).write();
        let lines = unfolded(&written);
        let of = |name: &str| lines.iter().rfind(|line| line.starts_with(name)).cloned();
        [of("DTSTART"), of("DTEND")].map(Option::unwrap)
    };
    // Lisbon goes back from two o'clock to one, which is one in UTC.
    for (from, to) in [
        ("2026-10-25T00:00:00Z", "2026-10-25T04:00:00Z"),
        ("2026-10-24T20:00:00Z", "2026-10-25T01:59:59Z"),
    ] {
        let plain = |text: &str| text.replace(['-', ':'], "");
        let wanted = [
            format!("DTSTART:{}", plain(from)),
            format!("DTEND:{}", plain(to)),
        ];
        assert_eq!(ends(from, to), wanted);
    }
    assert_eq!(
        ends("2026-10-24T23:59:59Z", "2026-10-25T02:00:00Z"),
        [
            "DTSTART;TZID=Europe/Lisbon:20261025T005959",
            "DTEND;TZID=Europe/Lisbon:20261025T020000",
        ]
    );
}
