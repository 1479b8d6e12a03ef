//! Advice where it is needed: trouble that people see, heat, food to be taken out, and a
//! bin that has died.

use crate::frame::{App, Court, grams};
use chrono::TimeDelta;
use serde_json::{Value, json};
use wormrota_domain::access::Role;

fn codes(list: &Value) -> Vec<&str> {
    list.as_array()
        .unwrap()
        .iter()
        .map(|item| item["code"].as_str().unwrap())
        .collect()
}

async fn kinds_of_notices(app: &App, court: &Court) -> Vec<String> {
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let notices = app.get(&caretaker, &court.at("/notices")).await.ok(200);
    let items = notices["items"].as_array().unwrap().clone();
    items
        .iter()
        .map(|item| item["kind"].as_str().unwrap().to_owned())
        .collect()
}

#[tokio::test]
async fn trouble_that_somebody_sees_gets_advice_and_reaches_the_caretaker() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let seen = json!({ "visitors": ["rodents", "liquid"], "dampness": "wet" });
    let answer = app
        .post(&court.resident, &court.bin_at("/checks"), &seen)
        .await
        .ok(201);
    assert_eq!(
        answer["care"],
        json!(["rodents_out", "drain_liquid", "dry_bedding"])
    );
    assert_eq!(answer["todo"].as_array().unwrap().len(), 3);
    assert_eq!(kinds_of_notices(&app, &court).await, ["trouble_seen"]);
}

#[tokio::test]
async fn a_look_that_says_too_little_does_not_open_a_resting_bin_and_says_so() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = court.bin_at("/checks");
    app.post(&court.resident, &path, &json!({ "smell": "sour" }))
        .await
        .ok(201);
    let half = app
        .post(&court.resident, &path, &json!({ "smell": "earthy" }))
        .await
        .ok(201);
    assert_eq!(half["gate"], "held");
    assert!(
        half["sentence"].as_str().unwrap().contains("what is left"),
        "{half}"
    );
}

#[tokio::test]
async fn heat_is_answered_with_what_to_do_and_reaches_the_caretaker() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let hot = json!({ "values": [{ "quantity": "bed_c", "value": 33 }] });
    let taken = app
        .post(&court.resident, &court.bin_at("/readings"), &hot)
        .await
        .ok(201);
    assert!(
        taken["warnings"][0].as_str().unwrap().contains("ice"),
        "{taken}"
    );
    assert_eq!(kinds_of_notices(&app, &court).await, ["too_hot"]);
    let told = json!({ "items": [{ "food": "usual-mix", "amount_kg": 0.05 }] });
    let told = app
        .post(&court.resident, &court.bin_at("/feedings/told"), &told)
        .await
        .ok(201);
    let deeds = codes(&told["aftermath"]["deeds"]);
    assert!(
        deeds.contains(&"cool") && !deeds.contains(&"cover"),
        "{deeds:?}"
    );
}

#[tokio::test]
async fn what_is_taken_out_again_is_no_longer_reckoned_with() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.room_g(&court).await;
    let told = json!({ "items": [{ "food": "usual-mix", "amount_kg": 3 }] });
    let told = app
        .post(&court.resident, &court.bin_at("/feedings/told"), &told)
        .await
        .ok(201);
    let deeds = &told["aftermath"]["deeds"];
    assert!(codes(deeds).contains(&"say_when_out"), "{deeds}");
    assert!(
        !codes(deeds).contains(&"add_water"),
        "an overfull bin is wet enough: {deeds}"
    );
    assert_eq!(app.room_g(&court).await, 0);
    let out = json!({ "amount_kg": 3 });
    app.post(&court.resident, &court.bin_at("/removals"), &out)
        .await
        .ok(201);
    assert!((app.room_g(&court).await - before).abs() <= 1);
}

#[tokio::test]
async fn a_bin_that_has_died_says_so_and_can_be_stocked_anew() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let stocking = json!({ "worms_kg": 0.5, "bedding_kg": 2 });
    let path = court.bin_at("/stockings");
    app.post(&court.educator, &path, &stocking)
        .await
        .problem(409, "bin_stocked_already");
    let later = app.now().await + TimeDelta::days(200);
    app.set_clock(&later.to_rfc3339()).await;
    let facts = app
        .get(&court.resident, &court.bin_at("/facts"))
        .await
        .ok(200);
    assert!(codes(&facts["warnings"]).contains(&"no_worms"), "{facts}");
    let meal = json!({ "items": [{ "food": "usual-mix", "amount_kg": 0.05 }] });
    let refused = app
        .post(&court.resident, &court.bin_at("/feedings"), &meal)
        .await;
    let refused = refused.problem(409, "feeding_refused");
    assert_eq!(codes(&refused["decision"]["reasons"])[0], "no_worms");
    app.post(&court.educator, &path, &stocking).await.ok(201);
    let room = app
        .get(&court.resident, &court.bin_at("/room"))
        .await
        .ok(200);
    assert_eq!(grams(&room["worms_kg"]), 500);
}
