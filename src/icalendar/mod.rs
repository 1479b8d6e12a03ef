//! iCalendar (RFC 5545), for calendars that people keep elsewhere.
//!
//! A [`Feed`] is what somebody subscribes to, a [`Message`] what a letter brings: both from plain
//! values to text. [`read_closures`] goes the other way, from the text of a school's calendar to
//! the days on which it is shut.
//!
//! ```
//! use wormrota::icalendar::{Event, Feed, Person, Status, When};
//!
//! let event = Event {
//!     uid: "0198c5c8@bins.example".to_owned(),
//!     sequence: 0,
//!     stamp: "2026-11-25T12:00:00Z".parse().expect("an instant"),
//!     last_modified: None,
//!     when: When::Window {
//!         starts: "2026-12-01T08:00:00Z".parse().expect("an instant"),
//!         ends: "2026-12-01T18:00:00Z".parse().expect("an instant"),
//!         zone: "Europe/Lisbon".parse()?,
//!     },
//!     summary: "Feed the bin; it is hungry".to_owned(),
//!     description: None,
//!     location: None,
//!     url: None,
//!     status: Status::Confirmed,
//! };
//! let feed = Feed {
//!     name: "Turns".to_owned(),
//!     organizer: Person { name: None, address: "bins@house.example".to_owned() },
//!     refresh_minutes: 360,
//!     events: vec![event],
//! };
//! let text = feed.write();
//! assert!(text.contains("\r\nDTSTART;TZID=Europe/Lisbon:20261201T080000\r\n"));
//! assert!(text.contains("\r\nSUMMARY:Feed the bin\\; it is hungry\r\n"));
//! # Ok::<(), wormrota_domain::calendar::UnknownZone>(())
//! ```

mod event;
mod feed;
mod line;
mod message;
mod person;
mod read;
mod turn;
mod zone;

#[cfg(test)]
mod tests;

pub use event::{Event, Status, When};
pub use feed::Feed;
pub use message::Message;
pub use person::Person;
pub use read::{Choice, ClosedDays, MOST_BYTES, NamedDays, Refused, Why, read_closures};
pub use turn::{sequence_at, uid_of_bins_turn, uid_of_turn};

/// Who wrote a calendar (RFC 5545, 3.7.3).
const PRODUCT: &str = "-//Wormrota//Wormrota//EN";
