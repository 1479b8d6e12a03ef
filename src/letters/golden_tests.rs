//! Every kind of letter in every language and unit system, as people read it.
//!
//! `golden.txt` is read by a person when it changes. To write it anew:
//! `WORMROTA_WRITE_GOLDEN=1 cargo test --lib letters`.

use super::render::{self, Words};
use crate::desk::letters::{Answer, Content, Letter, samples};
use chrono::{DateTime, Utc};
use std::fmt::Write;
use wormrota_domain::food::Paper;
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::Phrase;
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::speech::SpeechOf;

fn now() -> DateTime<Utc> {
    "2026-09-07T18:00:00Z".parse().unwrap()
}

fn letter(content: &Content, language: Language, units: UnitSystem) -> Letter {
    Letter {
        address: "ana@elm.example".to_owned(),
        name: Some("Ana".to_owned()),
        speech: SpeechOf {
            language,
            units,
            zone: "America/Chicago".parse().unwrap(),
            paper: Paper::Letter,
            containers: Vec::new(),
        },
        content: content.clone(),
        fewer: None,
        not_before: None,
        speaks_for: Vec::new(),
    }
}

/// What stands below every letter that people can end.
fn foot() -> Answer {
    Answer {
        label: Phrase::of("letter-fewer"),
        deed: LetterDeed::Stop,
        token: "TOKEN".to_owned(),
    }
}

fn letters() -> Vec<(String, Words)> {
    let mut all = Vec::new();
    let mut read = |kind: &str, letter: &Letter| {
        let words = render::words(letter, now(), "https://bins.example.org");
        let language = letter.speech.language.code();
        all.push((format!("{kind} [{language}]"), words));
    };
    let speeches = [
        (Language::English, UnitSystem::Us),
        (Language::Spanish, UnitSystem::Metric),
    ];
    for (kind, contents) in samples(now()) {
        for (language, units) in speeches {
            for content in &contents {
                read(kind, &letter(content, language, units));
            }
        }
    }
    for (language, units) in speeches {
        let subject = Phrase::of("page-stop-title");
        let bare = Content::of(subject, Vec::new());
        let mut letter = letter(&bare, language, units);
        letter.fewer = Some(foot());
        read("foot of every letter that can be ended", &letter);
    }
    all
}

fn written() -> String {
    let mut text = String::new();
    for (name, words) in letters() {
        writeln!(text, "## {name}\nSubject: {}\n", words.subject).unwrap();
        writeln!(text, "{}", render::text(&words)).unwrap();
    }
    text
}

/// Protects readers from sentences that nobody has read.
#[test]
fn the_letters_are_those_that_somebody_has_read() {
    let written = written();
    if std::env::var_os("WORMROTA_WRITE_GOLDEN").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/letters/golden.txt");
        std::fs::write(path, &written).unwrap();
        return;
    }
    let read = include_str!("golden.txt");
    for (number, (written, read)) in written.lines().zip(read.lines()).enumerate() {
        assert_eq!(written, read, "line {}", number + 1);
    }
    assert_eq!(written.lines().count(), read.lines().count());
}

/// Protects small screens and the list of a mailbox: a subject is short and one line.
#[test]
fn subjects_are_short() {
    for (name, words) in letters() {
        let length = words.subject.chars().count();
        assert!((5..=78).contains(&length), "{name}: {}", words.subject);
        assert!(!words.subject.ends_with('.'), "{name}: {}", words.subject);
    }
}
