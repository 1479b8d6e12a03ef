//! CSV bodies: under the rules of JSON bodies, with a limit of their own.

use super::body::{Media, take};
use super::problem::Problem;
use crate::desk::once::Ticket;
use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use futures_util::future::LocalBoxFuture;

/// A list as it came, with the idempotency key that it came with.
pub(super) struct CsvBody {
    /// The list. What it holds is for the use case to find out.
    pub(super) bytes: Vec<u8>,
    /// The key, bound to this request.
    pub(super) ticket: Option<Ticket>,
}

const CSV: Media = Media {
    name: "text/csv",
    is: |essence| essence == "text/csv",
    limit: |state| state.desk.people().import_limit_bytes,
};

impl FromRequest for CsvBody {
    type Error = Problem;
    type Future = LocalBoxFuture<'static, Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let request = request.clone();
        let payload = payload.take();
        Box::pin(async move {
            let (bytes, ticket) = take(&request, payload, &CSV).await?;
            Ok(Self {
                bytes: bytes.into(),
                ticket,
            })
        })
    }
}
