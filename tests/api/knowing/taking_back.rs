//! Entries that are taken back.

use super::{beside, check, facts, feed, head, spine, take_back, tell, wait};
use crate::frame::{App, grams, id_of};
use chrono::TimeDelta;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

#[tokio::test]
async fn what_is_taken_back_never_happened() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.room_g(&court).await;
    let fed = feed(&app, &court, 0.2).await.ok(201);
    let kept = app.rows("SELECT * FROM decisions ORDER BY id").await;
    assert_eq!(app.room_g(&court).await, before - 200);
    let answer = take_back(&app, &court.resident, &court, id_of(&fed)).await;
    assert_eq!(answer.status, 204, "{}", answer.text);
    assert!((app.room_g(&court).await - before).abs() <= 1);
    // What people were told stands, and the entry stands beside its correction.
    let decisions = app.rows("SELECT * FROM decisions ORDER BY id").await;
    assert_eq!(decisions, kept);
    let last = spine(&app, court.bin).await.pop().unwrap();
    assert_eq!(last["kind"], "withdrawn");
    assert_eq!(last["supersedes"], fed["id"]);
    let feedings = app.get(&court.resident, &court.bin_at("/feedings")).await;
    let feedings = feedings.ok(200)["items"].as_array().unwrap().clone();
    assert_eq!(feedings.len(), 1, "{feedings:?}");
    assert_ne!(feedings[0]["id"], fed["id"]);

    take_back(&app, &court.resident, &court, id_of(&fed))
        .await
        .problem(409, "entry_stands");
    take_back(&app, &court.educator, &court, id_of(&last))
        .await
        .problem(409, "entry_stands");
}

#[tokio::test]
async fn a_sign_that_was_a_mistake_holds_nothing() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let sour = json!({ "smell": "sour" });
    let seen = check(&app, &court.resident, &court, &sour).await.ok(201);
    feed(&app, &court, 0.1)
        .await
        .problem(409, "feeding_refused");
    let answer = take_back(&app, &court.resident, &court, id_of(&seen)).await;
    assert_eq!(answer.status, 204);
    let facts = facts(&app, &court).await;
    assert_eq!(facts["gate"], "open");
    assert_eq!(facts["last_check_at"], json!(null));
    feed(&app, &court, 0.1).await.ok(201);
}

#[tokio::test]
async fn entries_are_taken_back_by_who_made_them_or_by_who_keeps_the_bins() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let neighbour = app.member(court.site, Role::Resident).await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let told = id_of(&tell(&app, &court, 0.1).await);
    let state = head(&app, court.bin).await;
    take_back(&app, &neighbour, &court, told)
        .await
        .problem(403, "forbidden");
    let stranger = app.stranger().await;
    take_back(&app, &stranger, &court, told)
        .await
        .problem(404, "not_found");
    let other = beside(&court, app.stocked_bin(&court.educator, court.site).await);
    take_back(&app, &court.resident, &other, told)
        .await
        .problem(404, "not_found");
    take_back(&app, &court.resident, &court, Uuid::now_v7())
        .await
        .problem(404, "not_found");
    assert_eq!(head(&app, court.bin).await, state);
    let answer = take_back(&app, &caretaker, &court, told).await;
    assert_eq!(answer.status, 204);

    let stocking = id_of(&spine(&app, court.bin).await[0]);
    take_back(&app, &caretaker, &court, stocking)
        .await
        .problem(409, "entry_stands");
    // What lies two months back is eaten, whatever it was.
    let told = id_of(&tell(&app, &court, 0.1).await);
    wait(&app, TimeDelta::days(61)).await;
    take_back(&app, &court.resident, &court, told)
        .await
        .problem(409, "entry_stands");
}

#[tokio::test]
async fn who_booked_room_that_is_gone_is_owed_a_letter_once_for_each_amount() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let holder = app.member(court.site, Role::Resident).await;
    let promise = json!({ "on_date": "2026-06-11", "amount_kg": 0.3 });
    let booked = app
        .post(&holder, &court.bin_at("/bookings"), &promise)
        .await;
    let booked = id_of(&booked.ok(201));
    let letters = async || {
        app.rows("SELECT kind, payload, state, member_id FROM letters ORDER BY created_at, id")
            .await
    };
    let kept = async || {
        let list = app.get(&court.resident, &court.bin_at("/bookings")).await;
        grams(&list.ok(200)["items"][0]["kept_kg"])
    };
    feed(&app, &court, 0.02).await.ok(201);
    assert_eq!(kept().await, 300);
    assert_eq!(letters().await, Vec::<Value>::new());

    let over = app.room_g(&court).await + 100;
    #[expect(clippy::cast_precision_loss, reason = "some hundred grams")]
    let first = tell(&app, &court, over as f64 / 1000.0).await;
    let shrunk = kept().await;
    assert!(shrunk < 300, "{shrunk}");
    let owed = letters().await;
    assert_eq!(owed.len(), 1);
    assert_eq!(owed[0]["kind"], "booking_shrunk");
    let expected = json!({ "booking_id": booked.to_string(), "kept_g": shrunk });
    assert_eq!(owed[0]["payload"], expected);
    let member = app
        .rows(&format!(
            "SELECT member_id FROM bookings WHERE id = '{booked}'"
        ))
        .await;
    assert_eq!(owed[0]["member_id"], member[0]["member_id"]);
    assert_eq!(owed[0]["state"], "owed");

    // Much more: nothing is left of the promise, and that is news, once.
    let second = tell(&app, &court, 1.0).await;
    assert_eq!(kept().await, 0);
    tell(&app, &court, 0.5).await;
    let owed = letters().await;
    assert_eq!(owed.len(), 2);
    assert_eq!(owed[1]["payload"]["kept_g"], 0);
    // It was a slip of the key and is taken back: no news is worse than before.
    for told in [first, second] {
        let answer = take_back(&app, &court.resident, &court, id_of(&told)).await;
        assert_eq!(answer.status, 204);
    }
    assert_eq!(letters().await.len(), 2);
}
