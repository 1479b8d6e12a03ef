//! Places of turns: taken, changed and given back, as far as the rules of the rota allow.

use crate::frame::id_of;
use crate::place_ground::{Neighbour, PlaceGround, turn_of};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A Friday, two days after the tests' Wednesday.
const FRIDAY: &str = "2026-06-12";

/// Guards the whole way of a place: one holder, once on a turn, free again afterwards.
#[tokio::test]
async fn a_place_is_taken_once_and_given_back() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let turn = ground.turn(FRIDAY, 1).await;
    let taken = ground.take(&ana.who, turn, &json!({})).await.ok(201);
    assert_eq!(taken["turn_id"], turn.to_string());
    assert_eq!(taken["bin_id"], ground.court.bin.to_string());
    assert_eq!(taken["member_id"], ana.id.to_string());
    let (how, kept) = (&taken["how"], &taken["kept"]);
    assert_eq!((how, kept), (&json!("taken"), &json!(true)));
    assert_eq!(taken["on_date"], FRIDAY);
    assert_eq!(taken["booking_id"], Value::Null);
    let place = id_of(&taken);

    let again = ground.take(&ana.who, turn, &json!({})).await;
    again.problem(409, "held_already");
    let full = ground.take(&bo.who, turn, &json!({})).await;
    full.problem(409, "no_free_place");
    let not_his = ground.give_back(&bo.who, (turn, place)).await;
    not_his.problem(403, "forbidden");
    assert_eq!(ground.holders(turn).await, [Some(ana.id)]);

    let back = ground.give_back(&ana.who, (turn, place)).await;
    assert_eq!((back.status.as_u16(), back.text.as_str()), (204, ""));
    let twice = ground.give_back(&ana.who, (turn, place)).await;
    twice.problem(409, "not_the_holder");
    assert_eq!(ground.taken(&bo.who, turn).await, place);
    let deeds = ground.trail().await;
    let deeds: Vec<&str> = deeds.iter().map(|l| l["deed"].as_str().unwrap()).collect();
    assert_eq!(deeds, ["place_taken", "place_given_back", "place_taken"]);
}

/// Guards the past, what was called off, and the turns of classes.
#[tokio::test]
async fn only_turns_to_come_have_places_to_take() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let keeper = ground.court.educator.clone();
    let assign = json!({ "member_id": ana.id });
    let past = ground.turn("2026-06-09", 1).await;
    let off = ground.turn(FRIDAY, 1).await;
    ground
        .app
        .sql(&format!(
            "UPDATE turns SET called_off = 'hand' WHERE id = '{off}'"
        ))
        .await;
    for turn in [past, off] {
        for (who, body) in [(&ana.who, &json!({})), (&keeper, &assign)] {
            ground.take(who, turn, body).await.problem(409, "turn_over");
        }
    }
    // Nobody comes by themselves where the pattern wants nobody any more, but can be sent.
    let unwanted = ground.turn("2026-06-14", 1).await;
    let unwant = format!("UPDATE turns SET off_pattern = true WHERE id = '{unwanted}'");
    ground.app.sql(&unwant).await;
    let by_herself = ground.take(&ana.who, unwanted, &json!({})).await;
    by_herself.problem(409, "turn_over");
    ground.take(&keeper, unwanted, &assign).await.ok(201);

    let today = ground.turn("2026-06-10", 1).await;
    let place = ground.taken(&ana.who, today).await;
    ground.app.set_clock("2026-06-11T17:00:00Z").await;
    let change = ground
        .change(&keeper, (today, place), &json!({ "kept": false }))
        .await;
    change.problem(409, "turn_over");
    let back = ground.give_back(&keeper, (today, place)).await;
    back.problem(409, "turn_over");
    assert_eq!(ground.holders(today).await, [Some(ana.id)]);

    let class = json!({ "name": "3b", "ends_on": "2026-06-30" });
    let path = ground.court.at("/classes");
    let class = id_of(&ground.app.post(&keeper, &path, &class).await.ok(201));
    let of_class = ground.turn(FRIDAY, 1).await;
    let named = format!("UPDATE turns SET class_id = '{class}' WHERE id = '{of_class}'");
    ground.app.sql(&named).await;
    for (who, body) in [(&ana.who, &json!({})), (&keeper, &assign)] {
        ground
            .take(who, of_class, body)
            .await
            .conflicting_fields(&[""]);
    }
}

