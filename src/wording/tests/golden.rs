//! Every kind of answer in every language and unit system, as people read it.
//!
//! `golden.txt` is read by a person when it changes. To write it anew:
//! `WORMROTA_WRITE_GOLDEN=1 cargo test --lib wording`.

use super::samples::{LIMITS, aftermaths, conditions, decisions, deeds, names, room, rules};
use super::{day, now, rota, voices};
use crate::wording::{SheetOf, Spoken, Voice};
use chrono::TimeDelta;
use std::fmt::Write;
use wormrota_domain::food::SiteFoodList;
use wormrota_domain::living_bin::limit::Limit;

fn written() -> String {
    let mut text = String::new();
    for (name, decision) in decisions() {
        each_voice(&mut text, name, |voice| {
            lines(&voice.decision(&decision, &names(), now()))
        });
    }
    for (name, after) in aftermaths() {
        let name = format!("told: {name}");
        each_voice(&mut text, &name, |voice| {
            lines(&voice.aftermath(&after, now()))
        });
    }
    each_voice(&mut text, "reasons", |voice| {
        rules().iter().map(|r| voice.reason(r, now())).collect()
    });
    each_voice(&mut text, "conditions", |voice| {
        conditions().iter().map(|c| voice.condition(c)).collect()
    });
    each_voice(&mut text, "deeds", |voice| {
        deeds().iter().map(|d| voice.deed(d, now())).collect()
    });
    each_voice(&mut text, "rooms", |voice| {
        let amount = |limit: &Limit| match limit {
            Limit::TooHot | Limit::TooCold | Limit::NoWorms | Limit::Signs => 0,
            Limit::Handful => 75,
            _ => 1_204,
        };
        let open = LIMITS.iter().map(|limit| room(amount(limit), *limit, 0));
        let mut rooms: Vec<String> = open
            .map(|room| voice.room(&room, None, false, now(), now()))
            .collect();
        let eating = Limit::Eating;
        rooms.push(voice.room(
            &room(437, eating, 1_250),
            Some("Courtyard"),
            true,
            now(),
            now(),
        ));
        rooms.push(voice.room(&room(20, eating, 0), None, false, day(8), now()));
        rooms.push(voice.room(&room(0, Limit::TooHot, 500), None, false, day(10), now()));
        rooms
    });
    each_voice(&mut text, "sheets", |voice| {
        let school = SiteFoodList::school();
        let mut lines = vec![
            voice.sheet_bin_empty("Courtyard"),
            voice.sheet_bin_later("Courtyard"),
            voice.sheet_duty("Courtyard", None, &["Ana".to_owned(), "Bo".to_owned()]),
            voice.sheet_duty("Courtyard", Some(("10:30", "11:15")), &[]),
        ];
        let teachers = ["Ms Rivera".to_owned()];
        for teachers in [&teachers[..], &[]] {
            let words = voice.sheet(&SheetOf {
                site: "Elm School",
                class: "3b",
                on: day(8),
                now: now(),
                pupils: &["Ana".to_owned()],
                away: &[],
                teachers,
                duty: &[],
                bins: &[],
                foods: &school,
            });
            lines.extend([words.to_do, words.not_to_do, words.cautions].concat());
        }
        lines
    });
    each_voice(&mut text, "rotas", rota::standings);
    each_voice(&mut text, "reasons of rotas", rota::reasons);
    each_voice(&mut text, "empty places", rota::empty);
    each_voice(&mut text, "comparisons", rota::comparisons);
    each_voice(&mut text, "on paper", |voice| {
        let (site, code) = ("Elm Court", "7K3M-W9XT-0QRB");
        let next_year = now() + TimeDelta::days(120);
        [
            voice.joining_sheet(site, code, day(21), now()),
            voice.slip(site, Some("Maria"), "7K3M-W9XT-0QRB-55HC", day(21), now()),
            voice.slip(site, None, "7K3M-W9XT-0QRB-55HC", next_year, now()),
            voice.lid(site, "Courtyard", code),
        ]
        .concat()
    });
    text
}

fn lines(spoken: &Spoken) -> Vec<String> {
    let todo = spoken.todo.iter().map(|line| format!("- {line}"));
    std::iter::once(spoken.sentence.clone())
        .chain(todo)
        .collect()
}

fn each_voice(text: &mut String, name: &str, say: impl Fn(&Voice) -> Vec<String>) {
    writeln!(text, "## {name}").unwrap();
    for voice in voices() {
        writeln!(text, "[{} {}]", voice.language.code(), voice.units.code()).unwrap();
        for line in say(&voice) {
            writeln!(text, "  {line}").unwrap();
        }
    }
    writeln!(text).unwrap();
}

#[test]
fn the_sentences_are_those_that_somebody_has_read() {
    let written = written();
    if std::env::var_os("WORMROTA_WRITE_GOLDEN").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/wording/tests/golden.txt");
        std::fs::write(path, &written).unwrap();
        return;
    }
    let read = include_str!("golden.txt");
    for (number, (written, read)) in written.lines().zip(read.lines()).enumerate() {
        assert_eq!(written, read, "line {}", number + 1);
    }
    assert_eq!(written.lines().count(), read.lines().count());
}

#[test]
fn every_line_is_one_sentence_with_a_capital_and_a_full_stop() {
    for line in written().lines().filter_map(|line| line.strip_prefix("  ")) {
        let sentence = line.strip_prefix("- ").unwrap_or(line);
        let first = sentence.chars().next().unwrap();
        assert!(!first.is_lowercase(), "{sentence}");
        assert!(
            sentence.ends_with('.') && !sentence.ends_with(".."),
            "{sentence}"
        );
        let inner = sentence.trim_end_matches('.');
        assert!(!inner.contains(". ") && !inner.contains("  "), "{sentence}");
        assert!(!inner.contains(['{', '}', '$']), "{sentence}");
    }
}

/// Food that may go in is always buried and covered.
#[test]
fn whoever_may_put_something_in_is_told_to_bury_and_cover_it() {
    use wormrota_domain::living_bin::decision::Outcome;
    for voice in voices() {
        for (name, decision) in decisions() {
            let spoken = voice.decision(&decision, &names(), now());
            let cover = voice.say("do-cover", []);
            let core: Vec<char> = cover.chars().skip(1).collect();
            let core: String = core.into_iter().collect();
            if decision.outcome != Outcome::Refused {
                let said = spoken.todo.iter().any(|line| line.contains(&core));
                assert!(
                    said && spoken.sentence.contains(&core),
                    "{name}: {spoken:?}"
                );
            }
        }
    }
}
