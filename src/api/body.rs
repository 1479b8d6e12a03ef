//! JSON bodies: one extractor for all handlers.
//!
//! It checks the content type before it reads, stops reading at the limit, and says which
//! field is wrong without repeating what was sent.

use super::AppState;
use super::json::parse;
use super::problem::{self, Problem};
use crate::desk::once::Ticket;
use actix_web::dev::Payload;
use actix_web::error::PayloadError;
use actix_web::http::header::{CONTENT_ENCODING, CONTENT_LENGTH, CONTENT_TYPE};
use actix_web::web::{self, Bytes};
use actix_web::{FromRequest, HttpRequest};
use futures_util::StreamExt;
use futures_util::future::LocalBoxFuture;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::time::Duration;
use utoipa::IntoParams;

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
