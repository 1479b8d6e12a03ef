//! Knowing a bin: what people see, what is measured, how the bed is tended, and entries
//! taken back.

use crate::frame::{Answer, App, Court, NOON_IN_JUNE, Person, grams, id_of, weighed};
use chrono::{DateTime, TimeDelta, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn check(app: &App, who: &Person, court: &Court, seen: &Value) -> Answer {
    app.post(who, &court.bin_at("/checks"), seen).await
}

async fn facts(app: &App, court: &Court) -> Value {
    let facts = app.get(&court.resident, &court.bin_at("/facts")).await;
    facts.ok(200)
}

async fn room(app: &App, court: &Court) -> Value {
    let room = app.get(&court.resident, &court.bin_at("/room")).await;
    room.ok(200)
}

async fn tell(app: &App, court: &Court, kg: f64) -> Value {
    let path = court.bin_at("/feedings/told");
    let told = app
        .post(&court.resident, &path, &weighed("usual-mix", kg))
        .await;
    told.ok(201)
}

async fn feed(app: &App, court: &Court, kg: f64) -> Answer {
    let path = court.bin_at("/feedings");
    let offer = weighed("usual-mix", kg);
    app.post(&court.resident, &path, &offer).await
}

async fn measure(app: &App, court: &Court, values: &Value) -> Answer {
    let body = json!({ "values": values });
    app.post(&court.resident, &court.bin_at("/readings"), &body)
        .await
}

async fn take_back(app: &App, who: &Person, court: &Court, entry: Uuid) -> Answer {
    let path = court.bin_at(&format!("/entries/{entry}"));
    app.ask(Method::DELETE, &path).by(who).send().await
}

async fn notices(app: &App, court: &Court) -> Vec<Value> {
    let list = app.get(&court.educator, &court.at("/notices")).await;
    list.ok(200)["items"].as_array().unwrap().clone()
}

/// The entries on a bin's spine, in its order.
async fn spine(app: &App, bin: Uuid) -> Vec<Value> {
    let query = format!(
        "SELECT id, kind, occurred_at, member_id, supersedes, payload FROM bin_events
         WHERE bin_id = '{bin}' ORDER BY occurred_at, seq"
    );
    app.rows(&query).await
}

/// The newest state of a bin.
async fn head(app: &App, bin: Uuid) -> Value {
    let query = format!(
        "SELECT s.state FROM bins AS b
         JOIN bin_states AS s ON s.site_id = b.site_id AND s.event_id = b.head_event
         WHERE b.id = '{bin}'"
    );
    app.rows(&query).await[0]["state"].clone()
}

/// Moves the clock forward.
async fn wait(app: &App, time: TimeDelta) {
    let then = app.now().await + time;
    app.set_clock(&then.to_rfc3339()).await;
}

fn median(facts: &Value) -> f64 {
    facts["speed"]["median"].as_f64().unwrap()
}

fn band(facts: &Value) -> f64 {
    let speed = |key: &str| facts["speed"][key].as_f64().unwrap();
    (speed("high") / speed("low")).ln()
}

fn leaves(room: &Value, rule: &str) -> Option<i64> {
    let mut rules = room["rules"].as_array().unwrap().iter();
    let rule = rules.find(|found| found["code"] == rule)?;
    Some(grams(&rule["leaves_kg"]))
}

/// A bin of its own that took its worms twenty days before noon in June and nothing since.
async fn hungry_bin(app: &App, court: &Court) -> Court {
    let bin = app.bin(&court.educator, court.site).await;
    let path = court.at(&format!("/bins/{bin}/stockings"));
    let stocking = json!({
        "worms_kg": 0.8, "bedding_kg": 1.5,
        "stocked_at": NOON_IN_JUNE.parse::<DateTime<Utc>>().unwrap() - TimeDelta::days(20),
    });
    app.post(&court.educator, &path, &stocking).await.ok(201);
    beside(court, bin)
}

/// Another bin of the same site, with the same people.
fn beside(court: &Court, bin: Uuid) -> Court {
    Court {
        educator: court.educator.clone(),
        resident: court.resident.clone(),
        site: court.site,
        bin,
    }
}

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

/// Adds a probe and gives its key for the Authorization header, and its id.
async fn probe_on(app: &App, who: &Person, court: &Court) -> (String, Uuid) {
    let new = json!({ "name": "Laundry probe" });
    let answer = app.post(who, &court.bin_at("/probes"), &new).await;
    assert_eq!(answer.header("cache-control"), Some("no-store"));
    let added = answer.ok(201);
    let key = added["key"].as_str().unwrap().to_owned();
    (format!("Bearer {key}"), id_of(&added))
}

async fn probe_says(app: &App, authorization: &str, values: &Value) -> Answer {
    app.ask(Method::POST, "/v1/probe/readings")
        .header("authorization", authorization)
        .json(&json!({ "values": values }))
        .send()
        .await
}

#[tokio::test]
async fn a_probe_measures_with_a_key_of_its_own() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let (key, probe) = probe_on(&app, &caretaker, &court).await;
    let now = app.now().await;
    let values = json!([
        { "quantity": "bed_c", "value": 22.5, "measured_at": now - TimeDelta::hours(1) },
        { "quantity": "bed_c", "value": 85, "measured_at": now - TimeDelta::hours(2) },
        { "quantity": "bed_moisture", "value": 0.74 },
    ]);
    let taken = probe_says(&app, &key, &values).await.ok(201);
    assert_eq!(taken["kept"], 3);
    assert_eq!(taken["set_aside"][0]["index"], 1);
    assert_eq!(room(&app, &court).await["bed"]["temperature_c"], 22.5);
    let again = probe_says(&app, &key, &json!([values[0]])).await.ok(201);
    assert_eq!(again["repeated"], 1);
    let last = spine(&app, court.bin).await.pop().unwrap();
    assert_eq!(last["kind"], "measured");
    assert_eq!(last["member_id"], json!(null));
    let readings = app.get(&court.resident, &court.bin_at("/readings")).await;
    assert_eq!(readings.ok(200)["items"][0]["probe_id"], probe.to_string());

    let probes = app.get(&caretaker, &court.bin_at("/probes")).await;
    assert!(!probes.text.contains(key.trim_start_matches("Bearer ")));
    let probes = probes.ok(200);
    assert_eq!(probes["items"][0]["id"], probe.to_string());
    assert_eq!(probes["items"][0]["revoked_at"], json!(null));
}

