//! How a page is answered.

use crate::api::problem::{Problem, TOO_MANY_REQUESTS};
use crate::desk::letter_links::{Field, Form, LinkPage, Shown, Stage};
use crate::html::{self, escaped};
use crate::wording::Voice;
use actix_web::http::StatusCode;
use actix_web::http::header::{
    CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName, HeaderValue, RETRY_AFTER,
};
use actix_web::{HttpResponse, ResponseError};
use chrono::{DateTime, Utc};
use std::collections::BTreeSet;
use wormrota_domain::living_bin::aftermath::Aftermath;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::site::Language;

/// A form goes back where it came from, and nothing is fetched.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; \
                      base-uri 'none'; frame-ancestors 'none'";

/// The answer with a page; where it is not known who reads it, in the language of their browser.
pub(super) fn page(page: &LinkPage, now: DateTime<Utc>, browser: Language) -> HttpResponse {
    let speech = page.speech.as_ref();
    let voice = speech.map_or_else(|| plainly(browser), Voice::of);
    let title = voice.phrase(&page.title, now);
    let heading = format!("<h1>{}</h1>\n", escaped(&title));
    let sentences: Vec<String> = (page.sentences.iter())
        .map(|said| format!("<p>{}</p>\n", escaped(&voice.sentence_of(said, now))))
        .collect();
    let aftermath = (page.aftermath.as_ref())
        .map_or_else(String::new, |after| after_feeding(&voice, after, now));
    let shown: String = page
        .shown
        .iter()
        .map(|one| copied(&voice, one, now))
        .collect();
    let form = (page.form.as_ref()).map_or_else(String::new, |form| markup(&voice, form, now));
    let elsewhere = (page.elsewhere.as_ref()).map_or_else(String::new, |link| {
        let label = escaped(&voice.phrase(&link.label, now));
        format!("<p><a href=\"{}\">{label}</a></p>\n", link.path)
    });
    let status = match page.stage {
        Stage::Asks | Stage::Done => StatusCode::OK,
        Stage::AsksAgain => StatusCode::UNPROCESSABLE_ENTITY,
        Stage::Over => StatusCode::NOT_FOUND,
    };
    let body = heading + &aftermath + &sentences.concat() + &shown + &form + &elsewhere;
    answer(status, &voice, &title, &body)
}

/// The answer when something is in the way, such as a database that is away.
pub(super) fn trouble(problem: &Problem, now: DateTime<Utc>, browser: Language) -> HttpResponse {
    let voice = plainly(browser);
    let wait_s = problem.wait_s();
    let (title, said) = if problem.kind == &TOO_MANY_REQUESTS {
        let minutes = wait_s.unwrap_or_default().div_ceil(60).max(1);
        let said = Phrase::of("page-often").with("minutes", Value::Count(minutes));
        ("page-often-title", said)
    } else {
        ("page-trouble-title", Phrase::of("page-trouble"))
    };
    let title = voice.phrase(&Phrase::of(title), now);
    let said = voice.sentence_of(&said, now);
    let body = format!("<h1>{}</h1>\n<p>{}</p>\n", escaped(&title), escaped(&said));
    let mut answer = answer(problem.status_code(), &voice, &title, &body);
    if let Some(seconds) = wait_s {
        let headers = answer.headers_mut();
        headers.insert(RETRY_AFTER, HeaderValue::from(seconds));
    }
    answer
}

fn answer(status: StatusCode, voice: &Voice, title: &str, body: &str) -> HttpResponse {
    HttpResponse::build(status)
        .insert_header((CONTENT_TYPE, "text/html; charset=utf-8"))
        .insert_header((CONTENT_SECURITY_POLICY, POLICY))
        // The address of a page is a secret.
        .insert_header((HeaderName::from_static("x-robots-tag"), "noindex"))
        .body(html::page(voice.language, title, body))
}

/// What came of a feeding, and what to do now.
fn after_feeding(voice: &Voice, aftermath: &Aftermath, now: DateTime<Utc>) -> String {
    let spoken = voice.aftermath(aftermath, now);
    let answer = format!("<p>{}</p>\n", escaped(&spoken.sentence));
    if spoken.todo.is_empty() {
        return answer;
    }
    let steps: Vec<String> = (spoken.todo.iter())
        .map(|step| format!("<li>{}</li>\n", escaped(step)))
        .collect();
    let steps = steps.concat();
    format!("{answer}<ul>\n{steps}</ul>\n")
}

