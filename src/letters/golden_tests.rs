//! Every kind of letter in every language and unit system, as people read it.
//!
//! `golden.txt` is read by a person when it changes. To write it anew:
//! `WORMROTA_WRITE_GOLDEN=1 cargo test --lib letters`.

use super::render::{self, Words};
use crate::desk::letters::{Letter, SpeechOf, samples};
use chrono::{DateTime, Utc};
use std::fmt::Write;
use wormrota_domain::food::Paper;
use wormrota_domain::site::{Language, UnitSystem};

fn now() -> DateTime<Utc> {
    "2026-09-07T18:00:00Z".parse().unwrap()
}

fn letters() -> Vec<(String, Words)> {
    let mut all = Vec::new();
    for (kind, contents) in samples(now()) {
        for (language, units) in [
            (Language::English, UnitSystem::Us),
            (Language::Spanish, UnitSystem::Metric),
        ] {
            for content in &contents {
                let letter = Letter {
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
                    not_before: None,
                };
                let words = render::words(&letter, now(), "https://bins.example.org");
                all.push((format!("{kind} [{}]", language.code()), words));
            }
        }
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
