//! Calendars as bodies: under the rules of JSON bodies, with a limit of their own.

use super::body::{Media, take};
use super::problem::Problem;
use crate::desk::once::Ticket;
use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use futures_util::future::LocalBoxFuture;

/// A calendar as it came, with the idempotency key that it came with.
pub(super) struct CalendarBody {
    /// The text. What it holds is for its reader to find out.
    pub(super) bytes: Vec<u8>,
    /// The key, bound to this request.
    pub(super) ticket: Option<Ticket>,
}

const CALENDAR: Media = Media {
    name: "text/calendar",
    is: |essence| essence == "text/calendar",
    limit: |_| crate::icalendar::MOST_BYTES,
};

impl FromRequest for CalendarBody {
    type Error = Problem;
    type Future = LocalBoxFuture<'static, Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let request = request.clone();
        let payload = payload.take();
        Box::pin(async move {
            let (bytes, ticket) = take(&request, payload, &CALENDAR).await?;
            Ok(Self {
                bytes: bytes.into(),
                ticket,
            })
        })
    }
}
