//! From what a letter says to words in its reader's language, and from those to a plain text.

use crate::desk::letters::{Answer, Letter, Part};
use crate::wording::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::phrase::Phrase;

/// A letter in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Words {
    /// What it is about, in a few words.
    pub subject: String,
    /// What stands in it.
    pub blocks: Vec<Block>,
}

/// A part of a letter in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Block {
    /// Sentences that belong together.
    Paragraph(String),
    /// Points of a list.
    Points(Vec<String>),
    /// Steps in their order.
    Steps(Vec<String>),
    /// A few words above what follows.
    Heading(String),
    /// A request that a program can send.
    Request(String),
    /// Links with what they are called.
    Links(Vec<(String, String)>),
    /// What need not be read first.
    Aside(String),
    /// A small link at the end, with what it is called.
    Foot(String, String),
}

/// The letter in words, as it reads at `now`. Links lead to the service at `public_url`.
pub(super) fn words(letter: &Letter, now: DateTime<Utc>, public_url: &str) -> Words {
    let voice = Voice::of(&letter.speech);
    let block = |part: &Part| match part {
        Part::Paragraph(phrases) => Block::Paragraph(sentences(&voice, phrases, now)),
        Part::Aside(phrases) => Block::Aside(sentences(&voice, phrases, now)),
        Part::Heading(phrase) => Block::Heading(voice.phrase(phrase, now)),
        Part::Points(points) => {
            let points = points.iter().map(|point| voice.sentence_of(point, now));
            Block::Points(points.collect())
        }
        Part::Steps(steps) => {
            let steps = steps.iter().map(|step| voice.sentence_of(step, now));
            Block::Steps(steps.collect())
        }
        Part::Request(request) => {
            let (path, token, rest) = (request.path, &request.token, request.rest);
            Block::Request(format!(
                "curl {public_url}{path} -H 'content-type: application/json' \
                 -d '{{\"token\": \"{token}\"{rest}}}'"
            ))
        }
        Part::Page(page) => {
            let label = voice.phrase(&page.label, now);
            let address = format!("{public_url}{}", page.path);
            match &page.token {
                Some(token) => Block::Links(vec![(label, format!("{address}/{token}"))]),
                None => Block::Foot(label, address),
            }
        }
        Part::Answers(answers) => {
            let link = |answer: &Answer| {
                let label = voice.phrase(&answer.label, now);
                (label, address_of(answer, public_url))
            };
            Block::Links(answers.iter().map(link).collect())
        }
    };
    let foot = letter.fewer.as_ref().map(|fewer| {
        let label = voice.phrase(&fewer.label, now);
        Block::Foot(label, address_of(fewer, public_url))
    });
    let blocks = letter.content.parts.iter().map(block).chain(foot);
    Words {
        subject: voice.phrase(&letter.content.subject, now),
        blocks: blocks.collect(),
    }
}

/// Where a link leads.
pub(super) fn address_of(answer: &Answer, public_url: &str) -> String {
    let (deed, token) = (answer.deed.code(), &answer.token);
    format!("{public_url}/letters/{deed}/{token}")
}

/// The plain text of a letter.
pub(super) fn text(words: &Words) -> String {
    let blocks: Vec<String> = (words.blocks.iter())
        .map(|block| match block {
            Block::Paragraph(text)
            | Block::Request(text)
            | Block::Heading(text)
            | Block::Aside(text) => text.clone(),
            Block::Foot(label, address) => format!("{label}:\n{address}"),
            Block::Points(points) => {
                let points: Vec<String> = points.iter().map(|p| format!("- {p}")).collect();
                points.join("\n")
            }
            Block::Steps(steps) => {
                let numbered = (1..).zip(steps).map(|(n, step)| format!("{n}. {step}"));
                numbered.collect::<Vec<_>>().join("\n")
            }
            Block::Links(links) => {
                let one = |(label, address): &(String, String)| format!("{label}:\n{address}");
                links.iter().map(one).collect::<Vec<_>>().join("\n\n")
            }
        })
        .collect();
    blocks.join("\n\n") + "\n"
}

fn sentences(voice: &Voice, phrases: &[Phrase], now: DateTime<Utc>) -> String {
    let sentences = phrases.iter().map(|phrase| voice.sentence_of(phrase, now));
    sentences.collect::<Vec<_>>().join(" ")
}
