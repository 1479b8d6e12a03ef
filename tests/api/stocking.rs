//! Worms go into a bin, once.

use crate::frame::{App, Court, all_at_once, shared, weighed};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A site with a bin that is not stocked yet.
async fn empty_bin(app: &App) -> Court {
    let mut court = app.court().await;
    court.bin = app.bin(&court.educator, court.site).await;
    court
}

async fn stock(app: &App, court: &Court, stocking: &Value) -> crate::frame::Answer {
    let path = court.bin_at("/stockings");
    app.post(&court.educator, &path, stocking).await
}

#[tokio::test]
async fn a_stocked_bin_takes_a_young_bins_share() {
    let app = App::start_in_june().await;
    let court = empty_bin(&app).await;
    stock(&app, &court, &json!({ "worms_kg": 1, "bedding_kg": 1.5 }))
        .await
        .ok(201);
    let bin = app.get(&court.resident, &court.bin_at("")).await.ok(200);
    assert_eq!(bin["is_stocked"], true);

    let room = app
        .get(&court.resident, &court.bin_at("/room"))
        .await
        .ok(200);
    assert_eq!(room["bound_by"], "ramp");
    assert_eq!(room["worms_kg"], 1.0);
    let young = app.room_g(&court).await;
    assert!(young > 0);
    // From the fourth week on the share is larger.
    app.set_clock("2026-07-02T18:00:00Z").await;
    let older = app.room_g(&court).await;
    assert!(older > young, "{young} {older}");
}

#[tokio::test]
async fn a_bin_is_stocked_by_its_keepers_and_once() {
    let app = App::start_in_june().await;
    let worms = json!({ "worms_kg": 0.5 });
    for role in [Role::Caretaker, Role::Teacher, Role::Educator] {
        let mut court = empty_bin(&app).await;
        let answer = app
            .post(&court.resident, &court.bin_at("/stockings"), &worms)
            .await;
        answer.problem(403, "forbidden");
        court.educator = app.member(court.site, role).await;
        stock(&app, &court, &worms).await.ok(201);
        let before = app.contents().await;
        let answer = stock(&app, &court, &worms).await;
        answer.problem(409, "bin_stocked_already");
        assert_eq!(app.contents().await, before);
    }
}

#[tokio::test]
async fn of_several_who_stock_a_bin_at_once_one_does() {
    let app = shared().await;
    let court = Arc::new(empty_bin(&app).await);
    let several = (0..8).map(|_| {
        let (app, court) = (Arc::clone(&app), Arc::clone(&court));
        async move { stock(&app, &court, &json!({ "worms_kg": 0.5 })).await }
    });
    let mut statuses: Vec<u16> = all_at_once(several)
        .await
        .iter()
        .map(|answer| answer.status.as_u16())
        .collect();
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 409, 409, 409, 409, 409, 409, 409]);
    let rows = app
        .rows(&format!(
            "SELECT seq FROM bin_events WHERE bin_id = '{}'",
            court.bin
        ))
        .await;
    assert_eq!(rows, [json!({ "seq": 1 })]);
}

#[tokio::test]
async fn amounts_and_times_that_cannot_be_are_named() {
    let app = App::start_in_june().await;
    let court = empty_bin(&app).await;
    let before = app.contents().await;
    for (field, wrong) in [
        (
            "worms_kg",
            json!([0, -1, 20.001, 21, 1e300, 0.0001, "1", null]),
        ),
        ("bedding_kg", json!([-1, 50.001, 1e300, 0.0001, "1"])),
        ("stocked_at", json!(["last week", 1,])),
    ] {
        for value in wrong.as_array().unwrap() {
            let mut stocking = json!({ "worms_kg": 0.5 });
            stocking[field] = value.clone();
            let answer = stock(&app, &court, &stocking).await;
            assert_eq!(answer.status, 422, "{stocking}: {}", answer.text);
            answer.wrong_fields(&[&format!("/{field}")]);
        }
    }
    for stocked_at in [
        "2026-06-10T17:05:00Z",
        "2026-07-01T00:00:00Z",
        "9999-01-01T00:00:00Z",
        "2025-06-09T16:00:00Z",
        "1970-01-01T00:00:00Z",
    ] {
        let stocking = json!({ "worms_kg": 0.5, "stocked_at": stocked_at });
        let answer = stock(&app, &court, &stocking).await;
        answer.conflicting_fields(&["/stocked_at"]);
    }
    stock(&app, &court, &json!({}))
        .await
        .wrong_fields(&["/worms_kg"]);
    let answer = stock(&app, &court, &json!({ "worms_kg": 1, "fish": 1 })).await;
    answer.wrong_fields(&["/fish"]);
    assert_eq!(app.contents().await, before);

    let last_year = json!({ "worms_kg": 0.5, "stocked_at": "2025-06-10T17:00:00Z" });
    stock(&app, &court, &last_year).await.ok(201);
}

#[tokio::test]
async fn a_bin_that_is_not_of_the_site_is_not_stocked() {
    let app = App::start_in_june().await;
    let court = empty_bin(&app).await;
    let elsewhere = empty_bin(&app).await;
    for bin in [elsewhere.bin, Uuid::now_v7()] {
        let path = court.at(&format!("/bins/{bin}/stockings"));
        let answer = app
            .post(&court.educator, &path, &json!({ "worms_kg": 0.5 }))
            .await;
        answer.problem(404, "not_found");
    }
    let bin = app
        .get(&elsewhere.resident, &elsewhere.bin_at(""))
        .await
        .ok(200);
    assert_eq!(bin["is_stocked"], false);
}

#[tokio::test]
async fn a_retry_stocks_once_and_gets_the_first_answer() {
    let app = App::start_in_june().await;
    let court = empty_bin(&app).await;
    let send = async || {
        app.ask(Method::POST, &court.bin_at("/stockings"))
            .by(&court.educator)
            .header("idempotency-key", "worms")
            .json(&json!({ "worms_kg": 0.5 }))
            .send()
            .await
    };
    let first = send().await.ok(201);
    let path = court.bin_at("/feedings");
    let offer = weighed("usual-mix", 0.01);
    app.post(&court.resident, &path, &offer).await.ok(201);
    assert_eq!(send().await.ok(201), first);
}
