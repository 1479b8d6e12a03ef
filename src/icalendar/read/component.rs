//! From lines to events: which property stands in which component.

use super::MOST_EVENTS;
use super::line::{Line, unfolded};
use super::refusal::{Refused, Why, beginning};

/// The properties that say when an event is.
const READ: [&str; 12] = [
    "UID",
    "SUMMARY",
    "SEQUENCE",
    "STATUS",
    "RECURRENCE-ID",
    "DTSTART",
    "DTEND",
    "DURATION",
    "RRULE",
    "RDATE",
    "EXDATE",
    "EXRULE",
];

/// An event as it stands there.
#[derive(Debug)]
pub(super) struct Written {
    /// Where it begins.
    pub(super) line: usize,
    /// What is read of it, in order.
    pub(super) properties: Vec<Line>,
    /// The first line of it that cannot be read.
    pub(super) broken: Option<Refused>,
}

/// The events of all calendars in a text.
///
/// What cannot be read within an event is that event's; anywhere else it is the text's.
pub(super) fn events(text: &[u8]) -> Result<Vec<Written>, Refused> {
    let mut found: Vec<Written> = Vec::new();
    let mut open: Vec<String> = Vec::new();
    let mut last = 1;
    let mut calendars = 0;
    for (number, octets) in unfolded(text) {
        last = number;
        let within_event = open.get(1).is_some_and(|name| name == "VEVENT");
        let line = match Line::read(number, &octets) {
            Ok(line) => line,
            Err(_) if open.is_empty() => return Err(Why::NoCalendar.at(number)),
            Err(refused) => match found.last_mut().filter(|_| within_event) {
                Some(event) => {
                    event.broken.get_or_insert(refused);
                    continue;
                }
                None => return Err(refused),
            },
        };
        let value = line.value.to_ascii_uppercase();
        match line.name.as_str() {
            "BEGIN" => {
                match (open.len(), value.as_str()) {
                    (0, "VCALENDAR") => calendars += 1,
                    (0, _) => return Err(Why::NoCalendar.at(number)),
                    (1, "VEVENT") => found.push(Written {
                        line: number,
                        properties: Vec::new(),
                        broken: None,
                    }),
                    (_, "VCALENDAR" | "VEVENT") => return Err(Why::Unbalanced.at(number)),
                    _ => {}
                }
                if found.len() > MOST_EVENTS {
                    return Err(Why::TooManyEvents.at(number));
                }
                open.push(value);
            }
            "END" if open.pop().as_ref() != Some(&value) => {
                return Err(Why::Unbalanced.at(number));
            }
            "END" => {}
            _ if open.is_empty() => return Err(Why::NoCalendar.at(number)),
            // Others tell what became of something, or ask for it.
            "METHOD" if open.len() == 1 && !["PUBLISH", "REQUEST"].contains(&value.as_str()) => {
                let found = beginning(&line.value);
                return Err(Why::Method { found }.at(number));
            }
            name if within_event && open.len() == 2 && READ.contains(&name) => {
                if let Some(event) = found.last_mut() {
                    event.properties.push(line);
                }
            }
            _ => {}
        }
    }
    if calendars == 0 {
        return Err(Why::NoCalendar.at(last));
    }
    if !open.is_empty() {
        return Err(Why::Unbalanced.at(last));
    }
    Ok(found)
}
