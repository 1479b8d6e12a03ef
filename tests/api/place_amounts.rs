//! What the holder of a place means to bring: booked with the place, and gone with it.

use crate::frame::{grams, id_of, weighed};
use crate::place_ground::{PlaceGround, turn_of};
use reqwest::Method;
use serde_json::{Value, json};
use std::slice;

/// A Friday, two days after the tests' Wednesday.
const FRIDAY: &str = "2026-06-12";

/// Guards the bond between a place and the room that is booked with it.
#[tokio::test]
async fn an_amount_is_booked_with_the_place_and_goes_with_it() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let court = &ground.court;
    let turn = ground.turn(FRIDAY, 1).await;
    let room = ground.app.room_g(court).await;

    let refused = ground
        .take(&ana.who, turn, &json!({ "amount_kg": 5 }))
        .await;
    let problem = refused.problem(409, "feeding_refused");
    assert_eq!(problem["decision"]["offered_kg"], 5.0);
    assert_eq!(ground.holders(turn).await, [None]);
    assert!(ground.bookings(&ana).await.is_empty());

    let body = json!({ "amount_kg": 0.2 });
    let taken = ground.take(&ana.who, turn, &body).await.ok(201);
    assert_eq!(taken["decision"]["outcome"], "accepted");
    assert!(taken["booking_id"].is_string());
    assert_eq!(ground.bookings(&ana).await, [("open".to_owned(), 200)]);
    assert!(ground.app.room_g(court).await < room);
    let at = (turn, id_of(&taken));

    // Too much leaves it as it was; less takes its place; none gives the room back.
    let answer = ground
        .change(&ana.who, at, &json!({ "amount_kg": 5 }))
        .await;
    answer.problem(409, "feeding_refused");
    assert_eq!(ground.bookings(&ana).await, [("open".to_owned(), 200)]);
    let less = ground
        .change(&ana.who, at, &json!({ "amount_kg": 0.1 }))
        .await
        .ok(200);
    assert_ne!(less["booking_id"], taken["booking_id"]);
    let after = [("withdrawn".to_owned(), 200), ("open".to_owned(), 100)];
    assert_eq!(ground.bookings(&ana).await, after);
    let none = json!({ "amount_kg": null });
    let none = ground.change(&ana.who, at, &none).await.ok(200);
    assert_eq!(none["booking_id"], Value::Null);
    assert!((ground.app.room_g(court).await - room).abs() <= 1);

    ground.change(&ana.who, at, &body).await.ok(200);
    assert_eq!(ground.give_back(&ana.who, at).await.status, 204);
    let states = ground.bookings(&ana).await;
    assert!(
        states.iter().all(|(state, _)| state == "withdrawn"),
        "{states:?}"
    );
}

/// Guards what is said of amounts that no booking can be made for.
#[tokio::test]
async fn an_amount_is_for_a_feeding_soon_enough_and_the_holders_to_say() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let body = json!({ "amount_kg": 0.05 });
    let far = ground.turn("2026-07-09", 1).await;
    let wet = turn_of(&ground.app, ground.bin(), ("watering", FRIDAY), 1).await;
    let before = ground.app.contents().await;
    for turn in [far, wet] {
        let answer = ground.take(&ana.who, turn, &body).await;
        answer.conflicting_fields(&["/amount_kg"]);
    }
    let feeding = ground.turn(FRIDAY, 2).await;
    let for_bo = json!({ "amount_kg": 0.05, "member_id": bo.id });
    let answer = ground.take(&ground.court.educator, feeding, &for_bo).await;
    answer.conflicting_fields(&["/amount_kg"]);
    for amount in [json!(0), json!(51), json!(0.0001), json!("1")] {
        let body = json!({ "amount_kg": amount });
        let answer = ground.take(&ana.who, feeding, &body).await;
        answer.wrong_fields(&["/amount_kg"]);
    }
    let booking = json!({ "on_date": FRIDAY, "amount_kg": 0.05 });
    let path = ground.court.bin_at("/bookings");
    ground.app.post(&bo.who, &path, &booking).await.ok(201);
    let answer = ground.take(&bo.who, feeding, &body).await;
    answer.problem(409, "booked_already");
    assert_eq!(ground.holders(feeding).await, [None, None]);
    ground.taken(&bo.who, feeding).await;
    ground.taken(&ana.who, far).await;
    assert_ne!(ground.app.contents().await, before);
}

/// Guards that a place's booking is used by its feeding, and lapses with its day, as any other.
#[tokio::test]
async fn a_places_booking_is_used_by_the_feeding_of_its_day() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let turn = ground.turn("2026-06-11", 2).await;
    let taken = ground
        .take(&ana.who, turn, &json!({ "amount_kg": 0.2 }))
        .await;
    let at = (turn, id_of(&taken.ok(201)));
    ground.app.set_clock("2026-06-11T15:00:00Z").await;
    let path = ground.court.bin_at("/feedings");
    let room = ground.app.room_g(&ground.court).await;
    let answer = ground
        .app
        .post(&bo.who, &path, &weighed("usual-mix", 0.2))
        .await;
    let refused = answer.problem(409, "feeding_refused");
    assert_eq!(grams(&refused["decision"]["room_kg"]), room);
    let meal = weighed("usual-mix", 0.2);
    ground.app.post(&ana.who, &path, &meal).await.ok(201);
    assert_eq!(ground.bookings(&ana).await, [("used".to_owned(), 200)]);
    // What was used is not given back with the place.
    let keeper = &ground.court.educator;
    assert_eq!(ground.give_back(keeper, at).await.status, 204);
    assert_eq!(ground.bookings(&ana).await, [("used".to_owned(), 200)]);
}

