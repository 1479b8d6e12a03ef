//! Queries of things that are no lists.

use super::problem::{self, Problem};
use actix_web::{HttpRequest, web};
use serde::de::DeserializeOwned;

/// The query of a request; a parameter that is not known is refused.
pub(super) fn read<T: DeserializeOwned>(request: &HttpRequest) -> Result<T, Problem> {
    let read = web::Query::<T>::from_query(request.query_string());
    read.map(web::Query::into_inner).map_err(|_| {
        Problem::new(
            &problem::BAD_QUERY,
            "A parameter is not known, comes twice, or is of another form.",
        )
    })
}
