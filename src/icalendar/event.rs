//! One thing in a calendar, as it is written.

use super::line::{Lines, date, percent_encoded, wall};
use super::person::Person;
use chrono::{DateTime, Days, NaiveDate, NaiveDateTime, SubsecRound, Utc};
use wormrota_domain::calendar::SiteZone;

/// When something takes place, in the years 0 to 9999: the format knows no others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Whole local days, wherever the reader is.
    Days {
        /// The first.
        first: NaiveDate,
        /// The last.
        last: NaiveDate,
    },
    /// From an instant to another.
    Window {
        /// When it starts.
        starts: DateTime<Utc>,
        /// When it ends. No end is written if it is not later.
        ends: DateTime<Utc>,
        /// By whose clocks it is shown.
        zone: SiteZone,
    },
}

/// Whether something takes place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// It does.
    Confirmed,
    /// It was to, and does not.
    Cancelled,
}

/// One thing in a calendar (RFC 5545, 3.6.1).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// The same for as long as it is the same thing, and nothing else's anywhere.
    pub uid: String,
    /// How often it was changed in a way that matters: a reader keeps what has the most. It has
    /// to grow with whatever moves it, calls it off or puts it on again.
    pub sequence: u32,
    /// When this was written; of a message, what tells two with one sequence apart.
    pub stamp: DateTime<Utc>,
    /// When it was changed last.
    pub last_modified: Option<DateTime<Utc>>,
    /// When it takes place.
    pub when: When,
    /// What it is, in a few words.
    pub summary: String,
    /// What else there is to say.
    pub description: Option<String>,
    /// Where.
    pub location: Option<String>,
    /// Where more can be read: an absolute address.
    pub url: Option<String>,
    /// Whether it takes place.
    pub status: Status,
}

impl Event {
    /// The span in which a zone's clocks must be described, if it is written by them.
    pub(super) fn zoned(&self) -> Option<(SiteZone, DateTime<Utc>, DateTime<Utc>)> {
        match self.when {
            When::Window { starts, ends, zone } => {
                walls(starts, ends, zone).map(|_| (zone, starts, ends))
            }
            When::Days { .. } => None,
        }
    }

    /// The component, with somebody who is called to it if there is.
    pub(super) fn write(&self, lines: &mut Lines, organizer: &Person, attendee: Option<&Person>) {
        lines.put("BEGIN", "VEVENT");
        lines.text("UID", &self.uid);
        lines.instant("DTSTAMP", self.stamp);
        lines.put("SEQUENCE", &self.sequence.to_string());
        if let Some(at) = self.last_modified {
            lines.instant("LAST-MODIFIED", at);
        }
        self.when.write(lines);
        lines.text("SUMMARY", &self.summary);
        lines.text_if("DESCRIPTION", self.description.as_deref());
        lines.text_if("LOCATION", self.location.as_deref());
        if let Some(url) = &self.url {
            // What RFC 3986 reserves, and what is encoded already.
            let url = percent_encoded(url, |byte| b":/?#[]@!$&'()*+,;=%".contains(&byte));
            lines.put("URL", &url);
        }
        organizer.write(lines, "ORGANIZER");
        if let Some(attendee) = attendee {
            // Nobody reads answers: whoever cannot come says so at the site.
            attendee.write(lines, "ATTENDEE;RSVP=FALSE");
        }
        let status = match self.status {
            Status::Confirmed => "CONFIRMED",
            Status::Cancelled => "CANCELLED",
        };
        lines.put("STATUS", status);
        lines.put("END", "VEVENT");
    }
}

impl When {
    fn write(self, lines: &mut Lines) {
        match self {
            Self::Days { first, last } => {
                // The end is the first day after it (RFC 5545, 3.6.1).
                let end = last.checked_add_days(Days::new(1)).unwrap_or(last);
                lines.put("DTSTART;VALUE=DATE", &date(first));
                lines.put("DTEND;VALUE=DATE", &date(end));
                // A day on which a site is shut keeps nobody busy.
                lines.put("TRANSP", "TRANSPARENT");
            }
            Self::Window { starts, ends, zone } => {
                if let Some((from, to)) = walls(starts, ends, zone) {
                    let zone = zone.name();
                    lines.put(&format!("DTSTART;TZID={zone}"), &wall(from));
                    if ends > starts {
                        lines.put(&format!("DTEND;TZID={zone}"), &wall(to));
                    }
                } else {
                    lines.instant("DTSTART", starts);
                    if ends > starts {
                        lines.instant("DTEND", ends);
                    }
                }
            }
        }
    }
}

/// What clocks in the zone show at both ends; none if one of the times comes twice. By RFC 5545,
/// 3.3.5, it is the first, but not to every reader.
fn walls(
    starts: DateTime<Utc>,
    ends: DateTime<Utc>,
    zone: SiteZone,
) -> Option<(NaiveDateTime, NaiveDateTime)> {
    let shown = |at: DateTime<Utc>| {
        let at = at.trunc_subsecs(0);
        let wall = zone.wall(at);
        (zone.first_instant(wall) == zone.last_instant(wall)).then_some(wall)
    };
    // UTC has a form of its own.
    (zone != SiteZone::UTC).then_some(())?;
    Some((shown(starts)?, shown(ends)?))
}
