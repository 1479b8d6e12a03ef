//! Which operations need somebody to be signed in, as the OpenAPI document says.

use actix_web::HttpRequest;
use actix_web::dev::ResourceDef;
use actix_web::http::Method;
use std::collections::HashMap;
use utoipa::openapi::OpenApi;

/// The addresses of operations that take an access token, by method.
#[derive(Debug)]
pub(super) struct Doors(HashMap<Method, Vec<ResourceDef>>);

impl Doors {
    /// Reads them from the document, which is generated from the handlers.
    #[must_use]
    pub(super) fn of(document: &OpenApi) -> Self {
        let mut doors: HashMap<Method, Vec<ResourceDef>> = HashMap::new();
        for (path, item) in &document.paths.paths {
            for (method, operation) in [
                (Method::GET, &item.get),
                (Method::POST, &item.post),
                (Method::PUT, &item.put),
                (Method::PATCH, &item.patch),
                (Method::DELETE, &item.delete),
            ] {
                let needs = operation.as_ref().and_then(|it| it.security.as_ref());
                // There is no other way to read what a requirement names.
                let needs = serde_json::to_value(needs).unwrap_or_default();
                if needs.pointer("/0/bearer").is_some() {
                    let door = ResourceDef::new(path.as_str());
                    doors.entry(method).or_default().push(door);
                }
            }
        }
        Self(doors)
    }

    /// Whether a request is to an operation that takes an access token. Compares what the
    /// router compares: the path with its percent signs resolved.
    #[must_use]
    pub(super) fn need_a_token(&self, request: &HttpRequest) -> bool {
        let path = request.match_info().as_str();
        let doors = self.0.get(request.method());
        doors.is_some_and(|doors| doors.iter().any(|door| door.is_match(path)))
    }
}
