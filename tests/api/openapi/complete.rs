//! The document says all that is served, and all that can go wrong.

use super::{METHODS, OPEN, document, operations};
use crate::frame::App;
use reqwest::Method;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

/// How the addresses end at which something happens without a body.
const BODILESS: [&str; 9] = [
    "/seen",
    "/end",
    "/replacement",
    "/slip",
    "/lid_code",
    "/put_up",
    "/call",
    "/left_empty",
    "/search",
];

fn refs<'a>(value: &'a Value, found: &mut Vec<&'a str>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                match member {
                    Value::String(target) if name == "$ref" => found.push(target),
                    other => refs(other, found),
                }
            }
        }
        Value::Array(items) => items.iter().for_each(|item| refs(item, found)),
        _ => {}
    }
}

#[tokio::test]
async fn the_document_is_openapi_3_1_and_complete_in_itself() {
    let document = document().await;
    assert!(document["openapi"].as_str().unwrap().starts_with("3.1."));
    assert!(document["info"]["version"].is_string());

    let mut targets = Vec::new();
    refs(&document, &mut targets);
    assert!(targets.len() > 50);
    for target in targets {
        let pointer = target.strip_prefix('#').unwrap();
        assert!(document.pointer(pointer).is_some(), "{target}");
    }
    let mut ids = BTreeSet::new();
    for (method, path, operation) in operations(&document) {
        let id = operation["operationId"].as_str().unwrap();
        assert!(ids.insert(id.to_owned()), "{id} comes twice");
        for part in path.split('/').filter(|part| part.starts_with('{')) {
            let name = part.trim_matches(['{', '}']);
            let described = operation["parameters"]
                .as_array()
                .unwrap()
                .iter()
                .any(|parameter| parameter["name"] == name && parameter["in"] == "path");
            assert!(described, "{method} {path}: {name}");
        }
        let bodiless = BODILESS.iter().any(|end| path.ends_with(end));
        if matches!(method.as_str(), "post" | "patch") && !bodiless {
            assert!(operation["requestBody"].is_object(), "{method} {path}");
        }
    }
}

#[tokio::test]
async fn every_operation_says_what_can_go_wrong_and_who_may_come() {
    let document = document().await;
    for (method, path, operation) in operations(&document) {
        let responses = operation["responses"].as_object().unwrap();
        assert!(
            responses.keys().any(|status| status.starts_with('2')),
            "{method} {path}"
        );
        for (status, response) in responses {
            let error = status.starts_with('4') || status.starts_with('5');
            let problem = response["content"]["application/problem+json"].is_object();
            assert_eq!(error, problem, "{method} {path} {status}");
        }
        // Said of every operation, so that none is open by oversight.
        assert!(operation["security"].is_array(), "{method} {path}");
        let open = OPEN.contains(&format!("{method} {path}").as_str());
        if path.starts_with("/v1/") && !open {
            // Probes have keys of their own, and no site to be strangers at.
            let probe = path.starts_with("/v1/probe/");
            let scheme = if probe { "probe" } else { "bearer" };
            assert_eq!(
                operation["security"][0][scheme],
                Value::Array(vec![]),
                "{method} {path}"
            );
            let refused = &responses["401"]["headers"];
            assert!(refused["WWW-Authenticate"].is_object(), "{method} {path}");
            for status in ["429", "503"] {
                let later = &responses[status]["headers"];
                assert!(later["Retry-After"].is_object(), "{method} {path} {status}");
            }
            for status in ["401", "500", "503"] {
                assert!(responses.contains_key(status), "{method} {path} {status}");
            }
            if path.contains('{') {
                assert!(responses.contains_key("404"), "{method} {path}");
            }
        }
    }
}

#[tokio::test]
async fn every_handler_in_the_source_stands_in_the_document() {
    let document = document().await;
    let mut served: Vec<(String, String)> = operations(&document)
        .into_iter()
        .map(|(method, path, _)| (method, path))
        .collect();
    let mut written = Vec::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/api");
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "rs") {
            continue;
        }
        for line in std::fs::read_to_string(path).unwrap().lines() {
            for method in METHODS {
                if let Some(rest) = line.strip_prefix(&format!("#[{method}(\"")) {
                    let path = rest.split('"').next().unwrap();
                    written.push((method.to_owned(), path.to_owned()));
                }
            }
        }
    }
    served.sort();
    written.sort();
    assert_eq!(served, written);
}

#[tokio::test]
async fn a_header_is_described_alike_wherever_it_is_taken() {
    let document = document().await;
    let mut keys = BTreeSet::new();
    let mut takers = 0;
    for (method, path, operation) in operations(&document) {
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            if parameter["in"] == "header" {
                // An absent header is not null, and an empty one is not taken.
                let schema = &parameter["schema"];
                assert!(
                    schema["pattern"].is_string() || schema["anyOf"].is_array(),
                    "{method} {path}: {parameter}"
                );
            }
            if parameter["name"] == "Idempotency-Key" {
                keys.insert(parameter.to_string());
                takers += 1;
            }
        }
    }
    assert_eq!(keys.len(), 1, "{keys:?}");
    assert!(takers >= 11, "{takers}");
}

#[tokio::test]
async fn whatever_can_be_read_answers_head_without_a_body() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    for path in ["/problems".to_owned(), court.at(""), court.bin_at("/room")] {
        let read = app.get(&court.resident, &path).await;
        let head = app
            .ask(Method::HEAD, &path)
            .by(&court.resident)
            .send()
            .await;
        assert_eq!(head.status, 200, "{path}");
        assert_eq!(head.text, "");
        for name in ["content-type", "etag", "cache-control"] {
            assert_eq!(head.header(name), read.header(name), "{path} {name}");
        }
    }
    let answer = app.ask(Method::HEAD, "/v1/password_resets").send().await;
    assert_eq!(
        (answer.status.as_u16(), answer.header("allow")),
        (405, Some("POST"))
    );
}
