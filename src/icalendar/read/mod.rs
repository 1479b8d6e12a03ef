//! Reading the days on which a school is shut from the text of its calendar.
//!
//! Every event counts that is not left out by its name. It is read as strictly as
//! a bin's rhythm: what the standard forbids or leaves open, and what is not read here, is refused
//! with its line, and the other events are taken.

mod choice;
mod component;
mod line;
mod moment;
mod occasion;
mod refusal;
mod series;

pub use choice::Choice;
pub use refusal::{Refused, Why};

use chrono::{NaiveDate, NaiveDateTime};
use occasion::Occasion;
use series::Steps;
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::turns::regenerate::Closure;

/// The longest text. Ours: a school's calendar of ten years is shorter.
pub const MOST_BYTES: usize = 262_144;
/// Events in a text. Ours.
const MOST_EVENTS: usize = 2_000;
/// Days that are worked out for all recurrence rules of a text. Ours: three years for each of
/// ninety rules, in well under a second.
const MOST_STEPS: i64 = 100_000;
/// Spans of closed days in a text. Ours: as many closures as a site may have.
const MOST_SPANS: usize = 100;

/// What a text says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosedDays {
    /// The spans of local days within those that were asked for, in order; between two of them
    /// lies at least one day.
    pub spans: Vec<Closure>,
    /// The events with the days that they close, in order of day; those that are left out too.
    pub events: Vec<NamedDays>,
    /// The events that are not taken, in order of their lines.
    pub refused: Vec<Refused>,
}

/// Days that an event closes, or would.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedDays {
    /// Its name: without escapes, and cut.
    pub name: Option<String>,
    /// Its days.
    pub span: Closure,
    /// Whether it counts; if not, it was left out by its name.
    pub counts: bool,
}

/// Reads the closed days among `days` from the text of one or more calendars (RFC 5545).
///
/// A day is closed if it lies in an event as a whole, at the site: an event without a time, or one
/// from midnight to midnight; times without a zone are the site's. A cancelled event closes
/// nothing, and of two versions the one with the larger SEQUENCE counts.
///
/// # Errors
///
/// If the text is no calendar, is too long, or has more events or spans than are taken.
pub fn read_closures(
    text: &[u8],
    site: SiteZone,
    days: &RangeInclusive<NaiveDate>,
    choice: &Choice,
) -> Result<ClosedDays, Refused> {
    if text.len() > MOST_BYTES {
        return Err(Why::TooLong { bytes: text.len() }.at(1));
    }
    let mut refused = Vec::new();
    let mut occasions = Vec::new();
    for event in component::events(text)? {
        match Occasion::read(&event, site) {
            Ok(occasion) => occasions.push(occasion),
            Err(why) => refused.push(why),
        }
    }
    let occasions = newest(occasions, &mut refused);
    let mut events = Vec::new();
    let (mut replaced, called_off) = (replaced(&occasions), called_off(&occasions));
    let mut steps = Steps::all();
    for occasion in occasions.iter().filter(|occasion| !occasion.cancelled) {
        let uid = occasion.uid.as_deref().unwrap_or_default();
        let starts = if occasion.replaces.is_none() {
            occasion.starts(days, &mut steps).map(|mut starts| {
                for (line, moment) in replaced.remove(uid).unwrap_or_default() {
                    let property = "RECURRENCE-ID";
                    match moment.beside(occasion.start) {
                        Some(start) => drop(starts.remove(&start)),
                        None => refused.push(Why::Mixed { property }.at(line)),
                    }
                }
                starts
            })
        } else if called_off.contains(uid) {
            continue;
        } else {
            Ok(BTreeSet::from([occasion.start.wall()]))
        };
        let near = starts.map(|mut starts| {
            starts.retain(|start| occasion.touches(*start, days));
            starts
        });
        let closed = near.and_then(|near| whole_days(occasion, &near, site));
        match closed {
            Ok(closed) => {
                let counts = choice.counts(occasion.name.as_deref());
                events.extend(closed.into_iter().map(|span| NamedDays {
                    name: occasion.name.clone(),
                    span,
                    counts,
                }));
            }
            Err(why) => refused.push(why),
        }
    }
    events.sort_by_key(|event| (event.span.first, event.span.last));
    let counting = events.iter().filter(|event| event.counts);
    let spans = merged(counting.map(|event| event.span).collect(), days);
    if spans.len() > MOST_SPANS {
        let found = spans.len();
        return Err(Why::TooManySpans { found }.at(1));
    }
    refused.sort_by_key(|refused| refused.line);
    Ok(ClosedDays {
        spans,
        events,
        refused,
    })
}

fn whole_days(
    occasion: &Occasion,
    starts: &BTreeSet<NaiveDateTime>,
    site: SiteZone,
) -> Result<Vec<Closure>, Refused> {
    let closed = starts.iter().filter_map(|at| occasion.closed(*at, site));
    let closed: Vec<_> = closed.collect();
    if closed.is_empty() && !starts.is_empty() {
        return Err(Why::NoWholeDay.at(occasion.line));
    }
    Ok(closed)
}

/// Of several versions of an event, or of an occurrence of it, the one that counts.
fn newest(occasions: Vec<Occasion>, refused: &mut Vec<Refused>) -> Vec<Occasion> {
    let mut kept: Vec<Occasion> = Vec::new();
    let mut places = BTreeMap::new();
    for occasion in occasions {
        let Some(uid) = occasion.uid.clone() else {
            kept.push(occasion);
            continue;
        };
        let replaces = occasion.replaces.map(|(_, moment)| moment.key());
        match places.entry((uid, replaces)) {
            Entry::Vacant(entry) => {
                entry.insert(kept.len());
                kept.push(occasion);
            }
            Entry::Occupied(entry) => {
                let there = &mut kept[*entry.get()];
                if there.sequence == occasion.sequence {
                    refused.push(Why::UidTwice.at(occasion.line));
                } else if there.sequence < occasion.sequence {
                    *there = occasion;
                }
            }
        }
    }
    kept
}

/// By UID, the occurrences for which an event of their own stands, and its line.
fn replaced(occasions: &[Occasion]) -> BTreeMap<&str, Vec<(usize, moment::Moment)>> {
    let mut found: BTreeMap<&str, Vec<_>> = BTreeMap::new();
    for occasion in occasions {
        if let (Some(uid), Some(replaces)) = (&occasion.uid, occasion.replaces) {
            found.entry(uid).or_default().push(replaces);
        }
    }
    found
}

/// The UIDs of events that are cancelled with all their occurrences.
fn called_off(occasions: &[Occasion]) -> BTreeSet<&str> {
    let off = occasions
        .iter()
        .filter(|occasion| occasion.cancelled && occasion.replaces.is_none());
    off.filter_map(|occasion| occasion.uid.as_deref()).collect()
}

/// What of the spans lies within the days, those that overlap or touch as one.
fn merged(mut spans: Vec<Closure>, days: &RangeInclusive<NaiveDate>) -> Vec<Closure> {
    spans.sort_by_key(|span| span.first);
    let mut found: Vec<Closure> = Vec::new();
    for span in spans {
        let first = span.first.max(*days.start());
        let last = span.last.min(*days.end());
        if first > last {
            continue;
        }
        match found.last_mut() {
            Some(before) if before.last.succ_opt().is_none_or(|next| first <= next) => {
                before.last = before.last.max(last);
            }
            _ => found.push(Closure { first, last }),
        }
    }
    found
}
