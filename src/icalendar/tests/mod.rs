//! What calendars promise: that every reader sees the same instants, and nothing else gets in.

mod closures;
mod fuzz;
mod golden;
mod lines;
mod messages;
mod refused;
mod zones;

use super::{Event, Feed, Message, Person, Status, When};
use chrono::{DateTime, Utc};

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn window(zone: &str, starts: &str, ends: &str) -> When {
    When::Window {
        starts: at(starts),
        ends: at(ends),
        zone: zone.parse().unwrap(),
    }
}

fn event(uid: &str, when: When) -> Event {
    Event {
        uid: format!("{uid}@bins.example"),
        sequence: 2,
        stamp: at("2026-11-25T12:00:00Z"),
        last_modified: Some(at("2026-11-24T07:30:00Z")),
        when,
        summary: "Feed the bin by the bicycles".to_owned(),
        description: Some("Bring at most 1.2 kg; bury it, cover it.\nThank you!".to_owned()),
        location: Some("Cellar, door C".to_owned()),
        url: Some("https://bins.example/turns/7?from=calendar".to_owned()),
        status: Status::Confirmed,
    }
}

fn organizer() -> Person {
    Person {
        name: Some("Nightingale Court".to_owned()),
        address: "bins@nightingale.example".to_owned(),
    }
}

fn feed(events: Vec<Event>) -> Feed {
    Feed {
        name: "Worms, at home".to_owned(),
        organizer: organizer(),
        refresh_minutes: 360,
        events,
    }
}

fn message(event: Event) -> Message {
    Message {
        organizer: organizer(),
        attendee: Person {
            name: Some("Ana \"Nana\" Sousa, 3rd floor".to_owned()),
            address: "ana.sousa+bins@house.example".to_owned(),
        },
        event,
    }
}

/// Lines as a reader sees them, put together again.
fn unfolded(text: &str) -> Vec<String> {
    let text = text.replace("\r\n ", "");
    text.split_terminator("\r\n").map(str::to_owned).collect()
}
