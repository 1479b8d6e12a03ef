//! JSON bodies: one extractor for all handlers.
//!
//! It checks the content type before it reads, stops reading at the limit, and says which
//! field is wrong without repeating what was sent.

use super::AppState;
use super::problem::{self, Problem};
use crate::desk::FieldError;
use crate::desk::once::Ticket;
use actix_web::dev::Payload;
use actix_web::error::PayloadError;
use actix_web::http::header::{CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE};
use actix_web::web::{self, Bytes};
use actix_web::{FromRequest, HttpRequest};
use futures_util::StreamExt;
use futures_util::future::LocalBoxFuture;
use serde::de::{DeserializeOwned, IgnoredAny};
use serde_path_to_error::Segment;
use sha2::{Digest, Sha256};
use std::time::Duration;
use utoipa::IntoParams;

/// Characters of a field name that may be repeated to the client.
const LONGEST_NAME: usize = 64;

/// The key under which a write happens once.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Header)]
#[expect(dead_code, reason = "describes a header that `Body` reads")]
pub struct KeyHeader {
    /// Makes the write happen once: a repetition with the same key gets the first answer. A
    /// new key for each new request, kept for some days.
    #[param(
        rename = "Idempotency-Key",
        required = false,
        min_length = 1,
        max_length = 255,
        pattern = "^[!-~]+$",
        example = "0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f"
    )]
    idempotency_key: String,
}

/// A JSON body, with the idempotency key that it came with.
#[derive(Debug)]
pub struct Body<T> {
    /// The body.
    pub value: T,
    /// The key, bound to this request.
    pub ticket: Option<Ticket>,
}

impl<T: DeserializeOwned + 'static> FromRequest for Body<T> {
    type Error = Problem;
    type Future = LocalBoxFuture<'static, Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let request = request.clone();
        let payload = payload.take();
        Box::pin(async move {
            let (bytes, ticket) = take(&request, payload, &JSON).await?;
            parse(&bytes).map(|value| Self { value, ticket })
        })
    }
}

/// A kind of body that is taken.
pub(super) struct Media {
    /// What a client that sends another is told to send.
    pub(super) name: &'static str,
    /// Whether a media type, in lower case and without parameters, is of this kind.
    pub(super) is: fn(&str) -> bool,
    /// Bytes that it may have.
    pub(super) limit: fn(&AppState) -> usize,
}

const JSON: Media = Media {
    name: "application/json",
    is: |essence| {
        essence == "application/json"
            || (essence.starts_with("application/") && essence.ends_with("+json"))
    },
    limit: |state| state.server.body_limit_bytes,
};

/// The bytes of a body of some kind, with the idempotency key that it came with.
pub(super) async fn take(
    request: &HttpRequest,
    payload: Payload,
    media: &Media,
) -> Result<(web::BytesMut, Option<Ticket>), Problem> {
    let state = request
        .app_data::<web::Data<AppState>>()
        .ok_or_else(|| Problem::new(&problem::INTERNAL, "The service was put together wrongly."))?;
    let patience = Duration::from_secs(state.server.request_timeout_s);
    check_type(request, media)?;
    let bytes = tokio::time::timeout(patience, read(request, payload, (media.limit)(state)))
        .await
        .map_err(|_| {
            Problem::new(
                &problem::REQUEST_TIMEOUT,
                format!(
                    "The body did not arrive within {} seconds.",
                    patience.as_secs()
                ),
            )
        })??;
    let ticket = ticket(request, &bytes)?;
    Ok((bytes, ticket))
}

fn check_type(request: &HttpRequest, media: &Media) -> Result<(), Problem> {
    let header = |name| {
        request
            .headers()
            .get(name)
            .map(|value| value.to_str().unwrap_or("?").trim().to_ascii_lowercase())
    };
    let wrong = |detail: String| Err(Problem::new(&problem::MEDIA_TYPE, detail));
    if header(CONTENT_ENCODING).is_some_and(|encoding| encoding != "identity") {
        return wrong("The body has a content encoding, and none is taken.".to_owned());
    }
    let Some(media_type) = header(CONTENT_TYPE) else {
        return wrong(format!(
            "The body has no content type; {} is taken.",
            media.name
        ));
    };
    let mut parts = media_type.split(';').map(str::trim);
    let essence = parts.next().unwrap_or_default();
    if !(media.is)(essence) {
        return wrong(format!(
            "The body is of another type; {} is taken.",
            media.name
        ));
    }
    let utf8 = parts.all(|parameter| match parameter.split_once('=') {
        Some(("charset", charset)) => matches!(charset.trim_matches('"'), "utf-8" | "utf8"),
        _ => true,
    });
    if utf8 {
        Ok(())
    } else {
        wrong("The body is in another charset; UTF-8 is taken.".to_owned())
    }
}

