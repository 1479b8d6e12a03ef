//! What a message is made of.

use super::compose::{Common, Form, message};
use crate::desk::letters::{Appointment, Content, Letter, Part};
use crate::settings::Settings;
use chrono::{DateTime, Utc};
use uuid::Uuid;
use wormrota_domain::food::Paper;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::phrase::Phrase;
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::speech::SpeechOf;

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn letter(calendar: &[Appointment]) -> Letter {
    Letter {
        address: "begona@elm.example".to_owned(),
        name: Some("Begoña Núñez".to_owned()),
        speech: SpeechOf {
            language: Language::English,
            units: UnitSystem::Metric,
            zone: "America/Chicago".parse().unwrap(),
            paper: Paper::A4,
            containers: Vec::new(),
        },
        content: Content {
            subject: Phrase::of("letter-signin-subject"),
            parts: vec![Part::Paragraph(vec![Phrase::of("letter-link-secret")])],
            calendar: calendar.to_vec(),
            thread: None,
        },
        fewer: None,
        not_before: None,
        speaks_for: Vec::new(),
    }
}

fn appointment() -> Appointment {
    Appointment {
        turn: TurnId(Uuid::from_u128(7)),
        member: MemberId(Uuid::from_u128(8)),
        on_date: "2026-12-01".parse().unwrap(),
        hours: Some((at("2026-12-01T14:00:00Z"), at("2026-12-02T00:00:00Z"))),
        title: Phrase::of("letter-signin-subject"),
        description: vec![
            Phrase::of("letter-link-secret"),
            Phrase::of("letter-signin-unexpected"),
        ],
        location: "Cellar, door C".to_owned(),
        is_off: false,
    }
}

/// Another turn of the same person.
fn other() -> Appointment {
    Appointment {
        turn: TurnId(Uuid::from_u128(6)),
        on_date: "2026-12-08".parse().unwrap(),
        hours: None,
        ..appointment()
    }
}

fn composed(calendar: &[Appointment], form: Form) -> String {
    composed_as(calendar, form, &[])
}

/// The same with settings from the environment.
fn composed_as(calendar: &[Appointment], form: Form, env: &[(&str, &str)]) -> String {
    let env = env
        .iter()
        .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()));
    let letters = Settings::load(&env.collect()).unwrap().letters;
    let common = Common::of(&letters).unwrap();
    let owed_at = at("2026-11-29T13:00:00Z");
    let id = Uuid::from_u128(9);
    let composed = message(&letter(calendar), id, owed_at, &common, form).unwrap();
    String::from_utf8(composed.message).unwrap()
}

/// The part whose content type is this, without its head; lines of the calendar unfolded.
fn part(message: &str, content_type: &str) -> String {
    let head = format!("Content-Type: {content_type}");
    let (_, rest) = message
        .split_once(&head)
        .unwrap_or_else(|| panic!("{message}"));
    let (_, rest) = rest.split_once("\r\n\r\n").unwrap();
    let (text, _) = rest.split_once("\r\n--").unwrap();
    text.replace("\r\n ", "")
}

/// Protects whoever answers a letter that tells them to ask somebody.
#[test]
fn an_answer_goes_to_whom_the_settings_name() {
    let head = |env: &[(&str, &str)]| {
        let message = composed_as(&[], Form::Portable, env);
        message.split_once("\r\n\r\n").unwrap().0.to_owned()
    };
    assert!(!head(&[]).contains("Reply-To"));
    let named = head(&[("WORMROTA__LETTERS__REPLY_TO", "Ada Núñez <ada@example.org>")]);
    let lines: Vec<&str> = named
        .lines()
        .filter(|line| line.starts_with("Reply-To:"))
        .collect();
    assert_eq!(lines.len(), 1, "{named}");
    assert!(lines[0].ends_with(" <ada@example.org>"), "{named}");
    assert!(
        named.starts_with("From: Wormrota <no-reply@wormrota.invalid>\r\n"),
        "{named}"
    );
}

/// Protects calendars: what mail programs show and what they let people save is one turn, with
/// its method in both places, and nobody is asked for an answer that nobody reads.
#[test]
fn a_turn_is_shown_and_attached() {
    let message = composed(&[appointment()], Form::Readable);
    let shown = part(&message, "text/calendar; charset=utf-8; method=REQUEST\r\n");
    let attached = part(&message, "application/ics\r\n");
    assert_eq!(shown, attached);
    for line in [
        "METHOD:REQUEST",
        "UID:00000000-0000-0000-0000-000000000007.00000000-0000-0000-0000-000000000008@wormrota.invalid",
        "SEQUENCE:218120400",
        "DTSTAMP:20261129T130000Z",
        "DTSTART;TZID=America/Chicago:20261201T080000",
        "DTEND;TZID=America/Chicago:20261201T180000",
        "ORGANIZER;CN=\"Wormrota\":mailto:no-reply@wormrota.invalid",
        "ATTENDEE;RSVP=FALSE;CN=\"Begoña Núñez\":mailto:begona@elm.example",
        "LOCATION:Cellar\\, door C",
    ] {
        assert!(shown.lines().any(|found| found == line), "{line}: {shown}");
    }
    assert!(
        message.contains("Content-Type: multipart/mixed;"),
        "{message}"
    );
    let file = "Content-Disposition: attachment; filename=\"turn.ics\"";
    assert!(message.contains(file), "{message}");
    // What is shown stands last among the alternatives.
    let places = [
        "text/plain",
        "text/html",
        "text/calendar",
        "application/ics",
    ];
    let places = places.map(|kind| message.find(&format!("Content-Type: {kind}")).unwrap());
    assert!(places.is_sorted(), "{message}");
}

