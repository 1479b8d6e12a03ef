//! The letters of the demo as pages, so that whoever tries it can read them and follow their
//! links. They hold links that sign people in: only the demo, whose people are invented, shows
//! them, and only to the machine that it runs on.

use super::AppState;
use super::problem::{self, Problem};
use super::query;
use crate::desk::waiting_letters::{Waiting, waiting_letters};
use crate::html::{escaped, page};
use crate::letters::Lying;
use actix_web::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE, FORWARDED, HOST};
use actix_web::{HttpRequest, HttpResponse, web};
use serde::Deserialize;
use std::net::IpAddr;
use uuid::Uuid;
use wormrota_domain::site::Language;

/// Letters that one page of the list shows.
const MOST: usize = 200;

/// A letter's own styles stand in its parts. What it shows is bound by this too (CSP 3, section
/// 7.8: documents that come with another take over its policy).
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; \
    form-action 'none'; frame-ancestors 'none'";

/// Both pages.
pub(super) fn routes(config: &mut web::ServiceConfig) {
    config
        .route("/letters", web::get().to(index))
        .route("/letters/{id}", web::get().to(show));
}

/// Where the list begins.
#[derive(Deserialize)]
struct ListQuery {
    /// Newer letters that stand on the pages before.
    #[serde(default)]
    skipped: usize,
}

async fn index(state: web::Data<AppState>, request: HttpRequest) -> Result<HttpResponse, Problem> {
    let folder = state.demo_letters.as_ref().filter(|_| is_here(&request));
    let folder = folder.ok_or_else(nothing)?;
    let ListQuery { skipped } = query::read(&request)?;
    // One more shows whether there is another page.
    let mut letters = folder.newest(skipped, MOST + 1).await.map_err(unreadable)?;
    let older = (letters.len() > MOST).then(|| skipped.saturating_add(MOST));
    letters.truncate(MOST);
    let waiting = waiting_letters(&state.desk).await?;
    Ok(answer(
        "Letters of the demo",
        &list(&letters, (skipped, older), waiting),
    ))
}

async fn show(
    state: web::Data<AppState>,
    request: HttpRequest,
    id: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let folder = state.demo_letters.as_ref().filter(|_| is_here(&request));
    let folder = folder.ok_or_else(nothing)?;
    let lying = folder.read(*id).await.map_err(unreadable)?;
    let lying = lying.ok_or_else(nothing)?;
    Ok(answer(&lying.letter.subject, &letter(&lying)))
}

/// Whether whoever asks sits at this machine: with no proxy in between, and under a name that
/// no page from elsewhere can have in a browser here.
fn is_here(request: &HttpRequest) -> bool {
    let headers = request.headers();
    let host = headers.get(HOST).and_then(|host| host.to_str().ok());
    request
        .peer_addr()
        .is_some_and(|peer| peer.ip().is_loopback())
        && !headers.contains_key("X-Forwarded-For")
        && !headers.contains_key(FORWARDED)
        && host.is_some_and(names_this_machine)
}

/// Whether a host, with its port if it has one, is this machine by its own word.
fn names_this_machine(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|digit| digit.is_ascii_digit()) => name,
        _ => host,
    };
    let address = name.trim_start_matches('[').trim_end_matches(']');
    let address: Result<IpAddr, _> = address.parse();
    name.eq_ignore_ascii_case("localhost") || address.is_ok_and(|address| address.is_loopback())
}

fn nothing() -> Problem {
    Problem::new(&problem::NOT_FOUND, "There is nothing at this address.")
}

#[expect(clippy::needless_pass_by_value, reason = "the form that map_err wants")]
fn unreadable(error: std::io::Error) -> Problem {
    tracing::warn!(kind = ?error.kind(), "letters cannot be read from their folder");
    Problem::new(&problem::INTERNAL, "The letters cannot be read.")
}

fn answer(title: &str, body: &str) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header((CONTENT_TYPE, "text/html; charset=utf-8"))
        .insert_header((CONTENT_SECURITY_POLICY, POLICY))
        .body(page(Language::English, title, body))
}

fn list(letters: &[Lying], (skipped, older): (usize, Option<usize>), waiting: Waiting) -> String {
    let line = |lying: &Lying| {
        format!(
            "<li style=\"margin:0 0 12px\"><a href=\"/letters/{}\">{}</a><br>\n{}</li>\n",
            lying.id,
            escaped(&lying.letter.subject),
            whose(lying)
        )
    };
    let lines: String = letters.iter().map(line).collect();
    let lines = if lines.is_empty() {
        "<p>None yet. Invite somebody, or ask for a link to sign in with.</p>\n".to_owned()
    } else {
        format!(
            "<ol start=\"{}\">\n{lines}</ol>\n",
            skipped.saturating_add(1)
        )
    };
    let older = older.map_or_else(String::new, |skipped| {
        format!("<p><a href=\"/letters?skipped={skipped}\">Older letters</a></p>\n")
    });
    format!(
        "<h1>Letters of the demo</h1>\n\
         <p>The demo sends none: what would go to a mail server lies in its folder and is shown \
         here, the newest first.</p>\n{}{lines}{older}",
        waits(waiting)
    )
}

/// Why some letters are not there yet.
fn waits(waiting: Waiting) -> String {
    let Some(until) = waiting.until else {
        return String::new();
    };
    let until = until.format("%Y-%m-%d %H:%M UTC");
    format!(
        "<p>Letters that wait: {}. It is night at their site by the demo's clock, and nobody is \
         written to then. By your own clock the first goes at {until}; when you move the demo's \
         clock, they go sooner.</p>\n",
        waiting.count
    )
}

fn letter(lying: &Lying) -> String {
    let opened = &lying.letter;
    let markup = opened.html.as_ref().map_or_else(String::new, |html| {
        // What is followed opens beside the letter: a frame that holds one may not leave it.
        let html = html.replacen("<head>", "<head>\n<base target=\"_blank\">", 1);
        format!(
            "<iframe title=\"The letter\" sandbox=\"allow-popups allow-popups-to-escape-sandbox\" \
             style=\"width:100%;height:70vh;border:1px solid #cccccc\" srcdoc=\"{}\"></iframe>\n\
             <h2>The same without markup</h2>\n",
            escaped(&html)
        )
    });
    let attached = opened.attached.iter().map(|(name, text)| {
        let (name, text) = (escaped(name), escaped(text));
        format!("<h2>Attached: {name}</h2>\n<pre>{text}</pre>\n")
    });
    format!(
        "<p><a href=\"/letters\">All letters</a></p>\n<h1>{}</h1>\n\
         <p>{}</p>\n{markup}<pre>{}</pre>\n{}",
        escaped(&opened.subject),
        whose(lying),
        escaped(&opened.text),
        attached.collect::<String>()
    )
}

fn whose(lying: &Lying) -> String {
    let to = escaped(&lying.letter.to);
    let at = lying.written_at.format("%Y-%m-%d %H:%M UTC");
    format!("to {to}, written at {at}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects the letters from pages elsewhere whose name leads to this machine.
    #[test]
    fn only_its_own_names_lead_to_this_machine() {
        for here in [
            "localhost",
            "LOCALHOST:8080",
            "127.0.0.1:8080",
            "[::1]:80",
            "[::1]",
        ] {
            assert!(names_this_machine(here), "{here}");
        }
        for elsewhere in [
            "",
            "evil.example",
            "localhost.evil.example:80",
            "192.0.2.1:8080",
        ] {
            assert!(!names_this_machine(elsewhere), "{elsewhere}");
        }
    }
}
