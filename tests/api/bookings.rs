//! Room promised for a day: kept for its holder, used up, given back, lapsed.

use crate::frame::{Answer, App, Court, Person, all_at_once, grams, id_of, weighed};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota::clock;
use wormrota::work;
use wormrota_domain::access::Role;

const TODAY: &str = "2026-06-10";
const TOMORROW: &str = "2026-06-11";

async fn book(app: &App, who: &Person, court: &Court, on: &str, kg: f64) -> Answer {
    let promise = json!({ "on_date": on, "amount_kg": kg });
    app.post(who, &court.bin_at("/bookings"), &promise).await
}

async fn withdraw(app: &App, who: &Person, court: &Court, booking: Uuid) -> Answer {
    let path = court.bin_at(&format!("/bookings/{booking}"));
    let body = json!({});
    let ask = app.ask(Method::DELETE, &path).by(who).json(&body);
    ask.send().await
}

async fn feed(app: &App, who: &Person, court: &Court, kg: f64) -> Answer {
    let offer = weighed("usual-mix", kg);
    app.post(who, &court.bin_at("/feedings"), &offer).await
}

async fn open(app: &App, court: &Court) -> Vec<Value> {
    let list = app.get(&court.resident, &court.bin_at("/bookings")).await;
    list.ok(200)["items"].as_array().unwrap().clone()
}

/// The state of a booking in its table.
async fn state_of(app: &App, booking: Uuid) -> Value {
    let query = format!("SELECT state FROM bookings WHERE id = '{booking}'");
    app.rows(&query).await[0]["state"].clone()
}

#[tokio::test]
async fn booked_room_is_kept_from_others() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = app.member(court.site, Role::Resident).await;
    let room = app.room_g(&court).await;
    let promised = 0.25;

    let booked = book(&app, &court.resident, &court, TODAY, promised).await;
    let booked = booked.ok(201);
    assert_eq!(booked["on_date"], TODAY);
    assert_eq!(booked["decision"]["outcome"], "accepted");
    assert_eq!(booked["decision"]["allowed_kg"], promised);
    let list = open(&app, &court).await;
    assert_eq!(list.len(), 1);
    assert_eq!(list[0]["id"], booked["id"]);
    assert_eq!(list[0]["promised_kg"], promised);
    assert_eq!(list[0]["kept_kg"], promised);

    let left = app.room_g(&court).await;
    assert!((room - left - 250).abs() <= 1, "{room} {left}");
    let answer = feed(&app, &other, &court, 0.1).await;
    let decision = &answer.problem(409, "feeding_refused")["decision"];
    assert_eq!(grams(&decision["room_kg"]), left);
    let answer = book(&app, &other, &court, TODAY, 0.1).await;
    answer.problem(409, "feeding_refused");

    // Its holder can use it, and what is left over is anybody's again.
    feed(&app, &court.resident, &court, 0.1).await.ok(201);
    assert_eq!(state_of(&app, id_of(&booked)).await, "used");
    assert_eq!(open(&app, &court).await, Vec::<Value>::new());
    feed(&app, &other, &court, 0.1).await.ok(201);
}

#[tokio::test]
async fn a_booking_for_a_later_day_is_guarded_today() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = app.member(court.site, Role::Resident).await;
    let room = app.room_g(&court).await;
    book(&app, &court.resident, &court, TOMORROW, 0.3)
        .await
        .ok(201);
    let left = app.room_g(&court).await;
    assert!(left < room - 200, "{room} {left}");

    let answer = feed(&app, &other, &court, 0.2).await;
    let problem = answer.problem(409, "feeding_refused");
    let guard = problem["decision"]["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .find_map(|reason| reason["guards_booking_at"].as_str());
    assert_eq!(guard, Some("2026-06-11T05:00:00Z"), "{problem}");
    // Today it is not the holder's own either: it is for tomorrow.
    let answer = feed(&app, &court.resident, &court, 0.2).await;
    answer.problem(409, "feeding_refused");

    app.set_clock("2026-06-11T15:00:00Z").await;
    let answer = feed(&app, &other, &court, 0.2).await;
    answer.problem(409, "feeding_refused");
    feed(&app, &court.resident, &court, 0.3).await.ok(201);
    assert_eq!(open(&app, &court).await, Vec::<Value>::new());
}

