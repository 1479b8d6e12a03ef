use crate::frame::{App, grams};
use serde_json::json;
use wormrota_domain::access::Role;

/// Guards the advice from which patterns are made: it follows the bin, the number of people,
/// and the units of the site, and its rule is one that a pattern takes.
#[tokio::test]
async fn a_bin_says_how_often_it_wants_to_be_fed() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = court.bin_at("/rhythm");
    let seen = app.get(&court.resident, &path).await.ok(200);
    assert_eq!(seen["people"], 1);
    let rhythm = &seen["rhythm"];
    assert_eq!(rhythm["every_days"], 7);
    assert_eq!(rhythm["rule"], "FREQ=WEEKLY");
    assert_eq!(rhythm["turns_in_four_weeks"], 4.0);
    assert_eq!(rhythm["turns_for_each"], 4.0);
    assert!(rhythm["each"].as_str().unwrap().contains("cup"), "{rhythm}");
    assert!(grams(&rhythm["each_kg"]) <= grams(&rhythm["at_once_kg"]));
    assert!(grams(&rhythm["each_kg"]) <= grams(&rhythm["weekly_kg"]));

    for _ in 0..8 {
        app.member(court.site, Role::Resident).await;
    }
    let seen = app.get(&court.resident, &path).await.ok(200);
    assert_eq!(seen["people"], 9);
    let rhythm = &seen["rhythm"];
    assert_eq!(rhythm["every_days"], 3);
    assert_eq!(rhythm["turns_for_each"], 1.0);
    let new = json!({
        "bin_id": court.bin, "rule": rhythm["rule"], "first_day": "2026-06-11",
        "last_day": "2026-07-08", "places": 1, "effort": 1,
    });
    let made = app
        .post(&court.educator, &court.at("/patterns"), &new)
        .await;
    assert_eq!(made.ok(201)["turns_made"], 10);
}

/// Guards young bins and bins that rest against plans for well ones.
#[tokio::test]
async fn a_bin_that_is_young_or_rests_says_so() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let young = app.bin(&court.educator, court.site).await;
    let at = |rest: &str| court.at(&format!("/bins/{young}{rest}"));
    app.get(&court.resident, &at("/rhythm"))
        .await
        .problem(409, "bin_not_stocked");
    let stocking = json!({ "worms_kg": 0.8, "bedding_kg": 1.5 });
    app.post(&court.educator, &at("/stockings"), &stocking)
        .await
        .ok(201);
    let seen = app.get(&court.resident, &at("/rhythm")).await.ok(200);
    assert_eq!(seen["rhythm"]["weekly_by"], "ramp");
    assert_eq!(seen["wait_for"], json!(null));
    let look = json!({ "smell": "sour" });
    app.post(&court.resident, &court.bin_at("/checks"), &look)
        .await
        .ok(201);
    let seen = app
        .get(&court.resident, &court.bin_at("/rhythm"))
        .await
        .ok(200);
    assert_eq!(seen["wait_for"], "signs");
    assert_eq!(seen["rhythm"], json!(null));
}
