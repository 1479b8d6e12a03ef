//! The OpenAPI document against the service.

mod bounds;
mod complete;
mod examples;
mod examples_of_people;
mod examples_of_turns;
mod links;

use crate::frame::App;
use reqwest::Method;
use serde_json::Value;

/// What is asked by whoever is not signed in yet.
const OPEN: [&str; 10] = [
    "post /v1/sessions",
    "post /v1/sign_in_links/use",
    "post /v1/refresh_tokens/use",
    "post /v1/sign_in_links",
    "post /v1/password_resets",
    "post /v1/password_resets/use",
    "post /v1/invitations/accept",
    "post /v1/joinings",
    "post /v1/slips/use",
    "get /v1/lids/{code}",
];

const METHODS: [&str; 5] = ["get", "post", "put", "patch", "delete"];

async fn document() -> Value {
    let app = App::start().await;
    let answer = app.ask(Method::GET, "/openapi.json").send().await;
    assert_eq!(answer.header("content-type"), Some("application/json"));
    answer.ok(200)
}

fn operations(document: &Value) -> Vec<(String, String, &Value)> {
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            assert!(METHODS.contains(&method.as_str()), "{method} {path}");
            found.push((method.clone(), path.clone(), operation));
        }
    }
    found
}
