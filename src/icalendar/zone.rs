//! How a zone's clocks go (RFC 5545, 3.6.5), spelled out: readers may know other rules for a
//! name than we do, or none.

use super::line::{Lines, wall};
use chrono::{DateTime, FixedOffset, Utc};
use wormrota_domain::calendar::{Observance, SiteZone};

/// The component for every instant of a span.
pub(super) fn write(lines: &mut Lines, zone: SiteZone, from: DateTime<Utc>, to: DateTime<Utc>) {
    lines.put("BEGIN", "VTIMEZONE");
    lines.text("TZID", zone.name());
    // One by one and not by a rule: rules change, and a part of the readers takes only some.
    for observance in zone.observances(from, to) {
        write_observance(lines, &observance);
    }
    lines.put("END", "VTIMEZONE");
}

fn write_observance(lines: &mut Lines, observance: &Observance) {
    let component = if observance.summer {
        "DAYLIGHT"
    } else {
        "STANDARD"
    };
    lines.put("BEGIN", component);
    lines.put("DTSTART", &wall(observance.wall_at_onset()));
    lines.put("TZOFFSETFROM", &offset(observance.before));
    lines.put("TZOFFSETTO", &offset(observance.offset));
    lines.text("TZNAME", &observance.name);
    lines.put("END", component);
}

/// A UTC-OFFSET (RFC 5545, 3.3.14).
fn offset(offset: FixedOffset) -> String {
    let seconds = offset.local_minus_utc();
    let sign = if seconds < 0 { '-' } else { '+' };
    let (minutes, rest) = (seconds.abs() / 60, seconds.abs() % 60);
    let shown = format!("{sign}{:02}{:02}", minutes / 60, minutes % 60);
    if rest == 0 {
        shown
    } else {
        format!("{shown}{rest:02}")
    }
}
