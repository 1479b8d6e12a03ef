//! What a letter brings into its reader's calendar.

use crate::desk::letters::{Appointment, Letter};
use crate::icalendar::{Event, Message, Person, Status, When, sequence_at, uid_of_turn};
use crate::wording::Voice;
use chrono::{DateTime, Utc};
use lettre::message::Mailbox;

/// The message about the turn, from the sender of letters to the letter's reader. `owed_at` is
/// since when the letter is owed, by the machine's clock.
pub(super) fn message(
    letter: &Letter,
    appointment: &Appointment,
    owed_at: DateTime<Utc>,
    from: &Mailbox,
) -> Message {
    let voice = Voice::of(&letter.speech);
    let when = match appointment.hours {
        Some((starts, ends)) => When::Window {
            starts,
            ends,
            zone: letter.speech.zone,
        },
        None => When::Days {
            first: appointment.on_date,
            last: appointment.on_date,
        },
    };
    let description: Vec<String> = (appointment.description.iter())
        .map(|phrase| voice.sentence_of(phrase, owed_at))
        .collect();
    let status = if appointment.is_off {
        Status::Cancelled
    } else {
        Status::Confirmed
    };
    Message {
        organizer: Person {
            name: from.name.clone(),
            address: from.email.to_string(),
        },
        attendee: Person {
            name: letter.name.clone(),
            address: letter.address.clone(),
        },
        event: Event {
            uid: uid_of_turn(appointment.turn, appointment.member, from.email.domain()),
            // Larger than that of a letter that was owed in the same second (RFC 5546, 3.2.5).
            sequence: sequence_at(owed_at).saturating_add(u32::from(appointment.is_off)),
            stamp: owed_at,
            last_modified: None,
            when,
            summary: voice.phrase(&appointment.title, owed_at),
            description: (!description.is_empty()).then(|| description.join("\n")),
            location: Some(appointment.location.clone()),
            url: None,
            status,
        },
    }
}