/// Protects calendars from turns that are not the reader's any more, and whole days from being
/// blocked.
#[test]
fn a_turn_that_is_off_is_a_cancel_and_one_without_hours_a_day() {
    let off = Appointment {
        is_off: true,
        hours: None,
        ..appointment()
    };
    let message = composed(&[off], Form::Readable);
    let shown = part(&message, "text/calendar; charset=utf-8; method=CANCEL\r\n");
    for line in [
        "METHOD:CANCEL",
        "STATUS:CANCELLED",
        "DTSTART;VALUE=DATE:20261201",
        "DTEND;VALUE=DATE:20261202",
        "TRANSP:TRANSPARENT",
    ] {
        assert!(shown.lines().any(|found| found == line), "{line}: {shown}");
    }
}

/// Protects calendars from keeping turns of a letter about several: each is a file of its own,
/// which says what it is, and none is shown in the stead of the others.
#[test]
fn several_turns_are_a_file_each() {
    let off = |appointment| Appointment {
        is_off: true,
        ..appointment
    };
    let message = composed(&[off(appointment()), off(other())], Form::Readable);
    let kind = "Content-Type: text/calendar; charset=utf-8; method=CANCEL\r\n";
    let files: Vec<&str> = message.split(kind).skip(1).collect();
    assert_eq!(files.len(), 2, "{message}");
    for (file, (number, turn)) in files.iter().zip([(1, 7), (2, 6)]) {
        let head = format!("attachment; filename=\"turn-{number}.ics\"\r\n{kind}");
        assert_eq!(message.matches(&head).count(), 1, "{message}");
        let text = file.replace("\r\n ", "");
        for line in ["METHOD:CANCEL", "STATUS:CANCELLED", "SEQUENCE:218120401"] {
            assert!(text.lines().any(|found| found == line), "{line}: {text}");
        }
        let uids: Vec<&str> = text
            .lines()
            .filter(|line| line.starts_with("UID:"))
            .collect();
        let uid = format!("UID:{}.", Uuid::from_u128(turn));
        assert!(uids.len() == 1 && uids[0].starts_with(&uid), "{uids:?}");
    }
    // Nothing of them is among what a program shows.
    let shown = message.split_once("--part-").unwrap().1;
    let shown = shown.rsplit_once("--part-").unwrap().0;
    assert!(!shown.contains("text/calendar"), "{shown}");
    assert!(!message.contains("application/ics"), "{message}");
}

/// Protects letters on their way: for a mail server every line is short and in seven bits, and a
/// letter without a turn has no third part.
#[test]
fn what_a_server_gets_is_short_lines_of_seven_bits() {
    for calendar in [
        Vec::new(),
        vec![appointment()],
        vec![appointment(), other()],
    ] {
        let is_there = !calendar.is_empty();
        let message = composed(&calendar, Form::Portable);
        assert!(message.is_ascii(), "{message}");
        assert!(message.lines().all(|line| line.len() <= 78), "{message}");
        assert_eq!(message.contains("text/calendar"), is_there, "{message}");
        assert_eq!(message.contains("multipart/mixed"), is_there, "{message}");
    }
}

/// Protects mailboxes from letters about one turn that stand apart, and from those about another
/// that stand among them.
#[test]
fn letters_about_one_turn_stand_together() {
    let reference = |calendar: &[Appointment]| {
        let message = composed(calendar, Form::Portable);
        let found = message
            .lines()
            .find_map(|line| line.strip_prefix("References: "));
        found.map(str::to_owned)
    };
    let about = |turn: u128| Appointment {
        turn: TurnId(Uuid::from_u128(turn)),
        ..appointment()
    };
    let first = reference(&[about(7)]);
    let off = Appointment {
        is_off: true,
        ..about(7)
    };
    assert!(first.is_some());
    assert_eq!(reference(&[off]), first);
    assert_ne!(reference(&[about(6)]), first);
    assert_eq!(reference(&[]), None);
    assert_eq!(reference(&[about(6), about(7)]), None);
}