#[tokio::test]
async fn a_promise_that_does_not_fit_is_refused_with_a_day() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    feed(&app, &court.resident, &court, 0.25).await.ok(201);
    let answer = book(&app, &court.resident, &court, TOMORROW, 0.25).await;
    let problem = answer.problem(409, "feeding_refused");
    let decision = &problem["decision"];
    let fits_at = decision["fits_at"].as_str().unwrap().to_owned();
    assert!(fits_at.as_str() > "2026-06-12", "{fits_at}");
    assert_eq!(open(&app, &court).await, Vec::<Value>::new());
    let kept = app
        .rows("SELECT id, outcome, booking_id FROM decisions WHERE deed = 'book'")
        .await;
    let row = json!({ "id": decision["id"], "outcome": "refused", "booking_id": null });
    assert_eq!(kept, [row]);

    let day = &fits_at[..10];
    book(&app, &court.resident, &court, day, 0.25).await.ok(201);
}

#[tokio::test]
async fn a_member_books_a_day_once() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    book(&app, &court.resident, &court, TOMORROW, 0.1)
        .await
        .ok(201);
    let before = app.contents().await;
    let answer = book(&app, &court.resident, &court, TOMORROW, 0.05).await;
    answer.problem(409, "booked_already");
    assert_eq!(app.contents().await, before);
    let other = app.member(court.site, Role::Resident).await;
    book(&app, &other, &court, TOMORROW, 0.05).await.ok(201);
    book(&app, &court.resident, &court, "2026-06-12", 0.05)
        .await
        .ok(201);
    let days: Vec<_> = open(&app, &court)
        .await
        .iter()
        .map(|booking| booking["on_date"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(days, [TOMORROW, TOMORROW, "2026-06-12"]);
}

#[tokio::test]
async fn days_and_amounts_that_cannot_be_are_named() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.contents().await;
    for on in [
        "2026-06-09",
        "2026-07-09",
        "1970-01-01",
        "9999-12-31",
        "+100000-01-01",
    ] {
        let answer = book(&app, &court.resident, &court, on, 0.1).await;
        assert_eq!(answer.status, 409, "{on}: {}", answer.text);
        answer.conflicting_fields(&["/on_date"]);
    }
    for on in ["2026-02-30", "tomorrow", "2026-06-11T10:00:00Z"] {
        let answer = book(&app, &court.resident, &court, on, 0.1).await;
        assert_eq!(answer.status, 422, "{on}: {}", answer.text);
        answer.wrong_fields(&["/on_date"]);
    }
    for kg in [
        json!(0),
        json!(-0.1),
        json!(0.0001),
        json!(400),
        json!(1e300),
        json!("0.1"),
        json!(null),
    ] {
        let promise = json!({ "on_date": TOMORROW, "amount_kg": kg });
        let path = court.bin_at("/bookings");
        let answer = app.post(&court.resident, &path, &promise).await;
        assert_eq!(answer.status, 422, "{kg}: {}", answer.text);
        answer.wrong_fields(&["/amount_kg"]);
    }
    assert_eq!(app.contents().await, before);
    book(&app, &court.resident, &court, "2026-07-08", 0.1)
        .await
        .ok(201);
}

#[tokio::test]
async fn room_is_given_back_by_its_holder_or_a_keeper() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = app.member(court.site, Role::Resident).await;
    let room = app.room_g(&court).await;
    for keeper in [
        court.resident.clone(),
        app.member(court.site, Role::Caretaker).await,
        app.member(court.site, Role::Teacher).await,
    ] {
        let booked = book(&app, &court.resident, &court, TOMORROW, 0.2).await;
        let booking = id_of(&booked.ok(201));
        let answer = withdraw(&app, &other, &court, booking).await;
        answer.problem(403, "forbidden");
        assert!(app.room_g(&court).await < room);

        let answer = withdraw(&app, &keeper, &court, booking).await;
        assert_eq!((answer.status.as_u16(), answer.text.as_str()), (204, ""));
        assert_eq!(state_of(&app, booking).await, "withdrawn");
        assert!((app.room_g(&court).await - room).abs() <= 1);
        let answer = withdraw(&app, &keeper, &court, booking).await;
        answer.problem(409, "booking_ended");
    }
}

#[tokio::test]
async fn a_booking_is_found_only_in_its_own_bin() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let booked = book(&app, &court.resident, &court, TOMORROW, 0.1).await;
    let booking = id_of(&booked.ok(201));
    let bin = app.stocked_bin(&court.educator, court.site).await;
    let elsewhere = app.court().await;
    for (who, at) in [
        (&court.resident, court.at(&format!("/bins/{bin}"))),
        (&elsewhere.educator, elsewhere.bin_at("")),
        (&elsewhere.educator, court.bin_at("")),
    ] {
        let path = format!("{at}/bookings/{booking}");
        let ask = app.ask(Method::DELETE, &path).by(who).json(&json!({}));
        ask.send().await.problem(404, "not_found");
    }
    let answer = withdraw(&app, &court.resident, &court, Uuid::now_v7()).await;
    answer.problem(404, "not_found");
    assert_eq!(state_of(&app, booking).await, "open");
    let answer = book(&app, &elsewhere.resident, &court, TOMORROW, 0.1).await;
    answer.problem(404, "not_found");
}

