//! A calendar that somebody subscribes to.

use super::PRODUCT;
use super::event::Event;
use super::line::Lines;
use super::person::Person;
use super::zone;
use chrono::DateTime;
use std::collections::BTreeMap;
use wormrota_domain::calendar::SiteZone;

/// A calendar that is read again and again (RFC 5546, 3.2.1).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feed {
    /// What it is called.
    pub name: String,
    /// Whose it is: the standard wants somebody.
    pub organizer: Person,
    /// After how many minutes it is worth reading again.
    pub refresh_minutes: u16,
    /// What is in it. Each has a UID of its own.
    pub events: Vec<Event>,
}

impl Feed {
    /// The text, with every zone that it names.
    #[must_use]
    pub fn write(&self) -> String {
        let mut lines = Lines::default();
        lines.put("BEGIN", "VCALENDAR");
        lines.put("VERSION", "2.0");
        lines.put("PRODID", PRODUCT);
        // What is published has something in it.
        if !self.events.is_empty() {
            lines.put("METHOD", "PUBLISH");
        }
        // The names of RFC 7986, and those that were in use before it.
        lines.text("NAME", &self.name);
        lines.text("X-WR-CALNAME", &self.name);
        let refresh = format!("PT{}M", self.refresh_minutes);
        lines.put("REFRESH-INTERVAL;VALUE=DURATION", &refresh);
        lines.put("X-PUBLISHED-TTL", &refresh);
        write_zones(&mut lines, &self.events);
        for event in &self.events {
            event.write(&mut lines, &self.organizer, None);
        }
        if self.events.is_empty() {
            // No calendar is without a component (RFC 5545, 3.6).
            let at = DateTime::UNIX_EPOCH;
            zone::write(&mut lines, SiteZone::UTC, at, at);
        }
        lines.put("END", "VCALENDAR");
        lines.into_text()
    }
}

/// Every zone that the events name, for the whole of their span.
pub(super) fn write_zones(lines: &mut Lines, events: &[Event]) {
    let mut spans = BTreeMap::new();
    for (zone, from, to) in events.iter().filter_map(Event::zoned) {
        let span = spans.entry(zone.name()).or_insert((zone, from, to));
        *span = (zone, span.1.min(from), span.2.max(to));
    }
    for (zone, from, to) in spans.into_values() {
        zone::write(lines, zone, from, to);
    }
}
