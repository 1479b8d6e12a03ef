use crate::frame::App;
use reqwest::Method;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

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
        if matches!(method.as_str(), "post" | "patch") && !path.ends_with("/seen") {
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
        if path.starts_with("/v1/") && path != "/v1/sessions" {
            // Probes have keys of their own, and no site to be strangers at.
            let probe = path.starts_with("/v1/probe/");
            let scheme = if probe { "probe" } else { "bearer" };
            assert_eq!(
                operation["security"][0][scheme],
                Value::Array(vec![]),
                "{method} {path}"
            );
            let statuses = ["401", "500", "503", "404"];
            for status in statuses.into_iter().take(if probe { 3 } else { 4 }) {
                assert!(responses.contains_key(status), "{method} {path} {status}");
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
