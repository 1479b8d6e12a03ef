//! What looks into a bin teach, and what they hold up.

use super::{
    band, beside, check, facts, feed, head, leaves, median, notices, room, spine, take_back, tell,
    wait,
};
use crate::frame::{App, Court, grams, id_of};
use chrono::TimeDelta;
use serde_json::{Value, json};
use wormrota_domain::access::Role;

#[tokio::test]
async fn a_bin_is_known_better_with_every_look() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let unknown = facts(&app, &court).await;
    assert_eq!(unknown["sureness"], "handbook");
    assert_eq!(unknown["lessons"], 0);
    assert_eq!(unknown["handbook_speed"], 0.265);
    assert_eq!(unknown["against_handbook"], 1.0);
    assert_eq!(unknown["last_check_at"], json!(null));
    let mut widths = vec![band(&unknown)];
    for lesson in 1..=6 {
        tell(&app, &court, 0.6).await;
        wait(&app, TimeDelta::days(4)).await;
        let seen = json!({ "left": "half", "smell": "earthy" });
        check(&app, &court.resident, &court, &seen).await.ok(201);
        let facts = facts(&app, &court).await;
        assert_eq!(facts["lessons"], lesson);
        assert!(facts["last_check_at"].is_string());
        widths.push(band(&facts));
        wait(&app, TimeDelta::days(3)).await;
    }
    assert!(widths[1] < 0.8 * widths[0], "{widths:?}");
    assert!(widths[6] < 0.5 * widths[0], "{widths:?}");
    let known = facts(&app, &court).await;
    assert!(
        ["fair", "good"].contains(&known["sureness"].as_str().unwrap()),
        "{known}"
    );
}

#[tokio::test]
async fn an_empty_bin_is_judged_fast_and_a_full_one_slow() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = beside(&court, app.stocked_bin(&court.educator, court.site).await);
    for court in [&court, &other] {
        tell(&app, court, 0.9).await;
    }
    wait(&app, TimeDelta::days(4)).await;
    let before = facts(&app, &court).await;
    let look = async |court: &Court, left: &str| {
        let seen = json!({ "left": left });
        let answer = check(&app, &court.resident, court, &seen).await.ok(201);
        assert_eq!(answer["gate"], "open");
        assert_eq!(answer["found_kg"], json!(null));
        (facts(&app, court).await, grams(&answer["room_kg"]))
    };
    let (fast, fast_room) = look(&court, "none").await;
    let (slow, slow_room) = look(&other, "most").await;
    assert!(median(&fast) > 1.1 * median(&before), "{fast}");
    assert!(median(&slow) < 0.9 * median(&before), "{slow}");
    assert_eq!(
        (&fast["sureness"], &slow["sureness"]),
        (&json!("rough"), &json!("rough"))
    );
    assert!(fast["against_handbook"].as_f64().unwrap() > 1.1, "{fast}");
    assert!(slow["against_handbook"].as_f64().unwrap() < 0.9, "{slow}");
    assert!(fast_room > slow_room, "{fast_room} {slow_room}");
    assert_eq!(fast_room, app.room_g(&court).await);
}

#[tokio::test]
async fn a_bin_that_smells_sour_rests_and_the_caretaker_hears_of_it() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let sour = json!({ "smell": "sour", "visitors": ["mites"] });
    let seen = check(&app, &court.resident, &court, &sour).await.ok(201);
    assert_eq!(seen["gate"], "held");
    assert_eq!(seen["room_kg"], 0.0);
    let sentence = seen["sentence"].as_str().unwrap();
    assert!(
        sentence.contains("rests because of a sour smell"),
        "{sentence}"
    );

    let decision = feed(&app, &court, 0.05)
        .await
        .problem(409, "feeding_refused")["decision"]
        .clone();
    assert_eq!(decision["reasons"][0]["code"], "signs");
    assert_eq!(decision["reasons"][0]["sign"], "sour_smell");
    let room = room(&app, &court).await;
    assert_eq!(room["bound_by"], "signs");
    assert_eq!(room["room_kg"], 0.0);
    let facts = facts(&app, &court).await;
    assert_eq!(facts["gate"], "held");
    assert_eq!(facts["check_due_at"], facts["last_check_at"]);

    let put_up = notices(&app, &court).await;
    assert_eq!(put_up.len(), 1);
    assert_eq!(put_up[0]["kind"], "bin_rests");
    assert_eq!(put_up[0]["event_id"], seen["id"]);
    // It rests already: that is no news.
    check(&app, &court.resident, &court, &sour).await.ok(201);
    assert_eq!(notices(&app, &court).await.len(), 1);
}

#[tokio::test]
async fn a_caretaker_who_sees_it_themselves_needs_no_notice() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let seen = check(&app, &caretaker, &court, &json!({ "smell": "ammonia" })).await;
    assert_eq!(seen.ok(201)["gate"], "held");
    assert_eq!(notices(&app, &court).await, Vec::<Value>::new());
}

#[tokio::test]
async fn food_left_after_a_week_is_a_sign_and_before_that_it_is_none() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    tell(&app, &court, 0.5).await;
    wait(&app, TimeDelta::days(6)).await;
    let most = json!({ "left": "most" });
    let seen = check(&app, &court.resident, &court, &most).await.ok(201);
    assert_eq!(seen["gate"], "open");
    wait(&app, TimeDelta::days(1)).await;
    let seen = check(&app, &court.resident, &court, &most).await.ok(201);
    assert_eq!(seen["gate"], "held");
    let decision = &feed(&app, &court, 0.05)
        .await
        .problem(409, "feeding_refused")["decision"];
    assert_eq!(decision["reasons"][0]["sign"], "old_food");
}