#[tokio::test]
async fn a_booking_whose_day_passed_holds_nothing_and_lapses() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let booked = book(&app, &court.resident, &court, TODAY, 0.25).await;
    let booking = id_of(&booked.ok(201));
    let later = book(&app, &court.resident, &court, "2026-06-20", 0.05).await;
    let later = id_of(&later.ok(201));
    work::work_once(&app.desk, clock::wall()).await.unwrap();
    assert_eq!(state_of(&app, booking).await, "open");

    // The day after: nobody's any more, though no copy has tidied up yet.
    app.set_clock("2026-06-11T15:00:00Z").await;
    assert_eq!(open(&app, &court).await.len(), 1);
    let other = app.member(court.site, Role::Resident).await;
    feed(&app, &other, &court, 0.2).await.ok(201);

    // The machine's hour after the one whose work is done.
    app.set_clock("2026-06-12T15:00:00Z").await;
    let an_hour = chrono::TimeDelta::hours(1);
    let done = work::work_once(&app.desk, clock::wall() + an_hour).await;
    assert_eq!(done.unwrap(), 1);
    assert_eq!(state_of(&app, booking).await, "lapsed");
    assert_eq!(state_of(&app, later).await, "open");
    let answer = withdraw(&app, &court.resident, &court, booking).await;
    answer.problem(409, "booking_ended");
}

#[tokio::test]
async fn what_was_told_since_makes_less_of_a_promise() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let booked = book(&app, &court.resident, &court, TOMORROW, 0.3).await;
    booked.ok(201);
    let path = court.bin_at("/feedings/told");
    let told = weighed("usual-mix", 0.2);
    app.post(&court.resident, &path, &told).await.ok(201);
    let list = open(&app, &court).await;
    assert_eq!(list[0]["promised_kg"], 0.3);
    let kept = grams(&list[0]["kept_kg"]);
    assert!((1..290).contains(&kept), "{kept}");
    assert_eq!(app.room_g(&court).await, 0);

    // What is kept really is: on its day so much goes in, and no more.
    app.set_clock("2026-06-11T05:00:01Z").await;
    let answer = feed(&app, &court.resident, &court, 0.3).await;
    let room = &answer.problem(409, "feeding_refused")["decision"]["room_kg"];
    assert!(grams(room) >= kept, "{room} {kept}");
    let kept_kg = list[0]["kept_kg"].as_f64().unwrap();
    feed(&app, &court.resident, &court, kept_kg).await.ok(201);
}

#[tokio::test]
async fn a_retry_books_once() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let send = async |amount_kg: f64, key: &str| {
        let promise = json!({ "on_date": TOMORROW, "amount_kg": amount_kg });
        app.ask(Method::POST, &court.bin_at("/bookings"))
            .by(&court.resident)
            .header("idempotency-key", key)
            .json(&promise)
            .send()
            .await
    };
    let refused = send(5.0, "over").await.problem(409, "feeding_refused");
    let first = send(0.2, "fits").await.ok(201);
    let after = app.contents().await;
    assert_eq!(send(0.2, "fits").await.ok(201), first);
    let again = send(5.0, "over").await.problem(409, "feeding_refused");
    assert_eq!(again["decision"], refused["decision"]);
    assert_eq!(app.contents().await, after);
}

#[tokio::test]
async fn a_crowd_that_books_gets_no_more_than_the_room() {
    let app = Arc::new(App::start_in_june().await);
    let court = Arc::new(app.court().await);
    let mut people = Vec::new();
    for _ in 0..16 {
        people.push(app.member(court.site, Role::Resident).await);
    }
    let room = app.room_g(&court).await;
    let crowd = people.into_iter().map(|who| {
        let (app, court) = (Arc::clone(&app), Arc::clone(&court));
        async move { book(&app, &who, &court, TODAY, 0.05).await }
    });
    let answers = all_at_once(crowd).await;
    let booked = answers.iter().filter(|answer| answer.status == 201).count();
    for answer in answers.iter().filter(|answer| answer.status != 201) {
        answer.problem(409, "feeding_refused");
    }
    assert_eq!(i64::try_from(booked).unwrap(), room / 50);
    let list = open(&app, &court).await;
    assert_eq!(list.len(), booked);
    for booking in &list {
        assert_eq!(booking["kept_kg"], 0.05);
    }
}
