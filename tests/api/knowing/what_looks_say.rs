//! What a look has to say, and when one is due.

use super::{beside, check, facts, hungry_bin, spine, tell, wait};
use crate::frame::App;
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::json;

#[tokio::test]
async fn a_look_has_to_say_something_that_can_be() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let now = app.now().await;
    let at = |at: DateTime<Utc>| json!({ "smell": "earthy", "checked_at": at });
    let before = spine(&app, court.bin).await;
    for (seen, pointer) in [
        (json!({}), ""),
        (json!({ "by_visitor": true }), ""),
        (json!({ "visitors": [], "checked_at": now }), ""),
        (json!({ "left": "some" }), "/left"),
        (json!({ "smell": 3 }), "/smell"),
        (json!({ "visitors": ["lions"] }), "/visitors/0"),
        (json!({ "visitors": vec!["ants"; 7] }), "/visitors"),
        (json!({ "weight": 3 }), "/weight"),
    ] {
        let answer = check(&app, &court.resident, &court, &seen).await;
        answer.wrong_fields(&[pointer]);
    }
    for seen in [at(now - TimeDelta::days(8)), at(now + TimeDelta::hours(1))] {
        let answer = check(&app, &court.resident, &court, &seen).await;
        answer.conflicting_fields(&["/checked_at"]);
    }
    let young = app.bin(&court.educator, court.site).await;
    let young = beside(&court, young);
    let look = json!({ "smell": "earthy" });
    check(&app, &court.resident, &young, &look)
        .await
        .problem(409, "bin_not_stocked");
    let stocking = json!({ "worms_kg": 0.5 });
    app.post(&court.educator, &young.bin_at("/stockings"), &stocking)
        .await
        .ok(201);
    check(
        &app,
        &court.resident,
        &young,
        &at(now - TimeDelta::hours(1)),
    )
    .await
    .conflicting_fields(&["/checked_at"]);
    assert_eq!(spine(&app, court.bin).await, before);
}

#[tokio::test]
async fn a_look_told_late_counts_when_it_was() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let now = app.now().await;
    wait(&app, TimeDelta::days(2)).await;
    let clear = json!({ "smell": "earthy", "left": "none" });
    check(&app, &court.resident, &court, &clear).await.ok(201);
    // Yesterday it smelt: the clear look of today came after that.
    let sour = json!({ "smell": "sour", "checked_at": now + TimeDelta::days(1) });
    let seen = check(&app, &court.resident, &court, &sour).await.ok(201);
    assert_eq!(seen["gate"], "half");
    assert_eq!(facts(&app, &court).await["gate"], "half");
}

#[tokio::test]
async fn a_check_falls_due_after_a_meal_and_is_done_with_a_look() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let bin = hungry_bin(&app, &court).await;
    assert_eq!(facts(&app, &bin).await["check_due_at"], json!(null));
    tell(&app, &bin, 0.4).await;
    let now = app.now().await;
    let due = facts(&app, &bin).await["check_due_at"].clone();
    let due: DateTime<Utc> = due.as_str().unwrap().parse().unwrap();
    assert!(due > now + TimeDelta::days(1), "{due}");
    assert!(due < now + TimeDelta::days(7), "{due}");
    app.set_clock(&due.to_rfc3339()).await;
    let seen = json!({ "left": "little" });
    check(&app, &court.resident, &bin, &seen).await.ok(201);
    assert_eq!(facts(&app, &bin).await["check_due_at"], json!(null));
}