/// Guards against a second place, or booking, when an answer got lost.
#[tokio::test]
async fn a_retry_takes_once() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let turn = ground.turn(FRIDAY, 2).await;
    let send = async |amount: f64, key: &str| {
        let path = ground.court.at(&format!("/turns/{turn}/places"));
        let ask = ground.app.ask(Method::POST, &path).by(&ana.who);
        let ask = ask.header("idempotency-key", key);
        ask.json(&json!({ "amount_kg": amount })).send().await
    };
    let refused = send(5.0, "over").await.problem(409, "feeding_refused");
    let first = send(0.1, "fits").await.ok(201);
    let after = ground.app.contents().await;
    assert_eq!(send(0.1, "fits").await.ok(201), first);
    let again = send(5.0, "over").await.problem(409, "feeding_refused");
    assert_eq!(again["decision"], refused["decision"]);
    assert_eq!(ground.app.contents().await, after);
}

/// Guards the room of a bin against what nobody brings, since the turn does not take place: it is
/// there for others, and whoever holds the place keeps it.
#[tokio::test]
async fn room_booked_on_a_turn_that_is_called_off_is_given_back() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let court = &ground.court;
    let keeper = &court.educator;
    let room = ground.app.room_g(court).await;
    let (turn, other) = (ground.turn(FRIDAY, 2).await, ground.turn(FRIDAY, 1).await);
    let body = json!({ "amount_kg": 0.1 });
    ground.take(&bo.who, other, &body).await.ok(201);
    let beside = ground.app.room_g(court).await;
    let taken = ground.take(&ana.who, turn, &body).await.ok(201);
    assert!(ground.app.room_g(court).await < beside);
    let at = (turn, id_of(&taken));
    let open = ("open".to_owned(), 100);
    let withdrawn = ("withdrawn".to_owned(), 100);

    // By hand only this turn.
    let path = court.at(&format!("/turns/{turn}"));
    let off = json!({ "called_off": true });
    ground.app.patch(keeper, &path, &off).await.ok(200);
    assert_eq!(ground.bookings(&ana).await, slice::from_ref(&withdrawn));
    assert_eq!(ground.bookings(&bo).await, slice::from_ref(&open));
    assert!((ground.app.room_g(court).await - beside).abs() <= 1);
    assert_eq!(ground.holders(turn).await, [Some(ana.id), None]);

    // Once it is on again, its holder says anew what they bring.
    let on = json!({ "called_off": false });
    ground.app.patch(keeper, &path, &on).await.ok(200);
    let same = ground.change(&ana.who, at, &json!({})).await.ok(200);
    assert_eq!(same["booking_id"], Value::Null);
    ground.change(&ana.who, at, &body).await.ok(200);
    let after = [withdrawn.clone(), open];
    assert_eq!(ground.bookings(&ana).await, after);

    // By a closure all of its days.
    let shut = json!({ "first_day": FRIDAY, "last_day": FRIDAY });
    let made = ground.app.post(keeper, &court.at("/closures"), &shut).await;
    assert_eq!(made.ok(201)["turns"]["held_places"], 2);
    assert_eq!(
        ground.bookings(&ana).await,
        [withdrawn.clone(), withdrawn.clone()]
    );
    assert_eq!(ground.bookings(&bo).await, [withdrawn]);
    assert!((ground.app.room_g(court).await - room).abs() <= 1);
    assert_eq!(ground.holders(turn).await, [Some(ana.id), None]);
    assert_eq!(ground.holders(other).await, [Some(bo.id)]);
}

/// Guards what is known of food that went in before the turn of its day was called off.
#[tokio::test]
async fn what_was_used_stays_with_the_place_of_a_turn_that_is_called_off() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let court = &ground.court;
    let turn = ground.turn("2026-06-11", 1).await;
    let body = json!({ "amount_kg": 0.2 });
    let taken = ground.take(&ana.who, turn, &body).await.ok(201);
    ground.app.set_clock("2026-06-11T15:00:00Z").await;
    let meal = weighed("usual-mix", 0.2);
    let path = court.bin_at("/feedings");
    ground.app.post(&ana.who, &path, &meal).await.ok(201);
    let path = court.at(&format!("/turns/{turn}"));
    let off = json!({ "called_off": true });
    ground.app.patch(&court.educator, &path, &off).await.ok(200);
    assert_eq!(ground.bookings(&ana).await, [("used".to_owned(), 200)]);
    let query = format!("SELECT booking_id FROM places WHERE turn_id = '{turn}'");
    let rows = ground.app.rows(&query).await;
    assert_eq!(rows[0]["booking_id"], taken["booking_id"]);
}