async fn read(
    request: &HttpRequest,
    mut payload: Payload,
    limit: usize,
) -> Result<web::BytesMut, Problem> {
    let too_large = || {
        Problem::new(
            &problem::TOO_LARGE,
            format!("A body may have {limit} bytes at most."),
        )
    };
    let announced = request
        .headers()
        .get(CONTENT_LENGTH)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.parse::<usize>().ok());
    if announced.is_some_and(|length| length > limit) {
        return Err(too_large());
    }
    let mut bytes = web::BytesMut::with_capacity(announced.unwrap_or(0));
    while let Some(chunk) = payload.next().await {
        let chunk: Bytes = chunk.map_err(|error: PayloadError| {
            Problem::new(&problem::BAD_REQUEST, "The body broke off.").because(error)
        })?;
        if bytes.len() + chunk.len() > limit {
            return Err(too_large());
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes)
}

/// The idempotency key, bound to method, address with query, and body.
fn ticket(request: &HttpRequest, body: &[u8]) -> Result<Option<Ticket>, Problem> {
    let mut keys = request.headers().get_all("Idempotency-Key");
    let Some(key) = keys.next() else {
        return Ok(None);
    };
    let bad = |detail: String| Problem::new(&problem::BAD_KEY, detail);
    if keys.next().is_some() {
        return Err(bad(
            "The Idempotency-Key header comes more than once.".to_owned()
        ));
    }
    let mut hash = Sha256::new();
    let target = request.uri().path_and_query();
    for part in [
        request.method().as_str().as_bytes(),
        target.map_or("", |target| target.as_str()).as_bytes(),
        body,
    ] {
        // With its length before it, no part can pass for another.
        hash.update(part.len().to_be_bytes());
        hash.update(part);
    }
    key.to_str()
        .map_err(|_| bad("The Idempotency-Key must be visible ASCII.".to_owned()))
        .and_then(|key| {
            Ticket::new(key, hash.finalize().into())
                .map_err(|error| bad(format!("The Idempotency-Key {error}.")))
        })
        .map(Some)
}

/// Turns bytes into a value, or says where they are no JSON or which field is wrong.
fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let detail = format!(
            "The body is not UTF-8 from byte {}.",
            error.valid_up_to() + 1
        );
        Problem::new(&problem::BAD_JSON, detail)
    })?;
    // First as JSON of any kind: serde_json calls some wrong types errors of syntax.
    serde_json::from_str::<IgnoredAny>(text).map_err(|error| not_json(&error))?;
    // Serde would take a list for an object, member by member.
    if text.trim_ascii_start().starts_with('[') {
        return Err(Problem::fields(vec![FieldError::new(
            "",
            "must be an object",
        )]));
    }
    let mut json = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(&mut json).map_err(|error| explain(&error))
}

fn not_json(error: &serde_json::Error) -> Problem {
    Problem::new(
        &problem::BAD_JSON,
        format!(
            "The body is not JSON from line {}, column {}.",
            error.line(),
            error.column()
        ),
    )
}

fn explain(error: &serde_path_to_error::Error<serde_json::Error>) -> Problem {
    let mut pointer = String::new();
    for segment in error.path() {
        match segment {
            Segment::Seq { index } => pointer = pointer + "/" + &index.to_string(),
            Segment::Map { key } | Segment::Enum { variant: key } => {
                pointer = pointer + "/" + &name_for_pointer(key);
            }
            Segment::Unknown => {}
        }
    }
    let text = error.inner().to_string();
    let message = text
        .rsplit_once(" at line ")
        .map_or(text.as_str(), |(message, _)| message);
    let (member, detail) = reword(message);
    if let Some(member) = member {
        let member = name_for_pointer(member);
        if !pointer.ends_with(&format!("/{member}")) {
            pointer = pointer + "/" + &member;
        }
    }
    Problem::fields(vec![FieldError::new(pointer, detail)])
}