/// A secret to be copied, below what it is.
fn copied(voice: &Voice, shown: &Shown, now: DateTime<Utc>) -> String {
    let label = escaped(&voice.sentence_of(&shown.label, now));
    format!("<p>{label}</p>\n<pre>{}</pre>\n", escaped(&shown.secret))
}

fn markup(voice: &Voice, form: &Form, now: DateTime<Utc>) -> String {
    let fields: String = form
        .fields
        .iter()
        .map(|one| field(voice, one, now))
        .collect();
    let button = escaped(&voice.phrase(&form.button, now));
    // Without an action a form goes to the address that it stands at.
    format!(
        "<form method=\"post\">\n{fields}<p><button type=\"submit\">{button}</button></p>\n\
         </form>\n"
    )
}

fn field(voice: &Voice, field: &Field, now: DateTime<Utc>) -> String {
    match field {
        Field::Choice {
            name,
            label,
            values,
        } => {
            let label = escaped(&voice.phrase(label, now));
            let options: Vec<String> = (differing(voice, values, now).into_iter())
                .map(|(value, called)| {
                    let called = escaped(&called);
                    format!("<option value=\"{}\">{called}</option>\n", escaped(value))
                })
                .collect();
            format!(
                "<p><label for=\"{name}\">{label}</label><br>\n<select id=\"{name}\" \
                 name=\"{name}\">\n{}</select></p>\n",
                options.concat()
            )
        }
        // A password is empty, whatever was typed before; a program that keeps them knows that it
        // is a new one.
        Field::NewPassword { name, label } => {
            let kind = "type=\"password\" autocomplete=\"new-password\"";
            input(name, &voice.phrase(label, now), kind)
        }
        Field::Address { name, label } => {
            let kind = "type=\"email\" autocomplete=\"email\" required";
            input(name, &voice.phrase(label, now), kind)
        }
        Field::Unseen { name, value } => {
            format!("<input type=\"hidden\" name=\"{name}\" value=\"{value}\">\n")
        }
    }
}

/// Values with what they are called in words, without those that read like an earlier one: in a
/// reader's units some amounts do.
fn differing<'a>(
    voice: &Voice,
    values: &'a [(String, Phrase)],
    now: DateTime<Utc>,
) -> Vec<(&'a str, String)> {
    let mut read = BTreeSet::new();
    let called = (values.iter()).map(|(value, called)| (value.as_str(), voice.phrase(called, now)));
    called
        .filter(|(_, called)| read.insert(called.clone()))
        .collect()
}

fn input(name: &str, label: &str, kind: &str) -> String {
    let label = escaped(label);
    format!(
        "<p><label for=\"{name}\">{label}</label><br>\n<input id=\"{name}\" name=\"{name}\" \
         {kind}></p>\n"
    )
}

/// What is said to somebody who is not known.
fn plainly(language: Language) -> Voice {
    Voice {
        language,
        ..Voice::plain_english()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wormrota_domain::letters::portions;
    use wormrota_domain::phrase::Value;
    use wormrota_domain::site::UnitSystem;
    use wormrota_domain::units::Grams;

    /// Protects whoever says how much they fed from two choices that read alike: in ounces,
    /// pounds and cups many amounts do, and the likeliest stays the first.
    #[test]
    fn no_two_choices_read_alike() {
        let now = DateTime::<Utc>::UNIX_EPOCH;
        let mut alike = 0;
        for units in UnitSystem::ALL {
            let voice = Voice {
                units: *units,
                ..Voice::plain_english()
            };
            for likeliest in (20..3_000).step_by(10) {
                let amounts = portions(Grams(likeliest), Grams(likeliest + 10));
                let values: Vec<(String, Phrase)> = (amounts.iter())
                    .map(|amount| {
                        let called = Phrase::of("page-fed-portion");
                        let called = called.with("amount", Value::Scraps(*amount));
                        (amount.0.to_string(), called)
                    })
                    .collect();
                let read = differing(&voice, &values, now);
                let words: BTreeSet<&String> = read.iter().map(|(_, called)| called).collect();
                assert_eq!(words.len(), read.len(), "{read:?}");
                assert_eq!(read[0].0, likeliest.to_string());
                assert!(read.len() >= 2, "there is a choice: {read:?}");
                alike += values.len() - read.len();
            }
        }
        assert!(alike > 100, "{alike}");
    }
}
