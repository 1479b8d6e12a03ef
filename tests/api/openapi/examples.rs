//! The examples of all bodies are taken.

use super::examples_of_people::{send_examples_about_people, send_examples_of_classes};
use super::examples_of_turns::{send_examples_of_places, send_examples_of_turns};
use super::operations;
use crate::frame::{Answer, App, Court, Person};
use reqwest::Method;
use serde_json::Value;
use std::collections::BTreeSet;
use uuid::Uuid;

/// A member of a schema that may be one of several parts.
fn parts(schema: &Value) -> Vec<&Value> {
    match schema["allOf"].as_array() {
        Some(parts) => parts.iter().collect(),
        None => vec![schema],
    }
}

/// The example of an operation's body.
pub(super) fn example<'a>(document: &'a Value, operation: &'a Value) -> Option<&'a Value> {
    let schema = &operation["requestBody"]["content"]["application/json"]["schema"]["$ref"];
    let pointer = schema.as_str()?.strip_prefix('#')?;
    parts(document.pointer(pointer)?)
        .into_iter()
        .map(|part| &part["example"])
        .find(|example| example.is_object())
}

/// Operations with a body for whoever is not signed in: where, and what success would be.
const OF_STRANGERS: [(&str, &str, u16); 7] = [
    ("create_session", "/v1/sessions", 201),
    ("refresh_session", "/v1/refresh_tokens/use", 201),
    ("create_session_by_link", "/v1/sign_in_links/use", 201),
    ("create_sign_in_link", "/v1/sign_in_links", 202),
    ("create_password_reset", "/v1/password_resets", 202),
    ("use_password_reset", "/v1/password_resets/use", 204),
    ("accept_invitation_link", "/v1/invitations/accept", 201),
];

/// Sends the example of an operation; gives what it made.
pub(super) async fn send_example(
    app: &App,
    document: &Value,
    who: &Person,
    id: &str,
    keys: &[(&str, &str)],
) -> Value {
    let (method, path, operation) = operations(document)
        .into_iter()
        .find(|(_, _, operation)| operation["operationId"] == id)
        .unwrap();
    let path = keys.iter().fold(path, |path, (name, key)| {
        path.replace(&format!("{{{name}}}"), key)
    });
    assert!(!path.contains('{'), "{path}");
    let method = method.to_uppercase().parse().unwrap();
    let body = example(document, operation).unwrap_or_else(|| panic!("{id} has no example"));
    let answer = app.ask(method, &path).by(who).json(body).send().await;
    assert!(answer.status.is_success(), "{id}: {}", answer.text);
    if answer.status == 204 {
        return Value::Null;
    }
    answer.json()
}

/// Sends the example of an operation whose body is a text.
pub(super) async fn send_text(
    app: &App,
    document: &Value,
    who: &Person,
    id: &str,
    site: &str,
) -> Answer {
    let (_, path, operation) = operations(document)
        .into_iter()
        .find(|(_, _, operation)| operation["operationId"] == id)
        .unwrap();
    let content = operation["requestBody"]["content"].as_object().unwrap();
    let (kind, text) = content.iter().next().unwrap();
    let text = text["example"].as_str().unwrap();
    app.ask(Method::POST, &path.replace("{site_id}", site))
        .by(who)
        .header("content-type", kind)
        .body(text.to_owned())
        .send()
        .await
}

