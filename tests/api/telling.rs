//! It is in already: always recorded, late entries included.

use crate::frame::{App, Court, grams, weighed};
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn tell(app: &App, court: &Court, feeding: &Value) -> crate::frame::Answer {
    let path = court.bin_at("/feedings/told");
    app.post(&court.resident, &path, feeding).await
}

fn at(mut feeding: Value, fed_at: &str) -> Value {
    feeding["fed_at"] = json!(fed_at);
    feeding
}

fn codes(aftermath: &Value) -> Vec<&str> {
    let deeds = aftermath["deeds"].as_array().unwrap();
    deeds
        .iter()
        .map(|deed| deed["code"].as_str().unwrap())
        .collect()
}

async fn notices(app: &App, court: &Court) -> Value {
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let list = app.get(&caretaker, &court.at("/notices")).await.ok(200);
    list["items"].clone()
}

#[tokio::test]
async fn what_fits_is_recorded_without_a_fuss() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let room = app.room_g(&court).await;
    let mut feeding = weighed("apple-core", 0.1);
    feeding["bedding_kg"] = json!(0.05);
    let told = tell(&app, &court, &feeding).await.ok(201);
    let aftermath = &told["aftermath"];
    assert_eq!(aftermath["recorded_kg"], 0.1);
    assert_eq!(grams(&aftermath["room_before_kg"]), room);
    assert_eq!(aftermath["over_by_kg"], 0.0);
    assert_eq!(aftermath["caretaker_told"], false);
    assert_eq!(codes(aftermath), ["cover"]);
    let sentence = aftermath["sentence"].as_str().unwrap();
    assert!(sentence.contains(" oz is in the log"), "{sentence}");
    assert_eq!(notices(&app, &court).await, json!([]));

    let list = app.get(&court.resident, &court.bin_at("/feedings")).await;
    let list = list.ok(200);
    let feeding = &list["items"][0];
    assert_eq!(feeding["id"], told["id"]);
    assert_eq!(feeding["how"], "told");
    assert_eq!(feeding["bedding_kg"], 0.05);
    assert!(feeding["member_id"].is_string());
}

#[tokio::test]
async fn what_is_too_much_is_recorded_and_the_caretaker_hears_of_it() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let room = app.room_g(&court).await;
    let told = tell(&app, &court, &weighed("usual-mix", 1.0)).await.ok(201);
    let aftermath = &told["aftermath"];
    assert_eq!(aftermath["recorded_kg"], 1.0);
    assert_eq!(grams(&aftermath["over_by_kg"]), 1000 - room);
    assert_eq!(aftermath["caretaker_told"], true);
    let codes = codes(aftermath);
    assert_eq!(codes[0], "take_out_amount");
    assert_eq!(codes.last(), Some(&"feed_nothing_until"));
    assert_eq!(app.room_g(&court).await, 0);

    let notices = notices(&app, &court).await;
    assert_eq!(notices.as_array().unwrap().len(), 1);
    assert_eq!(notices[0]["kind"], "over_limit");
    assert_eq!(notices[0]["bin_id"], court.bin.to_string());

    // The promise is about what was allowed: nothing more is, now.
    let path = court.bin_at("/feedings");
    let answer = app
        .post(&court.resident, &path, &weighed("usual-mix", 0.01))
        .await;
    answer.problem(409, "feeding_refused");
}

#[tokio::test]
async fn what_never_goes_in_is_recorded_and_taken_out_again() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let told = tell(&app, &court, &weighed("cheese", 0.02)).await.ok(201);
    let aftermath = &told["aftermath"];
    assert_eq!(codes(aftermath)[0], "take_out_foods");
    assert_eq!(aftermath["deeds"][0]["foods"], json!(["cheese"]));
    assert_eq!(aftermath["over_by_kg"], 0.0);
    let notices = notices(&app, &court).await;
    assert_eq!(notices[0]["kind"], "never_food");
    let fed = app
        .rows("SELECT payload -> 'lines' AS lines FROM bin_events ORDER BY seq DESC LIMIT 1")
        .await;
    assert_eq!(fed[0]["lines"], json!([{ "food": "cheese", "amount": 20 }]));
}

/// The newest state of a bin.
async fn head(app: &App, bin: Uuid) -> Value {
    let rows = app
        .rows(&format!(
            "SELECT s.state, s.seq, b.next_seq FROM bins AS b
             JOIN bin_states AS s ON s.site_id = b.site_id AND s.event_id = b.head_event
             WHERE b.id = '{bin}'"
        ))
        .await;
    rows[0].clone()
}

