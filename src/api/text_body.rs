//! Texts as bodies, such as lists and calendars: under the rules of JSON bodies, each kind with a
//! limit of its own.

use super::body::{Media, take};
use super::problem::Problem;
use crate::desk::once::Ticket;
use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use futures_util::future::LocalBoxFuture;
use std::marker::PhantomData;

/// A kind of text that is taken.
pub(super) trait Kind: 'static {
    /// What it is called, and how long it may be.
    const MEDIA: Media;
}

/// Values with commas between them (RFC 4180).
pub(super) struct Csv;

impl Kind for Csv {
    const MEDIA: Media = Media {
        name: "text/csv",
        is: |essence| essence == "text/csv",
        limit: |state| state.desk.people().import_limit_bytes,
    };
}

/// A calendar (RFC 5545).
pub(super) struct Calendar;

impl Kind for Calendar {
    const MEDIA: Media = Media {
        name: "text/calendar",
        is: |essence| essence == "text/calendar",
        limit: |_| crate::icalendar::MOST_BYTES,
    };
}

/// A text as it came, with the idempotency key that it came with.
pub(super) struct TextBody<K> {
    /// The text. What it holds is for its reader to find out.
    pub(super) bytes: Vec<u8>,
    /// The key, bound to this request.
    pub(super) ticket: Option<Ticket>,
    kind: PhantomData<K>,
}

impl<K: Kind> FromRequest for TextBody<K> {
    type Error = Problem;
    type Future = LocalBoxFuture<'static, Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let request = request.clone();
        let payload = payload.take();
        Box::pin(async move {
            let (bytes, ticket) = take(&request, payload, &K::MEDIA).await?;
            Ok(Self {
                bytes: bytes.into(),
                ticket,
                kind: PhantomData,
            })
        })
    }
}
