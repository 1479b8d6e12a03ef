//! Tending the bed, and beds of another shape.

use super::{facts, head, hungry_bin, leaves, room, spine, take_back, tell};
use crate::frame::{App, id_of};
use serde_json::json;

#[tokio::test]
async fn bedding_goes_in_without_food() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = head(&app, court.bin).await["bedding"].as_f64().unwrap();
    let path = court.bin_at("/beddings");
    let answer = app
        .post(&court.resident, &path, &json!({ "dry_kg": 0.25 }))
        .await;
    let added = answer.ok(201);
    let last = spine(&app, court.bin).await.pop().unwrap();
    assert_eq!(last["id"], added["id"]);
    assert_eq!(last["payload"], json!({ "kind": "bedded", "dry": 250 }));
    let after = head(&app, court.bin).await["bedding"].as_f64().unwrap();
    // Half of it is used up in 60 days, and the last meal was yesterday.
    let left = before * 0.5_f64.powf(1.0 / 60.0);
    assert!((after - left - 0.25).abs() < 0.001, "{left} {after}");
    for wrong in [
        json!(0),
        json!(-1),
        json!(10.001),
        json!("much"),
        json!(0.0001),
    ] {
        let answer = app
            .post(&court.resident, &path, &json!({ "dry_kg": wrong }))
            .await;
        answer.wrong_fields(&["/dry_kg"]);
    }
}

#[tokio::test]
async fn food_that_is_taken_out_again_makes_room() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let room = app.room_g(&court).await;
    tell(&app, &court, 1.0).await;
    assert_eq!(app.room_g(&court).await, 0);
    let path = court.bin_at("/removals");
    let removal = json!({ "amount_kg": 0.9 });
    let taken = app.post(&court.resident, &path, &removal).await.ok(201);
    assert!((app.room_g(&court).await - (room - 100)).abs() <= 1);
    for wrong in [json!(0), json!(-0.1), json!(50.001), json!(null)] {
        let answer = app
            .post(&court.resident, &path, &json!({ "amount_kg": wrong }))
            .await;
        answer.wrong_fields(&["/amount_kg"]);
    }
    let answer = take_back(&app, &court.resident, &court, id_of(&taken)).await;
    assert_eq!(answer.status, 204);
    assert_eq!(app.room_g(&court).await, 0);
}

#[tokio::test]
async fn a_side_has_its_share_of_depth_and_area() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let bin = hungry_bin(&app, &court).await;
    let whole = room(&app, &bin).await;
    let path = bin.bin_at("/sides");
    let answer = app
        .post(&court.resident, &path, &json!({ "share": 0.5 }))
        .await;
    answer.ok(201);
    assert_eq!(facts(&app, &bin).await["fed_share"], 0.5);
    let half = room(&app, &bin).await;
    // 4.9 kg/m2 a week and 5 cm over a quarter of 0.1625 m2 at 0.455 kg/L.
    assert_eq!(leaves(&whole, "area"), Some(796));
    assert_eq!(leaves(&half, "area"), Some(398));
    assert_eq!(leaves(&whole, "depth"), Some(924));
    assert_eq!(leaves(&half, "depth"), Some(462));
    assert_eq!(leaves(&half, "ramp"), leaves(&whole, "ramp"));
    for wrong in [json!(0.09), json!(1.01), json!(-0.5), json!("left")] {
        let answer = app
            .post(&court.resident, &path, &json!({ "share": wrong }))
            .await;
        answer.wrong_fields(&["/share"]);
    }
    let answer = app
        .post(&court.resident, &path, &json!({ "share": 1 }))
        .await;
    answer.ok(201);
    assert_eq!(leaves(&room(&app, &bin).await, "area"), Some(796));
}
