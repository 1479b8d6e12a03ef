//! Beds that are too hot.

use super::{facts, feed, measure, notices, room, take_back, wait};
use crate::frame::App;
use chrono::TimeDelta;
use serde_json::json;

#[tokio::test]
async fn heat_closes_a_bin_and_it_reopens_only_when_it_has_cooled() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = room(&app, &court).await;
    assert_eq!(before["bed"]["assumed"], true);
    let sentence = before["sentence"].as_str().unwrap();
    assert!(sentence.contains("assumed"), "{sentence}");

    for (bed, closed) in [
        (31.0, true),
        (28.2, true),
        (27.9, false),
        (30.1, true),
        (27.5, false),
    ] {
        wait(&app, TimeDelta::minutes(10)).await;
        let taken = measure(
            &app,
            &court,
            &json!([{ "quantity": "bed_c", "value": bed }]),
        )
        .await;
        let taken = taken.ok(201);
        assert_eq!(taken["kept"], 1);
        let now = room(&app, &court).await;
        assert_eq!(now["bound_by"] == "too_hot", closed, "at {bed}: {now}");
        assert_eq!(now["bed"]["assumed"], false);
        assert!((now["bed"]["temperature_c"].as_f64().unwrap() - bed).abs() < 0.11);
        let answer = feed(&app, &court, 0.01).await;
        if closed {
            let decision = &answer.problem(409, "feeding_refused")["decision"];
            assert_eq!(decision["reasons"][0]["code"], "too_hot");
            assert_eq!(decision["reasons"][0]["opens_below_c"], 28.0);
        } else {
            answer.ok(201);
        }
    }
}

#[tokio::test]
async fn a_little_too_hot_is_too_hot_at_any_time_of_day() {
    for hour in [0, 6, 11, 15, 18, 23] {
        let app = App::start_in_june().await;
        let court = app.court().await;
        app.set_clock(&format!("2026-06-11T{hour:02}:00:30Z")).await;
        let values = json!([{ "quantity": "bed_c", "value": 30.1 }]);
        measure(&app, &court, &values).await.ok(201);
        let now = room(&app, &court).await;
        assert_eq!(now["bound_by"], "too_hot", "at {hour}: {now}");
    }
}

#[tokio::test]
async fn a_bed_that_warms_up_is_warned_of_with_what_to_do() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    assert_eq!(facts(&app, &court).await["warnings"], json!([]));
    for (bed, code, deed, shown) in [
        (28.5, "warm", "shade the bin", "83 °F"),
        (33.0, "too_hot", "put nothing in", "91 °F"),
        (36.0, "deadly_heat", "bring the bin into the cool", "97 °F"),
        (3.0, "too_cold", "bring the bin in", "37 °F"),
        (-1.0, "deadly_frost", "freezing kills worms", "30 °F"),
    ] {
        wait(&app, TimeDelta::hours(1)).await;
        let values = json!([{ "quantity": "bed_c", "value": bed }]);
        measure(&app, &court, &values).await.ok(201);
        let facts = facts(&app, &court).await;
        let warning = &facts["warnings"][0];
        assert_eq!(warning["code"], code, "{facts}");
        assert_eq!(warning["assumed"], false);
        let sentence = warning["sentence"].as_str().unwrap();
        assert!(sentence.contains(deed), "{sentence}");
        assert!(
            sentence.replace('\u{a0}', " ").contains(shown),
            "{sentence}"
        );
    }
}

#[tokio::test]
async fn heat_is_told_to_the_caretaker_and_a_wrong_reading_can_be_taken_back() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let bed = |value: f64| json!([{ "quantity": "bed_c", "value": value }]);
    let taken = measure(&app, &court, &bed(32.0)).await.ok(201);
    let said = taken["warnings"][0].as_str().unwrap();
    assert!(said.contains("put nothing in"), "{said}");
    let put_up = notices(&app, &court).await;
    assert_eq!(put_up.len(), 1);
    assert_eq!(put_up[0]["kind"], "too_hot");
    assert_eq!(put_up[0]["event_id"], taken["entries"][0]);
    // Hotter still is no second notice.
    let hotter = measure(&app, &court, &bed(33.0)).await.ok(201);
    assert_eq!(notices(&app, &court).await.len(), 1);
    for taken in [hotter, taken] {
        assert_eq!(room(&app, &court).await["bound_by"], "too_hot");
        let entry = taken["entries"][0].as_str().unwrap().parse().unwrap();
        let answer = take_back(&app, &court.resident, &court, entry).await;
        assert_eq!(answer.status, 204, "{}", answer.text);
    }
    let now = room(&app, &court).await;
    assert_ne!(now["bound_by"], "too_hot");
    assert_eq!(now["bed"]["assumed"], true);
}
