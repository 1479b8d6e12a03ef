//! Which operations need somebody to be signed in, or like to know, as the OpenAPI document says.

use actix_web::HttpRequest;
use actix_web::dev::ResourceDef;
use actix_web::http::Method;
use std::collections::HashMap;
use utoipa::openapi::OpenApi;

/// The addresses of operations that take an access token, by method.
#[derive(Debug)]
pub(super) struct Doors(HashMap<Method, Vec<(ResourceDef, Token)>>);

/// What an operation does with an access token.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Token {
    /// Lets nobody in without one.
    Needed,
    /// Takes one, if there is one.
    Taken,
}

impl Doors {
    /// Reads them from the document, which is generated from the handlers.
    #[must_use]
    pub(super) fn of(document: &OpenApi) -> Self {
        let mut doors: HashMap<Method, Vec<(ResourceDef, Token)>> = HashMap::new();
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
                let token = if needs.pointer("/0/bearer").is_some() {
                    Token::Needed
                } else if needs.pointer("/1/bearer").is_some() {
                    Token::Taken
                } else {
                    continue;
                };
                let door = ResourceDef::new(path.as_str());
                doors.entry(method).or_default().push((door, token));
            }
        }
        Self(doors)
    }

    /// Whether a request is to an operation that takes an access token. Compares what the
    /// router compares: the path with its percent signs resolved.
    #[must_use]
    pub(super) fn token_at(&self, request: &HttpRequest) -> Option<Token> {
        let path = request.match_info().as_str();
        let mut doors = self.0.get(request.method())?.iter();
        doors
            .find(|(door, _)| door.is_match(path))
            .map(|(_, token)| *token)
    }
}