/// Insists that two values are alike but for the rounding of sums.
#[track_caller]
fn alike(a: &Value, b: &Value) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let apart = (x.as_f64().unwrap() - y.as_f64().unwrap()).abs();
            assert!(apart <= 1e-9, "{x} and {y}");
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len());
            x.iter().zip(y).for_each(|(x, y)| alike(x, y));
        }
        (Value::Object(x), Value::Object(y)) => {
            assert_eq!(x.len(), y.len());
            x.iter().for_each(|(key, x)| alike(x, &y[key]));
        }
        _ => assert_eq!(a, b),
    }
}

/// Puts worms into a new bin on the first of May, and nothing else.
async fn stock_anew(app: &App, court: &mut Court) {
    court.bin = app.bin(&court.educator, court.site).await;
    let stocking = json!({
        "worms_kg": 0.7, "bedding_kg": 1.5, "stocked_at": "2026-05-01T10:00:00Z",
    });
    app.post(&court.educator, &court.bin_at("/stockings"), &stocking)
        .await
        .ok(201);
}

#[tokio::test]
async fn a_late_entry_gives_the_bin_that_entries_in_order_give() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    let feedings = [
        at(weighed("usual-mix", 0.3), "2026-05-12T08:30:00Z"),
        at(weighed("coffee-grounds", 0.15), "2026-05-19T19:00:00.25Z"),
        at(weighed("banana-peel", 0.4), "2026-05-19T19:00:00.25Z"),
        at(weighed("orange-peel", 0.05), "2026-06-01T12:00:00Z"),
        at(weighed("apple-core", 0.9), "2026-06-09T23:59:59.999999Z"),
    ];
    let mut heads = Vec::new();
    for order in [
        [0, 1, 2, 3, 4],
        [4, 3, 2, 1, 0],
        [2, 4, 0, 3, 1],
        [0, 4, 1, 2, 3],
    ] {
        stock_anew(&app, &mut court).await;
        for index in order {
            let mut feeding = feedings[index].clone();
            feeding["bedding_kg"] = json!([0.0, 0.1, 0.0, 0.02, 0.3][index]);
            tell(&app, &court, &feeding).await.ok(201);
        }
        let head = head(&app, court.bin).await;
        assert_eq!(head["state"]["at"], "2026-06-09T23:59:59.999999Z");
        assert_eq!(head["next_seq"], 7);
        let states = app
            .rows(&format!(
                "SELECT 1 FROM bin_states WHERE bin_id = '{}'",
                court.bin
            ))
            .await;
        assert_eq!(states.len(), 6);
        heads.push((order, head, app.room_g(&court).await));
    }
    let (_, first, room) = &heads[0];
    let uneaten = first["state"]["uneaten"].as_array().unwrap();
    assert!(uneaten.iter().any(|run| run.as_f64().unwrap() > 0.5));
    for (order, head, its_room) in &heads {
        println!("{order:?}");
        alike(&head["state"], &first["state"]);
        assert_eq!(its_room, room);
    }
}

#[tokio::test]
async fn a_late_entry_changes_what_is_known_and_not_what_was_said() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    stock_anew(&app, &mut court).await;
    let path = court.bin_at("/feedings");
    for (day, kg) in [("2026-06-02", 0.1), ("2026-06-06", 0.15)] {
        app.set_clock(&format!("{day}T15:00:00Z")).await;
        let answer = app
            .post(&court.resident, &path, &weighed("usual-mix", kg))
            .await;
        answer.ok(201);
    }
    app.set_clock(crate::frame::NOON_IN_JUNE).await;
    let answer = app
        .post(&court.resident, &path, &weighed("usual-mix", 2.0))
        .await;
    answer.problem(409, "feeding_refused");
    let decisions = "SELECT * FROM decisions WHERE deed = 'put_in' ORDER BY id";
    let events = format!(
        "SELECT * FROM bin_events WHERE bin_id = '{}' AND seq <= 3 ORDER BY seq",
        court.bin
    );
    let said = (app.rows(decisions).await, app.rows(&events).await);
    assert_eq!((said.0.len(), said.1.len()), (3, 3));
    let room = app.room_g(&court).await;
    let seen = head(&app, court.bin).await;

    let late = at(weighed("usual-mix", 0.2), "2026-06-04T15:00:00Z");
    let told = tell(&app, &court, &late).await.ok(201);
    assert_eq!(told["aftermath"]["recorded_kg"], 0.2);
    assert!(app.room_g(&court).await < room);
    assert_eq!(said, (app.rows(decisions).await, app.rows(&events).await));
    let now = head(&app, court.bin).await;
    assert_eq!(
        now["seq"], seen["seq"],
        "the newest meal is still the newest"
    );
    assert_ne!(now["state"], seen["state"]);
    assert_eq!(now["next_seq"], 5);
}