/// Takes serde's message apart: the member it names, if any, and what is expected. The
/// value that was sent is left out, since it may be long or a secret.
fn reword(message: &str) -> (Option<&str>, String) {
    let quoted = |rest: &'static str| {
        message
            .strip_prefix(rest)
            .and_then(|rest| rest.split('`').next())
    };
    if let Some(member) = quoted("missing field `") {
        return (Some(member), "must be given".to_owned());
    }
    if let Some(member) = quoted("unknown field `") {
        return (
            Some(member),
            "must not be given: there is no such field".to_owned(),
        );
    }
    if let Some(member) = quoted("duplicate field `") {
        return (Some(member), "must not come twice".to_owned());
    }
    if message.starts_with("must ") {
        return (None, message.to_owned());
    }
    match message.rsplit_once(", expected ") {
        Some((_, expected)) => (None, format!("must be {}", plainly(expected))),
        None => (None, "must be of another form".to_owned()),
    }
}

/// Rust's words for what is expected in JSON's.
fn plainly(expected: &str) -> &str {
    match expected {
        "u8" | "u16" | "u32" | "u64" | "i8" | "i16" | "i32" | "i64" => "a whole number",
        "f32" | "f64" => "a number",
        "a sequence" => "a list",
        "a map" => "an object",
        struct_or_its_length if struct_or_its_length.starts_with("struct ") => "an object",
        other => other,
    }
}

/// A member's name as it stands in a JSON pointer, cut short.
fn name_for_pointer(name: &str) -> String {
    let short: String = name
        .chars()
        .filter(|c| !c.is_control())
        .take(LONGEST_NAME)
        .collect();
    short.replace('~', "~0").replace('/', "~1")
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only parsed")]
    struct Offer {
        name: String,
        items: Vec<Item>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only parsed")]
    struct Item {
        grams: u32,
    }

    fn wrong(json: &str) -> (String, String) {
        let problem = parse::<Offer>(json.as_bytes()).unwrap_err();
        assert_eq!(problem.kind.code, "invalid_fields", "{json}");
        let error = problem.errors()[0].clone();
        (error.pointer, error.detail)
    }

    #[test]
    fn a_wrong_field_is_pointed_at() {
        for (json, pointer, detail) in [
            (
                r#"{"name":"a","items":[{"grams":1},{"grams":"x"}]}"#,
                "/items/1/grams",
                "must be a whole number",
            ),
            (r#"{"name":7,"items":[]}"#, "/name", "must be a string"),
            (r#"{"items":[]}"#, "/name", "must be given"),
            (
                r#"{"name":"a","items":[{}]}"#,
                "/items/0/grams",
                "must be given",
            ),
            (
                r#"{"name":"a","items":[],"extra":1}"#,
                "/extra",
                "must not be given: there is no such field",
            ),
            (
                r#"{"name":"a","items":[],"name":"b"}"#,
                "/name",
                "must not come twice",
            ),
            (
                r#"{"name":"a","items":[{"grams":1,"grams":2}]}"#,
                "/items/0/grams",
                "must not come twice",
            ),
            (r#"{"name":"a","items":null}"#, "/items", "must be a list"),
            (
                r#"{"name":"a","items":[7]}"#,
                "/items/0",
                "must be an object",
            ),
            (r#"["a",[]]"#, "", "must be an object"),
            (r"7", "", "must be an object"),
            (r"[]", "", "must be an object"),
        ] {
            let (got_pointer, got_detail) = wrong(json);
            assert_eq!(got_pointer, pointer, "{json}");
            assert_eq!(got_detail, detail, "{json}");
        }
    }

    #[test]
    fn what_was_sent_is_not_repeated() {
        let long = "x".repeat(10_000);
        let (pointer, detail) = wrong(&format!(r#"{{"name":"a","items":[],"{long}":1}}"#));
        assert!(pointer.len() <= 65 && detail.len() < 100);
        let (_, detail) = wrong(r#"{"name":"a","items":"hunter2hunter2"}"#);
        assert!(!detail.contains("hunter2"), "{detail}");
    }

    #[test]
    fn text_that_is_no_json_is_placed() {
        let deep = "[".repeat(1_000);
        for json in [
            "",
            "{",
            "{]",
            r#"{"name":"a","items":[]} x"#,
            "\u{feff}{}",
            "NaN",
            &deep,
        ] {
            let problem = parse::<Offer>(json.as_bytes()).unwrap_err();
            assert_eq!(problem.kind.code, "bad_json", "{json}");
            assert!(problem.detail().contains("line 1"), "{}", problem.detail());
        }
        assert_eq!(
            parse::<Offer>(b"{\"name\":\"\xff\",\"items\":[]}")
                .unwrap_err()
                .kind
                .code,
            "bad_json"
        );
    }
}
