//! Probes that measure by themselves.

use super::{head, room, spine};
use crate::frame::{Answer, App, Court, Person, id_of};
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

/// Adds a probe and gives its key for the Authorization header, and its id.
async fn probe_on(app: &App, who: &Person, court: &Court) -> (String, Uuid) {
    let new = json!({ "name": "Laundry probe" });
    let answer = app.post(who, &court.bin_at("/probes"), &new).await;
    assert_eq!(answer.header("cache-control"), Some("no-store"));
    let added = answer.ok(201);
    let key = added["key"].as_str().unwrap().to_owned();
    (format!("Bearer {key}"), id_of(&added))
}

async fn probe_says(app: &App, authorization: &str, values: &Value) -> Answer {
    app.ask(Method::POST, "/v1/probe/readings")
        .header("authorization", authorization)
        .json(&json!({ "values": values }))
        .send()
        .await
}

#[tokio::test]
async fn a_probe_measures_with_a_key_of_its_own() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let (key, probe) = probe_on(&app, &caretaker, &court).await;
    let now = app.now().await;
    let values = json!([
        { "quantity": "bed_c", "value": 22.5, "measured_at": now - TimeDelta::hours(1) },
        { "quantity": "bed_c", "value": 85, "measured_at": now - TimeDelta::hours(2) },
        { "quantity": "bed_moisture", "value": 0.74 },
    ]);
    let taken = probe_says(&app, &key, &values).await.ok(201);
    assert_eq!(taken["kept"], 3);
    assert_eq!(taken["set_aside"][0]["index"], 1);
    assert_eq!(room(&app, &court).await["bed"]["temperature_c"], 22.5);
    let again = probe_says(&app, &key, &json!([values[0]])).await.ok(201);
    assert_eq!(again["repeated"], 1);
    let last = spine(&app, court.bin).await.pop().unwrap();
    assert_eq!(last["kind"], "measured");
    assert_eq!(last["member_id"], json!(null));
    let readings = app.get(&court.resident, &court.bin_at("/readings")).await;
    assert_eq!(readings.ok(200)["items"][0]["probe_id"], probe.to_string());

    let probes = app.get(&caretaker, &court.bin_at("/probes")).await;
    assert!(!probes.text.contains(key.trim_start_matches("Bearer ")));
    let probes = probes.ok(200);
    assert_eq!(probes["items"][0]["id"], probe.to_string());
    assert_eq!(probes["items"][0]["revoked_at"], json!(null));
}

#[tokio::test]
async fn only_the_key_of_a_living_probe_is_taken() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let (key, probe) = probe_on(&app, &court.educator, &court).await;
    let value = json!([{ "quantity": "bed_c", "value": 22 }]);
    let user = format!("Bearer {}", court.educator.token);
    let mut other = key.clone().into_bytes();
    let ending = other.last_mut().unwrap();
    *ending = if *ending == b'A' { b'E' } else { b'A' };
    for wrong in [
        String::from_utf8(other).unwrap(),
        "Bearer probe_".to_owned(),
        key.replace("Bearer", "Basic"),
        format!("{key}{key}"),
        user,
    ] {
        let answer = probe_says(&app, &wrong, &value).await;
        answer.problem(401, "unknown_probe");
    }
    let answer = app
        .ask(Method::POST, "/v1/probe/readings")
        .json(&json!({ "values": value }))
        .send()
        .await;
    assert_eq!(answer.status, 401);
    // A probe's key opens nothing else.
    for path in ["/v1/sites".to_owned(), court.bin_at("/room")] {
        let ask = app.ask(Method::GET, &path).header("authorization", &key);
        assert_eq!(ask.send().await.status, 401);
    }

    probe_says(&app, &key, &value).await.ok(201);
    let path = court.bin_at(&format!("/probes/{probe}"));
    let revoke = app.ask(Method::DELETE, &path).by(&court.educator);
    assert_eq!(revoke.send().await.status, 204);
    let answer = probe_says(&app, &key, &value).await;
    answer.problem(401, "unknown_probe");
    let revoke = app.ask(Method::DELETE, &path).by(&court.educator);
    revoke.send().await.problem(404, "not_found");
    let list = app.get(&court.educator, &court.bin_at("/probes")).await;
    assert!(list.ok(200)["items"][0]["revoked_at"].is_string());
    assert_eq!(app.rows("SELECT id FROM readings").await.len(), 1);
}

#[tokio::test]
async fn a_probe_reaches_its_own_bin_only() {
    let app = App::start_in_june().await;
    let (here, there) = (app.court().await, app.court().await);
    let (key, probe) = probe_on(&app, &there.educator, &there).await;
    let before = head(&app, here.bin).await;
    let value = json!([{ "quantity": "bed_c", "value": 33 }]);
    probe_says(&app, &key, &value).await.ok(201);
    assert_eq!(room(&app, &there).await["bound_by"], "too_hot");
    assert_ne!(room(&app, &here).await["bound_by"], "too_hot");
    assert_eq!(head(&app, here.bin).await, before);
    let site = format!("SELECT id FROM readings WHERE site_id = '{}'", here.site);
    assert_eq!(app.rows(&site).await, Vec::<Value>::new());
    // Nor can one site's people see or stop another's probes, or make their own there.
    let path = here.bin_at(&format!("/probes/{probe}"));
    let revoke = app.ask(Method::DELETE, &path).by(&here.educator);
    revoke.send().await.problem(404, "not_found");
    let answer = app.get(&here.educator, &there.bin_at("/probes")).await;
    answer.problem(404, "not_found");
    let answer = app
        .post(
            &here.educator,
            &there.bin_at("/probes"),
            &json!({ "name": "x" }),
        )
        .await;
    answer.problem(404, "not_found");
    let smuggled = here.at(&format!("/bins/{}/probes", there.bin));
    let answer = app
        .post(&here.educator, &smuggled, &json!({ "name": "x" }))
        .await;
    answer.problem(404, "not_found");
    probe_says(&app, &key, &json!([{ "quantity": "bed_c", "value": 22 }]))
        .await
        .ok(201);

    let answer = app.get(&here.resident, &here.bin_at("/probes")).await;
    answer.problem(403, "forbidden");
    let answer = app
        .post(
            &here.resident,
            &here.bin_at("/probes"),
            &json!({ "name": "x" }),
        )
        .await;
    answer.problem(403, "forbidden");
}
