//! What a letter brings into somebody's calendar.

use super::PRODUCT;
use super::event::{Event, Status};
use super::feed::write_zones;
use super::line::Lines;
use super::person::Person;
use std::slice;

/// Somebody is called to something, or told that it is off (RFC 5546, 3.2.2 and 3.2.5).
///
/// A cancelled event is a CANCEL, any other a REQUEST, so that no message says both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// Who calls: the same in all messages about the event.
    pub organizer: Person,
    /// Who is called.
    pub attendee: Person,
    /// To what. Its sequence has to be larger in a CANCEL than in the REQUEST before.
    pub event: Event,
}

impl Message {
    /// The METHOD, which the letter's content type names as well (RFC 6047, 2.4).
    #[must_use]
    pub const fn method(&self) -> &'static str {
        match self.event.status {
            Status::Confirmed => "REQUEST",
            Status::Cancelled => "CANCEL",
        }
    }

    /// The text, with the zone that it names.
    #[must_use]
    pub fn write(&self) -> String {
        let mut lines = Lines::default();
        lines.put("BEGIN", "VCALENDAR");
        lines.put("VERSION", "2.0");
        lines.put("PRODID", PRODUCT);
        lines.put("METHOD", self.method());
        write_zones(&mut lines, slice::from_ref(&self.event));
        let attendee = Some(&self.attendee);
        self.event.write(&mut lines, &self.organizer, attendee);
        lines.put("END", "VCALENDAR");
        lines.into_text()
    }
}