/// Guards the deadline, which is the site's to set and ends with a local day.
#[tokio::test]
async fn a_place_is_given_back_until_the_sites_deadline() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let keeper = ground.court.educator.clone();
    let site = ground.court.at("");
    let seen = ground.app.get(&ana.who, &site).await.ok(200);
    assert_eq!(seen["give_back_days"], 1);

    let turn = ground.turn(FRIDAY, 1).await;
    let place = ground.taken(&ana.who, turn).await;
    // Minutes before midnight in Chicago, and at midnight.
    ground.app.set_clock("2026-06-12T04:50:00Z").await;
    let back = ground.give_back(&ana.who, (turn, place)).await;
    assert_eq!(back.status, 204, "{}", back.text);
    assert_eq!(ground.taken(&ana.who, turn).await, place);
    ground.app.set_clock("2026-06-12T05:00:01Z").await;
    let late = ground.give_back(&ana.who, (turn, place)).await;
    let problem = late.problem(409, "too_late");
    assert!(
        problem["detail"].as_str().unwrap().contains("2026-06-11"),
        "{problem}"
    );
    for (days, status) in [(0, 204), (28, 409)] {
        let change = json!({ "give_back_days": days });
        let changed = ground.app.patch(&keeper, &site, &change).await.ok(200);
        assert_eq!(changed["give_back_days"], days);
        let answer = ground.give_back(&ana.who, (turn, place)).await;
        assert_eq!(answer.status, status, "{days}: {}", answer.text);
        if status == 204 {
            assert_eq!(ground.taken(&ana.who, turn).await, place);
        }
    }
    let answer = ground
        .app
        .patch(&keeper, &site, &json!({ "give_back_days": 29 }))
        .await;
    answer.wrong_fields(&["/give_back_days"]);
    assert_eq!(ground.give_back(&keeper, (turn, place)).await.status, 204);
}

/// Guards what only keepers do with places, and what they must say for it.
#[tokio::test]
async fn keepers_give_keep_and_move_places_and_say_so_against_a_wish() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&ana, "rather_not_weekdays", "'{5}'").await;
    let turn = ground.turn(FRIDAY, 2).await;

    let assign = json!({ "member_id": ana.id });
    let not_hers = ground.take(&bo.who, turn, &assign).await;
    not_hers.problem(403, "forbidden");
    let answer = ground.take(&keeper.who, turn, &assign).await;
    answer.conflicting_fields(&["/overrule"]);
    let overrule = json!({ "member_id": ana.id, "overrule": true });
    let given = ground.take(&keeper.who, turn, &overrule).await.ok(201);
    assert_eq!(
        (&given["how"], &given["kept"]),
        (&json!("assigned"), &json!(false))
    );
    let at = (turn, id_of(&given));
    let line = ground.trail().await.pop().unwrap();
    assert_eq!(line["deed"], "place_assigned");
    assert_eq!(line["member_id"], keeper.id.to_string());
    assert_eq!(line["detail"]["overruled"], "rather_not");
    // A wish stops nobody from taking a place themselves.
    ground.give_back(&ana.who, at).await;
    let own = ground
        .take(&ana.who, turn, &json!({ "amount_kg": 0.1 }))
        .await
        .ok(201);
    let at = (turn, id_of(&own));

    ground
        .change(&ana.who, at, &json!({ "kept": false }))
        .await
        .problem(403, "forbidden");
    let kept = ground
        .change(&keeper.who, at, &json!({ "kept": false }))
        .await
        .ok(200);
    assert_eq!(
        (&kept["kept"], &kept["booking_id"]),
        (&json!(false), &own["booking_id"])
    );
    let to_bo = json!({ "member_id": bo.id, "holder_id": bo.id });
    let stale = ground.change(&keeper.who, at, &to_bo).await;
    stale.problem(409, "not_the_holder");
    let to_bo = json!({ "member_id": bo.id, "holder_id": ana.id, "kept": true });
    let moved = ground.change(&keeper.who, at, &to_bo).await.ok(200);
    assert_eq!(moved["member_id"], bo.id.to_string());
    assert_eq!(
        (&moved["kept"], &moved["booking_id"]),
        (&json!(true), &Value::Null)
    );
    assert_eq!(ground.bookings(&ana).await, [("withdrawn".to_owned(), 100)]);
    let line = ground.trail().await.pop().unwrap();
    assert_eq!(
        (&line["deed"], &line["detail"]["from"]),
        (&json!("place_moved"), &json!(ana.id))
    );
    // She has lost it, and cannot do anything about his.
    ground
        .give_back(&ana.who, at)
        .await
        .problem(403, "forbidden");
    let again = ground
        .change(&keeper.who, at, &json!({ "member_id": bo.id }))
        .await;
    again.problem(409, "held_already");
    let amount = json!({ "member_id": ana.id, "amount_kg": 0.1 });
    let answer = ground.change(&keeper.who, at, &amount).await;
    answer.conflicting_fields(&["/amount_kg"]);
}