#[tokio::test]
async fn the_examples_of_all_bodies_are_taken() {
    let app = App::start().await;
    // The day before the one that the example of a booking names.
    app.set_clock("2026-11-25T18:00:00Z").await;
    let document = app.ask(Method::GET, "/openapi.json").send().await.ok(200);
    let Court {
        educator,
        site,
        bin: stocked,
        ..
    } = app.court().await;
    let (court_site, court_bin) = (site, stocked);
    let (site, stocked) = (site.to_string(), stocked.to_string());
    let old = [("site_id", site.as_str()), ("bin_id", &stocked)];

    let made = send_example(&app, &document, &educator, "create_site", &[]).await;
    let site = made["id"].as_str().unwrap();
    send_example(
        &app,
        &document,
        &educator,
        "update_site",
        &[("site_id", site)],
    )
    .await;
    let made = send_example(
        &app,
        &document,
        &educator,
        "create_bin",
        &[("site_id", site)],
    )
    .await;
    let new = [("site_id", site), ("bin_id", made["id"].as_str().unwrap())];
    send_example(&app, &document, &educator, "create_stocking", &new).await;
    let mut sent = BTreeSet::from([
        "create_site",
        "update_site",
        "create_bin",
        "create_stocking",
    ]);
    for id in [
        "ask_feeding",
        "create_booking",
        "tell_feeding",
        "create_check",
        "create_bedding",
        "create_removal",
        "create_side",
        "create_readings",
    ] {
        send_example(&app, &document, &educator, id, &old).await;
        sent.insert(id);
    }
    let probe = send_example(&app, &document, &educator, "create_probe", &old).await;
    let probe = Person {
        token: probe["key"].as_str().unwrap().to_owned(),
        ..educator.clone()
    };
    send_example(&app, &document, &probe, "create_probe_readings", &[]).await;
    send_example(&app, &document, &educator, "move_demo_clock", &[]).await;
    sent.extend(["create_probe", "create_probe_readings", "move_demo_clock"]);

    sent.extend(send_examples_of_turns(&app, &document, &educator, old).await);
    send_example(&app, &document, &educator, "create_rota", &old[..1]).await;
    sent.insert("create_rota");
    sent.extend(send_examples_of_classes(&app, &document, &educator, old[0].1).await);

    let bin = (court_site, court_bin);
    sent.extend(send_examples_of_places(&app, &document, &educator, bin).await);

    // Whether these are taken depends on the bin and on who there is: they are well formed.
    for (id, path, status) in depending(old[0].1, &stocked) {
        let operation = operations(&document)
            .into_iter()
            .find(|(_, _, operation)| operation["operationId"] == id)
            .unwrap()
            .2;
        let body = example(&document, operation).unwrap();
        let answer = app.post(&educator, &path, body).await;
        assert!(status.contains(&answer.status.as_u16()), "{}", answer.text);
        sent.insert(id);
    }
    sent.extend(send_examples_about_people(&app, &document, &educator, old[0].1).await);
    let change = send_example(&app, &document, &educator, "update_my_password", &[]).await;
    assert_eq!(change, Value::Null);
    let gone = app.stranger().await;
    let erased = send_example(&app, &document, &gone, "erase_own_account", &[]).await;
    assert_eq!(erased, Value::Null);
    sent.extend(["update_my_password", "erase_own_account"]);
    for (method, path, operation) in operations(&document) {
        if operation["requestBody"].is_object() {
            let id = operation["operationId"].as_str().unwrap();
            assert!(sent.contains(id), "{method} {path}: {id} was not tried");
        }
    }
}

/// Those of which it depends on what there is whether they are taken: with what comes of them.
fn depending(site: &str, bin: &str) -> Vec<(&'static str, String, [u16; 2])> {
    let at = |rest: &str| format!("/v1/sites/{site}/{rest}");
    let feedings = format!("bins/{bin}/feedings");
    [
        ("create_feeding", at(&feedings), [201, 409]),
        ("create_trade", at("trades"), [201, 404]),
        (
            "create_call_assignment",
            at(&format!("calls/{}/assignment", Uuid::nil())),
            [200, 404],
        ),
        ("create_series", at("series"), [200, 409]),
        ("create_joining", "/v1/joinings".to_owned(), [201, 409]),
        ("create_slip_use", "/v1/slips/use".to_owned(), [201, 409]),
    ]
    .into_iter()
    .chain(OF_STRANGERS.map(|(id, path, status)| (id, path.to_owned(), [status, 401])))
    .collect()
}