#[tokio::test]
async fn times_that_cannot_be_are_named_and_nothing_is_written() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    let before = app.contents().await;
    for fed_at in [
        "2026-06-10T17:10:00Z",
        "2036-06-10T17:00:00Z",
        "9999-12-31T23:59:59Z",
        // The bin was stocked on 6 May.
        "2026-05-06T16:00:00Z",
        "1970-01-01T00:00:00Z",
        "0000-01-01T00:00:00Z",
    ] {
        let answer = tell(&app, &court, &at(weighed("usual-mix", 0.1), fed_at)).await;
        assert_eq!(answer.status, 409, "{fed_at}: {}", answer.text);
        answer.conflicting_fields(&["/fed_at"]);
    }
    for fed_at in [
        "yesterday",
        "2026-06-10",
        "2026-06-10T10:00:00",
        "2026-02-30T10:00:00Z",
        "",
    ] {
        let answer = tell(&app, &court, &at(weighed("usual-mix", 0.1), fed_at)).await;
        assert_eq!(answer.status, 422, "{fed_at}: {}", answer.text);
        answer.wrong_fields(&["/fed_at"]);
    }
    for fed_at in [json!(1_781_110_800), json!(true), json!(["2026-06-10"])] {
        let mut feeding = weighed("usual-mix", 0.1);
        feeding["fed_at"] = fed_at;
        let answer = tell(&app, &court, &feeding).await;
        assert!(answer.text.contains("/fed_at"), "{}", answer.text);
        answer.problem(422, "invalid_fields");
    }
    assert_eq!(app.contents().await, before);

    // An old bin: what went in months ago is eaten or found.
    court.bin = app.bin(&court.educator, court.site).await;
    let stocking = json!({ "worms_kg": 0.7, "stocked_at": "2026-01-01T10:00:00Z" });
    app.post(&court.educator, &court.bin_at("/stockings"), &stocking)
        .await
        .ok(201);
    let feeding = |fed_at| at(weighed("usual-mix", 0.1), fed_at);
    let answer = tell(&app, &court, &feeding("2026-04-11T16:59:59Z")).await;
    answer.conflicting_fields(&["/fed_at"]);
    let answer = tell(&app, &court, &feeding("2026-04-11T17:05:00Z")).await;
    answer.ok(201);
}

#[tokio::test]
async fn a_clock_that_is_a_little_ahead_means_now() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let feeding = at(weighed("usual-mix", 0.1), "2026-06-10T17:04:00Z");
    tell(&app, &court, &feeding).await.ok(201);
    let list = app.get(&court.resident, &court.bin_at("/feedings")).await;
    let list = list.ok(200);
    let fed_at = list["items"][0]["fed_at"].as_str().unwrap();
    assert!(fed_at < "2026-06-10T17:02", "{fed_at}");
    assert_eq!(list["items"][0]["recorded_at"], fed_at);
    app.room_g(&court).await;
}

#[tokio::test]
async fn a_time_finer_than_is_kept_or_of_another_zone_is_the_same_time() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    court.bin = app.bin(&court.educator, court.site).await;
    let stocking = json!({ "worms_kg": 0.7, "stocked_at": "2026-05-01T10:00:00.123456789Z" });
    app.post(&court.educator, &court.bin_at("/stockings"), &stocking)
        .await
        .ok(201);
    for fed_at in [
        "2026-06-09T10:00:00.123456789+02:00",
        // When the bin was stocked, as the service says it.
        "2026-05-01T10:00:00.123456Z",
        "2026-06-03T10:00:00.123456789+02:00",
        "2026-06-03T08:00:00.123456Z",
        "2026-06-02T23:59:60Z",
    ] {
        tell(&app, &court, &at(weighed("usual-mix", 0.01), fed_at))
            .await
            .ok(201);
    }
    let list = app.get(&court.resident, &court.bin_at("/feedings")).await;
    let list = list.ok(200);
    let time = |i: usize| list["items"][i]["fed_at"].as_str().unwrap();
    assert_eq!(time(0), "2026-06-09T08:00:00.123456Z");
    assert_eq!(time(1), "2026-06-03T08:00:00.123456Z");
    assert_eq!(time(2), "2026-06-03T08:00:00.123456Z");
    // Every state says the time of its entry.
    let apart = app
        .rows(
            "SELECT occurred_at, state ->> 'at' AS at FROM bin_states
             WHERE (state ->> 'at')::timestamptz <> occurred_at",
        )
        .await;
    assert_eq!(apart, Vec::<Value>::new());
    let exact = app
        .rows("SELECT state ->> 'at' AS at FROM bin_states WHERE state ->> 'at' LIKE '%123456789%'")
        .await;
    assert_eq!(exact, Vec::<Value>::new());
    app.room_g(&court).await;
}