/// Guards that places go to people of the site only, and that keys of elsewhere are none.
#[tokio::test]
async fn places_are_for_people_of_the_site() {
    let ground = PlaceGround::open().await;
    let keeper = ground.court.educator.clone();
    let elsewhere = ground.app.court().await;
    let stranger = ground
        .app
        .member_id(&elsewhere.resident, elsewhere.site)
        .await;
    let waiting = ground.app.newcomer(&keeper, ground.court.site, "Kim").await;
    let turn = ground.turn(FRIDAY, 1).await;
    let before = ground.app.contents().await;
    for nobody in [stranger, waiting, Uuid::now_v7()] {
        let answer = ground
            .take(&keeper, turn, &json!({ "member_id": nobody }))
            .await;
        answer.conflicting_fields(&["/member_id"]);
    }
    ground
        .take(&elsewhere.resident, turn, &json!({}))
        .await
        .problem(404, "not_found");
    let theirs = turn_of(
        &ground.app,
        (elsewhere.site, elsewhere.bin),
        ("feeding", FRIDAY),
        1,
    )
    .await;
    ground
        .take(&keeper, theirs, &json!({}))
        .await
        .problem(404, "not_found");
    ground
        .take(&keeper, Uuid::now_v7(), &json!({}))
        .await
        .problem(404, "not_found");
    let [ana] = ground.residents().await;
    let place = ground.taken(&ana.who, turn).await;
    for (turn, place) in [(theirs, place), (turn, Uuid::now_v7())] {
        ground
            .give_back(&keeper, (turn, place))
            .await
            .problem(404, "not_found");
        let answer = ground.change(&keeper, (turn, place), &json!({})).await;
        answer.problem(404, "not_found");
    }
    assert_eq!(ground.holders(turn).await, [Some(ana.id)]);
    assert_ne!(ground.app.contents().await, before);
}

/// Guards those who stay from places of people who are gone, and history from being rewritten.
#[tokio::test]
async fn whoever_goes_gives_their_places_back_but_not_the_past() {
    let ground = PlaceGround::open().await;
    let [leaving, removed, erased, other] = ground.residents().await;
    let keeper = ground.court.educator.clone();
    let today = ground.turn("2026-06-10", 4).await;
    let later = ground.turn(FRIDAY, 4).await;
    let off = ground.turn("2026-06-13", 4).await;
    for one in [&leaving, &removed, &erased, &other] {
        for turn in [today, later, off] {
            ground.taken(&one.who, turn).await;
        }
        ground
            .keep_apart(one, &ground.neighbour(Role::Resident).await)
            .await;
    }
    ground
        .app
        .sql(&format!(
            "UPDATE turns SET called_off = 'hand' WHERE id = '{off}'"
        ))
        .await;
    let export = ground.app.get(&leaving.who, "/v1/me/export").await.ok(200);
    assert_eq!(export["tables"]["places"].as_array().unwrap().len(), 3);

    ground.app.set_clock("2026-06-11T17:00:00Z").await;
    let member = |one: &Neighbour| ground.court.at(&format!("/members/{}", one.id));
    for (by, path) in [
        (&leaving.who, member(&leaving)),
        (&keeper, member(&removed)),
    ] {
        let gone = ground.app.ask(Method::DELETE, &path).by(by).send().await;
        assert_eq!(gone.status, 204, "{}", gone.text);
    }
    let erasure = json!({ "password": crate::frame::PASSWORD });
    let gone = ground
        .app
        .post(&erased.who, "/v1/me/erasure", &erasure)
        .await;
    assert_eq!(gone.status, 204, "{}", gone.text);

    let ids = [leaving.id, removed.id, erased.id, other.id].map(Some);
    assert_eq!(ground.holders(today).await, ids);
    for turn in [later, off] {
        assert_eq!(
            ground.holders(turn).await,
            [None, None, None, Some(other.id)]
        );
    }
    let pairs = ground
        .app
        .rows("SELECT one_id, other_id FROM apart_pairs")
        .await;
    assert_eq!(pairs.len(), 1, "{pairs:?}");
    let answer = ground
        .take(&keeper, later, &json!({ "member_id": removed.id }))
        .await;
    answer.conflicting_fields(&["/member_id"]);
}

