//! Measured values: which count, in what order they come, and how many.

use super::{head, hungry_bin, measure, room, spine};
use crate::frame::App;
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::{Value, json};

#[tokio::test]
async fn values_that_cannot_be_true_change_nothing_and_are_said() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let (entries, state) = (spine(&app, court.bin).await, head(&app, court.bin).await);
    let bed = room(&app, &court).await["bed"].clone();
    let now = app.now().await;
    let mut values = json!([
        { "quantity": "bed_c", "value": 85 },
        { "quantity": "bed_c", "value": -127 },
        { "quantity": "bed_c", "value": 300 },
        { "quantity": "bed_moisture", "value": 78 },
        { "quantity": "air_c", "value": 38.5 },
    ]);
    for (minutes, value) in (1..).zip(values.as_array_mut().unwrap()) {
        value["measured_at"] = json!(now - TimeDelta::minutes(minutes));
    }
    let taken = measure(&app, &court, &values).await.ok(201);
    assert_eq!(taken["kept"], 5);
    let reasons = json!([
        { "index": 0, "reason": "power_on_value" },
        { "index": 1, "reason": "no_probe" },
        { "index": 2, "reason": "impossible" },
        { "index": 3, "reason": "impossible" },
        { "index": 4, "reason": "not_the_bed" },
    ]);
    assert_eq!(taken["set_aside"], reasons);
    assert_eq!(spine(&app, court.bin).await, entries);
    assert_eq!(head(&app, court.bin).await, state);
    assert_eq!(room(&app, &court).await["bed"], bed);

    let list = app.get(&court.resident, &court.bin_at("/readings")).await;
    let list = list.ok(200)["items"].as_array().unwrap().clone();
    let said: Vec<&str> = list
        .iter()
        .map(|reading| reading["set_aside"].as_str().unwrap())
        .collect();
    assert_eq!(
        said,
        [
            "power_on_value",
            "no_probe",
            "impossible",
            "impossible",
            "not_the_bed"
        ],
        "newest first"
    );
    assert_eq!(list[0]["value"], 85.0);
}

#[tokio::test]
async fn values_come_late_in_any_order_and_twice() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let twin = hungry_bin(&app, &court).await;
    let bin = hungry_bin(&app, &court).await;
    let now = app.now().await;
    let value = |hours: i64, quantity: &str, value: f64| {
        json!({
            "quantity": quantity, "value": value,
            "measured_at": now - TimeDelta::hours(hours),
        })
    };
    let values = [
        value(30, "bed_c", 17.0),
        value(20, "bed_c", 31.5),
        value(19, "bed_moisture", 0.66),
        value(8, "bed_c", 26.0),
        value(2, "bed_c", 21.5),
    ];
    // One by one as they came, and in two heaps, the later one first.
    for value in &values {
        let taken = measure(&app, &twin, &json!([value])).await.ok(201);
        assert_eq!((&taken["kept"], &taken["repeated"]), (&json!(1), &json!(0)));
    }
    let [first, heat, damp, fourth, newest] = &values;
    let taken = measure(&app, &bin, &json!([newest, damp])).await.ok(201);
    assert_eq!(taken["kept"], 2);
    let taken = measure(&app, &bin, &json!([fourth, first, newest, heat, damp]))
        .await
        .ok(201);
    assert_eq!((&taken["kept"], &taken["repeated"]), (&json!(3), &json!(2)));
    let taken = measure(&app, &bin, &json!([heat])).await.ok(201);
    assert_eq!((&taken["kept"], &taken["repeated"]), (&json!(0), &json!(1)));

    let told = |entries: Vec<Value>| -> Vec<(Value, Value)> {
        let entries = entries.into_iter().skip(1);
        entries
            .map(|entry| (entry["occurred_at"].clone(), entry["payload"].clone()))
            .collect()
    };
    let (in_order, shuffled) = (spine(&app, twin.bin).await, spine(&app, bin.bin).await);
    assert_eq!(in_order.len(), 6);
    assert_eq!(told(in_order), told(shuffled));
    // The heat of yesterday is over.
    let now = room(&app, &bin).await;
    assert_ne!(now["bound_by"], "too_hot");
    assert_eq!(now["bed"]["temperature_c"], 21.5);
    assert_eq!(head(&app, bin.bin).await["moisture"], 0.66);
    crate::spine::assert_alike(
        &head(&app, twin.bin).await,
        &head(&app, bin.bin).await,
        1e-9,
    );
}

#[tokio::test]
async fn a_heap_of_values_is_thinned_to_what_is_news() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let bin = hungry_bin(&app, &court).await;
    let now = app.now().await;
    let values: Vec<Value> = (0..500)
        .map(|i| {
            let at = now - TimeDelta::minutes(2 * i + 1);
            json!({ "quantity": "bed_c", "value": 20.0, "measured_at": at })
        })
        .collect();
    let taken = measure(&app, &bin, &json!(values)).await.ok(201);
    assert_eq!(taken["kept"], 500);
    // 998 minutes are more than half a day and less than a whole one.
    assert_eq!(spine(&app, bin.bin).await.len(), 1 + 2);

    let mut too_many = values;
    too_many.push(json!({ "quantity": "bed_c", "value": 20 }));
    let answer = measure(&app, &bin, &json!(too_many)).await;
    answer.wrong_fields(&["/values"]);
    let mut seen = 0;
    let mut path = bin.bin_at("/readings?limit=100");
    loop {
        let page = app.get(&court.resident, &path).await.ok(200);
        seen += page["items"].as_array().unwrap().len();
        match page["next_cursor"].as_str() {
            Some(cursor) => path = bin.bin_at(&format!("/readings?limit=100&cursor={cursor}")),
            None => break,
        }
    }
    assert_eq!(seen, 500);
}

#[tokio::test]
async fn values_have_to_be_ones_that_somebody_can_have_measured() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let now = app.now().await;
    let at = |at: DateTime<Utc>| json!([{ "quantity": "bed_c", "value": 20, "measured_at": at }]);
    for (values, pointer) in [
        (json!([]), "/values"),
        (
            json!([{ "quantity": "weight", "value": 1 }]),
            "/values/0/quantity",
        ),
        (json!([{ "quantity": "bed_c" }]), "/values/0/value"),
        (
            json!([{ "quantity": "bed_c", "value": "20" }]),
            "/values/0/value",
        ),
        (
            json!([{ "quantity": "bed_c", "value": 1001 }]),
            "/values/0/value",
        ),
        (
            json!([{ "quantity": "bed_c", "value": -1e300 }]),
            "/values/0/value",
        ),
    ] {
        let answer = measure(&app, &court, &values).await;
        answer.wrong_fields(&[pointer]);
    }
    for values in [
        at(now - TimeDelta::days(61)),
        at(now - TimeDelta::days(36)),
        at(now + TimeDelta::minutes(6)),
    ] {
        let answer = measure(&app, &court, &values).await;
        answer.conflicting_fields(&["/values/0/measured_at"]);
    }
    assert_eq!(
        app.rows("SELECT id FROM readings").await,
        Vec::<Value>::new()
    );
    // A clock may be a little ahead; nothing happens in the future, though.
    measure(&app, &court, &at(now + TimeDelta::minutes(4)))
        .await
        .ok(201);
    let stored = app
        .rows("SELECT measured_at <= recorded_at AS past FROM readings")
        .await;
    assert_eq!(stored, [json!({ "past": true })]);
}
