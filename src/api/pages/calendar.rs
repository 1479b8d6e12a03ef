//! Calendars that programs subscribe to. They are no part of the JSON API: whoever knows the
//! address reads, without signing in.

use crate::api::outside::Outside;
use crate::api::problem::{self, Problem};
use crate::api::{AppState, rate};
use crate::desk::calendar_feed::{Calendar, Entry, at_address};
use crate::icalendar::{Event, Feed, Status, When, sequence_at, uid_of_bins_turn, uid_of_turn};
use crate::wording::Voice;
use actix_web::http::header::{
    CACHE_CONTROL, CONTENT_TYPE, ETAG, HeaderName, HeaderValue, IF_NONE_MATCH,
};
use actix_web::{HttpRequest, HttpResponse, HttpResponseBuilder, web};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::DateTime;
use sha2::{Digest, Sha256};
use wormrota_domain::phrase::{Phrase, Value};

/// Where calendars stand.
pub(super) const PATH: &str = "/calendars/{token}.ics";

/// After how many minutes a calendar is worth reading again (common practice, no source).
const REFRESH_MINUTES: u16 = 60;

/// The whole address of a calendar.
pub(in crate::api) fn address_of_calendar(outside: &Outside, token: &str) -> String {
    outside.address_of(&PATH.replace("{token}", token))
}

/// A calendar; nothing new to whoever has it already.
pub(super) async fn show(
    state: web::Data<AppState>,
    request: HttpRequest,
    token: web::Path<String>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let Some(calendar) = at_address(&state.desk, &token).await? else {
        let detail = "There is nothing at this address.";
        return Err(Problem::new(&problem::NOT_FOUND, detail));
    };
    let text = written(&calendar, &state.outside);
    let tag = tag(&text);
    let known = request.headers().get_all(IF_NONE_MATCH);
    if known.into_iter().any(|known| names(known, &tag)) {
        return Ok(tagged(HttpResponse::NotModified(), &tag).finish());
    }
    Ok(tagged(HttpResponse::Ok(), &tag)
        .insert_header((CONTENT_TYPE, "text/calendar; charset=utf-8"))
        .body(text))
}

fn tagged(mut answer: HttpResponseBuilder, tag: &str) -> HttpResponseBuilder {
    let seconds = u32::from(REFRESH_MINUTES) * 60;
    answer
        .insert_header((ETAG, tag))
        .insert_header((CACHE_CONTROL, format!("private, max-age={seconds}")))
        // The address is a secret.
        .insert_header((HeaderName::from_static("x-robots-tag"), "noindex"));
    answer
}

/// A strong tag: the same for the same bytes only.
fn tag(text: &str) -> String {
    let digest = Sha256::digest(text);
    format!("\"{}\"", URL_SAFE_NO_PAD.encode(&digest[..16]))
}

/// Whether a client has the state with this tag (RFC 9110, section 13.1.2). Ours holds no comma.
fn names(known: &HeaderValue, tag: &str) -> bool {
    let known = known.to_str().unwrap_or_default();
    known.split(',').map(str::trim).any(|one| {
        let opaque = one.strip_prefix("W/").unwrap_or(one);
        one == "*" || opaque == tag
    })
}

fn written(calendar: &Calendar, outside: &Outside) -> String {
    let voice = Voice::of(&calendar.speech);
    let name = match &calendar.bin_name {
        None => Phrase::of("calendar-own-name"),
        Some(bin) => Phrase::of("calendar-bin-name").with_text("bin", bin),
    };
    let name = name.with_text("site", &calendar.site_name);
    let event = |entry: &Entry| event(entry, calendar, &voice, &outside.domain);
    Feed {
        name: said(&voice, &name),
        organizer: outside.sender.clone(),
        refresh_minutes: REFRESH_MINUTES,
        events: calendar.entries.iter().map(event).collect(),
    }
    .write()
}

/// Everything in it comes from the rows, so that it is the same for as long as they are.
fn event(entry: &Entry, calendar: &Calendar, voice: &Voice, domain: &str) -> Event {
    let uid = match entry.holder {
        Some(holder) => uid_of_turn(entry.turn, holder, domain),
        None => uid_of_bins_turn(entry.turn, domain),
    };
    let when = match &entry.hours {
        Some(hours) => When::Window {
            starts: hours.opens_at,
            ends: hours.closes_at,
            zone: voice.zone,
        },
        None => When::Days {
            first: entry.on_date,
            last: entry.on_date,
        },
    };
    // As in letters.
    let what = Phrase::of("letter-turn-title")
        .with_text("bin", &entry.bin_name)
        .with("duty", Value::Code(entry.duty.code()));
    let changes = u32::try_from(entry.revision).unwrap_or_default();
    Event {
        uid,
        sequence: sequence_at(entry.since).saturating_add(changes),
        stamp: entry.since,
        last_modified: None,
        when,
        summary: said(voice, &what),
        description: description(entry, voice),
        location: Some(calendar.site_name.clone()),
        url: None,
        status: if entry.is_off {
            Status::Cancelled
        } else {
            Status::Confirmed
        },
    }
}

fn description(entry: &Entry, voice: &Voice) -> Option<String> {
    let codes: &[&'static str] = match (entry.is_off, entry.holder, entry.is_of_a_class) {
        (true, ..) => &["calendar-off"],
        (false, Some(_), _) => &["calendar-hands", "calendar-cannot-come"],
        (false, None, true) => &["calendar-class"],
        (false, None, false) => return None,
    };
    let sentence = |code: &&'static str| {
        // No sentence of a calendar names a day by today's distance to it.
        voice.sentence_of(&Phrase::of(code), DateTime::UNIX_EPOCH)
    };
    let sentences: Vec<String> = codes.iter().map(sentence).collect();
    Some(sentences.join("\n"))
}

fn said(voice: &Voice, phrase: &Phrase) -> String {
    voice.phrase(phrase, DateTime::UNIX_EPOCH)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects subscribers from calendars that they never get anew, and the service from
    /// sending what they have.
    #[test]
    fn a_tag_is_known_alone_among_others_weakly_and_as_anything() {
        let tag = tag("BEGIN:VCALENDAR");
        let names = |known: &str| names(&HeaderValue::from_str(known).unwrap(), &tag);
        for known in [
            tag.clone(),
            format!("\"other\", {tag}"),
            format!("W/{tag}"),
            "*".to_owned(),
        ] {
            assert!(names(&known), "{known}");
        }
        for unknown in ["", "\"other\"", &tag[1..]] {
            assert!(!names(unknown), "{unknown}");
        }
    }
}
