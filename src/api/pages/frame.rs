//! How a page is answered.

use crate::api::problem::Problem;
use crate::desk::letter_links::{Field, Form, LinkPage, Stage};
use crate::desk::letters::SpeechOf;
use crate::html::{self, escaped};
use crate::wording::Voice;
use actix_web::HttpResponse;
use actix_web::http::StatusCode;
use actix_web::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderName};
use chrono::{DateTime, Utc};
use std::collections::BTreeSet;
use wormrota_domain::living_bin::aftermath::Aftermath;
use wormrota_domain::phrase::Phrase;

/// A form goes back where it came from, and nothing is fetched.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; \
                      base-uri 'none'; frame-ancestors 'none'";

/// The answer with a page.
pub(super) fn page(page: &LinkPage, now: DateTime<Utc>) -> HttpResponse {
    let voice = voice(page.speech.as_ref());
    let title = voice.phrase(&page.title, now);
    let heading = format!("<h1 style=\"font-size:22px\">{}</h1>\n", escaped(&title));
    let sentences: Vec<String> = (page.sentences.iter())
        .map(|said| format!("<p>{}</p>\n", escaped(&voice.sentence_of(said, now))))
        .collect();
    let aftermath = (page.aftermath.as_ref())
        .map_or_else(String::new, |after| after_feeding(&voice, after, now));
    let form = (page.form.as_ref()).map_or_else(String::new, |form| markup(&voice, form, now));
    let status = match page.stage {
        Stage::Asks | Stage::Done => StatusCode::OK,
        Stage::AsksAgain => StatusCode::UNPROCESSABLE_ENTITY,
        Stage::Over => StatusCode::NOT_FOUND,
    };
    answer(
        status,
        &voice,
        &title,
        &(heading + &aftermath + &sentences.concat() + &form),
    )
}

/// The answer when something is in the way, such as a database that is away.
pub(super) fn trouble(problem: &Problem, now: DateTime<Utc>) -> HttpResponse {
    let status = StatusCode::from_u16(problem.kind.status);
    let status = status.unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let voice = Voice::plain_english();
    let title = voice.phrase(&Phrase::of("page-trouble-title"), now);
    let said = voice.sentence_of(&Phrase::of("page-trouble"), now);
    let body = format!("<h1>{}</h1>\n<p>{}</p>\n", escaped(&title), escaped(&said));
    answer(status, &voice, &title, &body)
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
    format!("{answer}<ul style=\"padding-left:20px\">\n{steps}</ul>\n")
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
        "<form method=\"post\">\n{fields}<p><button type=\"submit\" style=\"width:100%;\
         padding:12px 16px;border:2px solid #6b4a2b;border-radius:4px;background:#6b4a2b;\
         color:#ffffff;font:bold 16px sans-serif\">{button}</button></p>\n</form>\n"
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
                 name=\"{name}\" style=\"width:100%;padding:10px;font:16px sans-serif\">\n\
                 {}</select></p>\n",
                options.concat()
            )
        }
        Field::NewPassword { name, label } => new_password(name, &voice.phrase(label, now)),
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

/// Empty, whatever was typed before; a program that keeps passwords knows that it is a new one.
fn new_password(name: &str, label: &str) -> String {
    let label = escaped(label);
    format!(
        "<p><label for=\"{name}\">{label}</label><br>\n<input id=\"{name}\" name=\"{name}\" \
         type=\"password\" autocomplete=\"new-password\" style=\"width:100%;box-sizing:border-box;\
         padding:10px;font:16px sans-serif\"></p>\n"
    )
}

/// How somebody wants things said; plainly where it is not known who they are.
pub(super) fn voice(speech: Option<&SpeechOf>) -> Voice {
    let Some(speech) = speech else {
        return Voice::plain_english();
    };
    Voice {
        language: speech.language,
        units: speech.units,
        zone: speech.zone,
        paper: speech.paper,
        containers: speech.containers.clone(),
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