#[tokio::test]
async fn a_visitor_never_holds_a_bin() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let sour = json!({ "smell": "sour", "dampness": "wet", "by_visitor": true });
    let seen = check(&app, &court.resident, &court, &sour).await.ok(201);
    assert_eq!(seen["gate"], "open");
    assert!(grams(&seen["room_kg"]) > 100, "{seen}");
    assert_eq!(notices(&app, &court).await, Vec::<Value>::new());
    feed(&app, &court, 0.05).await.ok(201);
    // What they saw of the bed counts all the same.
    assert_eq!(head(&app, court.bin).await["moisture"], 0.88);
}

#[tokio::test]
async fn a_held_bin_that_nobody_looks_into_takes_a_handful_after_a_week() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let sour = json!({ "smell": "sour" });
    check(&app, &court.resident, &court, &sour).await.ok(201);
    wait(&app, TimeDelta::days(7) - TimeDelta::minutes(5)).await;
    assert_eq!(room(&app, &court).await["bound_by"], "signs");
    wait(&app, TimeDelta::minutes(6)).await;
    let now = room(&app, &court).await;
    assert_eq!(now["bound_by"], "handful");
    assert_eq!(now["room_kg"], 0.075);

    let decision = &feed(&app, &court, 0.2)
        .await
        .problem(409, "feeding_refused")["decision"];
    assert_eq!(decision["reasons"][0]["code"], "handful");
    feed(&app, &court, 0.05).await.ok(201);
    assert_eq!(app.room_g(&court).await, 25);
    wait(&app, TimeDelta::days(3)).await;
    assert_eq!(app.room_g(&court).await, 75);
    // The bin still waits for somebody to look.
    let facts = facts(&app, &court).await;
    assert_eq!(facts["gate"], "held");
    assert!(facts["check_due_at"].is_string());
}

#[tokio::test]
async fn a_held_bin_comes_back_by_half_and_then_in_full() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let sour = json!({ "smell": "sour" });
    let clear = json!({ "smell": "earthy", "left": "none" });
    check(&app, &court.resident, &court, &sour).await.ok(201);
    wait(&app, TimeDelta::days(2)).await;
    // A look that says too little opens nothing.
    for vague in [json!({ "left": "none" }), json!({ "smell": "earthy" })] {
        let seen = check(&app, &court.resident, &court, &vague).await.ok(201);
        assert_eq!(seen["gate"], "held");
    }
    let visitor = json!({ "smell": "earthy", "left": "none", "by_visitor": true });
    let seen = check(&app, &court.resident, &court, &visitor).await.ok(201);
    assert_eq!(seen["gate"], "held", "nor does a visitor's word");

    let seen = check(&app, &court.resident, &court, &clear).await.ok(201);
    assert_eq!(seen["gate"], "half");
    let sentence = seen["sentence"].as_str().unwrap();
    assert!(sentence.contains("by half"), "{sentence}");
    let half = leaves(&room(&app, &court).await, "resuming").unwrap();
    assert!(half > 0);

    wait(&app, TimeDelta::days(3) - TimeDelta::minutes(5)).await;
    let seen = check(&app, &court.resident, &court, &clear).await.ok(201);
    assert_eq!(seen["gate"], "half");
    wait(&app, TimeDelta::minutes(6)).await;
    let by_half = leaves(&room(&app, &court).await, "resuming").unwrap();
    let seen = check(&app, &court.resident, &court, &clear).await.ok(201);
    assert_eq!(seen["gate"], "open");
    let sentence = seen["sentence"].as_str().unwrap();
    assert!(sentence.contains("in full again"), "{sentence}");
    let now = room(&app, &court).await;
    assert_eq!(leaves(&now, "resuming"), None);
    let full = leaves(&now, "eating").unwrap();
    assert!(full >= 2 * by_half, "{full} after {by_half}");
    assert_eq!(facts(&app, &court).await["gate"], "open");
}

#[tokio::test]
async fn food_that_nobody_logged_is_found_and_the_bin_is_not_called_slow() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    tell(&app, &court, 0.3).await;
    wait(&app, TimeDelta::days(6)).await;
    let before = app.room_g(&court).await;
    let seen = json!({ "left": "all", "unlogged": true, "smell": "earthy" });
    let seen = check(&app, &court.resident, &court, &seen).await.ok(201);
    let found = grams(&seen["found_kg"]);
    assert!((100..=300).contains(&found), "{seen}");
    let sentence = seen["sentence"].as_str().unwrap();
    assert!(sentence.contains("that nobody had logged"), "{sentence}");
    assert!(app.room_g(&court).await <= before - found / 2);
    let known = facts(&app, &court).await;
    assert!(median(&known) > 0.9 * 0.265, "{known}");

    let last = spine(&app, court.bin).await.pop().unwrap();
    assert_eq!(last["kind"], "found");
    assert_eq!(last["payload"]["amount"], found);
    assert_eq!(last["member_id"], json!(null));

    // Whoever saw it can take it back, and then nothing was found.
    let answer = take_back(&app, &court.resident, &court, id_of(&seen)).await;
    assert_eq!(answer.status, 204, "{}", answer.text);
    let counted: Vec<Value> = app
        .rows(&format!(
            "SELECT kind FROM bin_events AS e WHERE bin_id = '{}' AND kind <> 'withdrawn'
             AND NOT EXISTS (SELECT FROM bin_events AS c WHERE c.supersedes = e.id)
             ORDER BY seq DESC LIMIT 1",
            court.bin
        ))
        .await;
    assert_eq!(counted[0]["kind"], "fed");
    assert_eq!(facts(&app, &court).await["lessons"], 0);
    assert!((app.room_g(&court).await - before).abs() <= 1);
}