/// The turns that somebody reads of, with how many places are free.
async fn offered(ground: &PlaceGround, who: &Neighbour) -> Vec<(String, u64)> {
    let path = ground.court.at("/turns?free=true");
    let turns = ground.app.get(&who.who, &path).await.ok(200);
    let turn = |turn: &Value| {
        let id = turn["id"].as_str().unwrap().to_owned();
        (id, turn["free"].as_u64().unwrap())
    };
    turns["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(turn)
        .collect()
}

/// Guards a pair from each other's eyes: a turn beside the other one is full, in the list and
/// when it is asked for, and for nobody else.
#[tokio::test]
async fn a_turn_beside_somebody_kept_apart_is_a_full_one() {
    let ground = PlaceGround::open().await;
    let [ana, bo, cy] = ground.residents().await;
    ground.keep_apart(&ana, &bo).await;
    let turn = ground.turn(FRIDAY, 2).await;
    assert_eq!(offered(&ground, &ana).await, [(turn.to_string(), 2)]);
    ground.taken(&bo.who, turn).await;
    assert_eq!(offered(&ground, &ana).await, []);
    assert_eq!(offered(&ground, &cy).await, [(turn.to_string(), 1)]);
    assert_eq!(offered(&ground, &bo).await, [(turn.to_string(), 1)]);
    let path = ground.court.at(&format!("/turns/{turn}"));
    let seen = ground.app.get(&ana.who, &path).await.ok(200);
    assert_eq!(seen["free"], 0);
    let full = ground.take(&ana.who, turn, &json!({})).await;
    full.problem(409, "no_free_place");
}

/// Guards people from turns that nobody can come to any more.
#[tokio::test]
async fn a_turn_whose_hours_are_over_is_not_offered() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let today = ground.turn("2026-06-10", 1).await;
    let hours = |closes: &str| {
        format!("UPDATE turns SET opens = '00:00', closes = '{closes}' WHERE id = '{today}'")
    };
    ground.app.sql(&hours("23:59")).await;
    assert_eq!(offered(&ground, &ana).await.len(), 1);
    ground.app.sql(&hours("00:01")).await;
    assert_eq!(offered(&ground, &ana).await, []);
    let late = ground.take(&ana.who, today, &json!({})).await;
    late.problem(409, "turn_over");
}

/// Guards the database from days that it does not know.
#[tokio::test]
async fn days_of_no_year_of_four_digits_are_refused() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    for day in ["-200000-01-01", "%2B200000-01-01"] {
        let path = ground.court.at(&format!("/turns?from={day}&to={day}"));
        let answer = ground.app.get(&ana.who, &path).await;
        assert!(answer.status.is_client_error(), "{}", answer.text);
    }
    let new = json!({ "first_day": "-200000-01-01", "last_day": "-200000-01-01" });
    let educator = ground.court.educator.clone();
    let answer = ground
        .app
        .post(&educator, &ground.court.at("/rotas"), &new)
        .await;
    answer.problem(422, "invalid_fields");
}