#[tokio::test]
async fn only_the_key_of_a_living_probe_is_taken() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let (key, probe) = probe_on(&app, &court.educator, &court).await;
    let value = json!([{ "quantity": "bed_c", "value": 22 }]);
    let user = format!("Bearer {}", court.educator.token);
    let mut other = key.clone().into_bytes();
    let ending = other.last_mut().unwrap();
    *ending = if *ending == b'A' { b'E' } else { b'A' };
    for wrong in [
        String::from_utf8(other).unwrap(),
        "Bearer probe_".to_owned(),
        key.replace("Bearer", "Basic"),
        format!("{key}{key}"),
        user,
    ] {
        let answer = probe_says(&app, &wrong, &value).await;
        answer.problem(401, "unknown_probe");
    }
    let answer = app
        .ask(Method::POST, "/v1/probe/readings")
        .json(&json!({ "values": value }))
        .send()
        .await;
    assert_eq!(answer.status, 401);
    // A probe's key opens nothing else.
    for path in ["/v1/sites".to_owned(), court.bin_at("/room")] {
        let ask = app.ask(Method::GET, &path).header("authorization", &key);
        assert_eq!(ask.send().await.status, 401);
    }

    probe_says(&app, &key, &value).await.ok(201);
    let path = court.bin_at(&format!("/probes/{probe}"));
    let revoke = app.ask(Method::DELETE, &path).by(&court.educator);
    assert_eq!(revoke.send().await.status, 204);
    let answer = probe_says(&app, &key, &value).await;
    answer.problem(401, "unknown_probe");
    let revoke = app.ask(Method::DELETE, &path).by(&court.educator);
    revoke.send().await.problem(404, "not_found");
    let list = app.get(&court.educator, &court.bin_at("/probes")).await;
    assert!(list.ok(200)["items"][0]["revoked_at"].is_string());
    assert_eq!(app.rows("SELECT id FROM readings").await.len(), 1);
}

#[tokio::test]
async fn a_probe_reaches_its_own_bin_only() {
    let app = App::start_in_june().await;
    let (here, there) = (app.court().await, app.court().await);
    let (key, probe) = probe_on(&app, &there.educator, &there).await;
    let before = head(&app, here.bin).await;
    let value = json!([{ "quantity": "bed_c", "value": 33 }]);
    probe_says(&app, &key, &value).await.ok(201);
    assert_eq!(room(&app, &there).await["bound_by"], "too_hot");
    assert_ne!(room(&app, &here).await["bound_by"], "too_hot");
    assert_eq!(head(&app, here.bin).await, before);
    let site = format!("SELECT id FROM readings WHERE site_id = '{}'", here.site);
    assert_eq!(app.rows(&site).await, Vec::<Value>::new());
    // Nor can one site's people see or stop another's probes, or make their own there.
    let path = here.bin_at(&format!("/probes/{probe}"));
    let revoke = app.ask(Method::DELETE, &path).by(&here.educator);
    revoke.send().await.problem(404, "not_found");
    let answer = app.get(&here.educator, &there.bin_at("/probes")).await;
    answer.problem(404, "not_found");
    let answer = app
        .post(
            &here.educator,
            &there.bin_at("/probes"),
            &json!({ "name": "x" }),
        )
        .await;
    answer.problem(404, "not_found");
    let smuggled = here.at(&format!("/bins/{}/probes", there.bin));
    let answer = app
        .post(&here.educator, &smuggled, &json!({ "name": "x" }))
        .await;
    answer.problem(404, "not_found");
    probe_says(&app, &key, &json!([{ "quantity": "bed_c", "value": 22 }]))
        .await
        .ok(201);

    let answer = app.get(&here.resident, &here.bin_at("/probes")).await;
    answer.problem(403, "forbidden");
    let answer = app
        .post(
            &here.resident,
            &here.bin_at("/probes"),
            &json!({ "name": "x" }),
        )
        .await;
    answer.problem(403, "forbidden");
}

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
