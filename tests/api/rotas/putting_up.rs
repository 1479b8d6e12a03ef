//! A draft becomes who holds which place, whole or not at all.

use super::ground::House;
use crate::frame::id_of;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use wormrota::work::drafting::draft_all;

/// How many places of a rota change hands.
fn changes(turns: &[Value]) -> usize {
    let places = turns
        .iter()
        .flat_map(|turn| turn["places"].as_array().unwrap());
    places.filter(|place| place["changes"] == true).count()
}

/// Protects what people agreed on: a draft gives exactly the places that it showed, kept places
/// and those who stay are left alone.
#[tokio::test]
async fn a_draft_that_is_put_up_is_who_holds_what() {
    let house = House::open(4).await;
    house.add_turns("2026-06-15", "2026-06-28", 1, 1).await;
    let [one, two, ..] = house.residents[..] else {
        panic!()
    };
    house.give(one, "2026-06-15", "taken", true).await;
    house.give(two, "2026-06-16", "assigned", false).await;
    let id = house.draft("2026-06-15", "2026-06-28").await;
    let turns = house.places(id).await;
    assert_eq!(turns[0]["places"][0]["in_rota"]["member_id"], json!(one));
    assert_eq!(turns[0]["places"][0]["changes"], false);

    let put_up = house.put_up(id).await.ok(200);
    assert_eq!(put_up["state"], "put_up");
    assert_eq!(put_up["aims"][1]["proven"], true);
    let held = house.held().await;
    assert_eq!(held.len(), 14);
    for (turn, place) in turns.iter().zip(&held) {
        assert_eq!(turn["on_date"], place["on_date"]);
        assert_eq!(
            turn["places"][0]["in_rota"]["member_id"],
            place["member_id"]
        );
        let was = turn["places"][0]["today"]["member_id"].clone();
        let how = match place["on_date"].as_str().unwrap() {
            "2026-06-15" => "taken",
            "2026-06-16" if was == place["member_id"] => "assigned",
            _ => "rota",
        };
        assert_eq!(place["how"], how, "{place}");
        assert_eq!(place["kept"], json!(how == "taken"));
    }
    assert!(
        house
            .places(id)
            .await
            .iter()
            .all(|turn| turn["places"][0]["changes"] == false)
    );
    house.put_up(id).await.problem(409, "rota_state");

    // Residents find it now, without what it says about everybody's limits.
    let path = house.at(&format!("/rotas/{id}"));
    let seen = house.app.get(&house.resident, &path).await.ok(200);
    assert_eq!(
        (&seen["state"], &seen["aims"]),
        (&json!("put_up"), &json!([]))
    );
    assert_eq!(
        (&seen["made_by"], &seen["put_up_by"]),
        (&Value::Null, &Value::Null)
    );
    let trail = house
        .app
        .rows("SELECT deed FROM audit WHERE subject_kind = 'rota' ORDER BY at, id");
    let deeds = json!([{ "deed": "rota_asked_for" }, { "deed": "rota_put_up" }]);
    assert_eq!(json!(trail.await), deeds);
}

/// Protects everybody else's plans from one person's absence.
#[tokio::test]
async fn after_an_absence_only_what_must_changes() {
    let house = House::open(5).await;
    let (first, last) = ("2026-06-08", "2026-07-05");
    house.add_turns(first, last, 1, 1).await;
    // The first days have passed: a rota in force that began before today.
    let drafted = {
        house.app.set_clock("2026-06-07T17:00:00Z").await;
        house.draft(first, last).await
    };
    house.put_up(drafted).await.ok(200);
    house.app.set_clock("2026-06-10T17:00:00Z").await;
    let before = house.held().await;
    let gone = before[20]["member_id"].as_str().unwrap().parse().unwrap();
    let day = before[20]["on_date"].as_str().unwrap();
    house.away(gone, day, day).await;
    // An absence of the past does not change who did what, and stops nothing.
    let past = before[0]["member_id"].as_str().unwrap().parse().unwrap();
    house.away(past, first, first).await;

    let id = house.draft(first, last).await;
    let seen = house.see(id).await;
    assert_eq!(seen["replans_id"], json!(drafted));
    assert_eq!(seen["replan_from"], "2026-06-11");
    assert_eq!(changes(&house.places(id).await), 1);
    house.put_up(id).await.ok(200);
    let after = house.held().await;
    let differing: Vec<usize> = (0..before.len())
        .filter(|at| before[*at] != after[*at])
        .collect();
    assert_eq!(differing, [20]);
    assert_ne!(after[20]["member_id"], json!(gone));
    assert!(!after[20]["member_id"].is_null());
    assert_eq!(house.see(drafted).await["state"], "replaced");
    let in_force = house
        .app
        .get(&house.resident, &house.at("/rotas"))
        .await
        .ok(200);
    let ids: Vec<_> = in_force["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(id_of)
        .collect();
    assert_eq!(ids, [id]);
}

/// Protects people from a draft that was made when things were different. Each difference is
/// tried and taken back, so that in the end the draft can be put up.
#[tokio::test]
async fn a_draft_is_not_put_up_once_anything_that_it_was_made_from_has_changed() {
    let mut house = House::open(4).await;
    house.add_turns("2026-06-15", "2026-06-20", 1, 2).await;
    let [one, two, three, ..] = house.residents[..] else {
        panic!()
    };
    house.give(one, "2026-06-15", "assigned", false).await;
    house.limit(three, &[("rest_days", "1")]).await;
    let id = house.draft("2026-06-15", "2026-06-20").await;
    let newcomer = house.add_resident().await;
    let leave = format!("UPDATE members SET left_at = now() WHERE id = '{newcomer}'");
    house.put_up(id).await.problem(409, "rota_moved_on");
    house.sql(&leave).await;

    let (site, bin) = (house.site, house.bin);
    let free = "SELECT places.id FROM places JOIN turns ON turns.id = turn_id
        WHERE on_date = '2026-06-18' AND seat = 1";
    let day = "on_date = '2026-06-17'";
    let new_turn = uuid::Uuid::now_v7();
    let before = house.app.contents().await;
    for (change, back) in [
        (
            format!("UPDATE places SET member_id = '{two}', how = 'taken', held_since = now() WHERE id = ({free})"),
            format!("UPDATE places SET member_id = NULL, how = NULL, held_since = NULL WHERE id = ({free})"),
        ),
        (
            "UPDATE places SET kept = true WHERE how = 'assigned'".to_owned(),
            "UPDATE places SET kept = false WHERE how = 'assigned'".to_owned(),
        ),
        (
            "UPDATE member_limits SET rest_days = 0".to_owned(),
            "UPDATE member_limits SET rest_days = 1".to_owned(),
        ),
        (
            "UPDATE member_limits SET share = 'half'".to_owned(),
            "UPDATE member_limits SET share = NULL".to_owned(),
        ),
        (
            format!("INSERT INTO absences (site_id, id, member_id, first_day, reported_by, created_at)
                VALUES ('{site}', gen_random_uuid(), '{two}', '2026-06-20', '{two}', now())"),
            "DELETE FROM absences".to_owned(),
        ),
        (
            format!("INSERT INTO apart_pairs (site_id, id, one_id, other_id, created_at)
                VALUES ('{site}', gen_random_uuid(), '{one}', '{two}', now())"),
            "DELETE FROM apart_pairs".to_owned(),
        ),
        (
            format!("UPDATE turns SET effort = 2 WHERE {day}"),
            format!("UPDATE turns SET effort = 1 WHERE {day}"),
        ),
        (
            format!("UPDATE turns SET called_off = 'hand' WHERE {day}"),
            format!("UPDATE turns SET called_off = NULL WHERE {day}"),
        ),
        (
            format!("INSERT INTO places (site_id, id, turn_id, seat, kept)
                SELECT site_id, gen_random_uuid(), id, 3, false FROM turns WHERE {day}"),
            "DELETE FROM places WHERE seat = 3".to_owned(),
        ),
        (
            format!("INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, off_pattern, created_at, revision)
                    VALUES ('{site}', '{new_turn}', '{bin}', '2026-06-19', 'feeding', 1, false, now(), 1);
                INSERT INTO places (site_id, id, turn_id, seat, kept)
                    VALUES ('{site}', gen_random_uuid(), '{new_turn}', 1, false);"),
            format!("DELETE FROM places WHERE turn_id = '{new_turn}'; DELETE FROM turns WHERE id = '{new_turn}';"),
        ),
        (
            format!("UPDATE members SET left_at = now() WHERE id = '{two}'"),
            format!("UPDATE members SET left_at = NULL WHERE id = '{two}'"),
        ),
    ] {
        house.sql(&change).await;
        let changed = house.app.contents().await;
        let answer = house.put_up(id).await;
        assert_eq!(answer.status, 409, "{change}: {}", answer.text);
        answer.problem(409, "rota_moved_on");
        assert_eq!(house.app.contents().await, changed, "{change}");
        house.sql(&back).await;
        assert_eq!(house.app.contents().await, before, "{back}");
    }
    // Its first day has begun without it.
    house.app.set_clock("2026-06-16T17:00:00Z").await;
    house.put_up(id).await.problem(409, "rota_moved_on");
    house.app.set_clock("2026-06-15T17:00:00Z").await;
    house.put_up(id).await.ok(200);
}

/// Protects room in a bin from being kept for somebody who does not come.
#[tokio::test]
async fn whoever_loses_a_place_loses_the_room_that_they_had_booked_for_it() {
    let house = House::open(2).await;
    let (app, site) = (&house.app, house.site);
    let bin = app.stocked_bin(&house.educator, site).await;
    house.add_turns("2026-06-15", "2026-06-16", 1, 1).await;
    let mut booked = Vec::new();
    for day in ["2026-06-15", "2026-06-16"] {
        let path = house.at(&format!("/bins/{bin}/bookings"));
        let promise = json!({ "on_date": day, "amount_kg": 0.05 });
        let booking = id_of(&app.post(&house.resident, &path, &promise).await.ok(201));
        house.give(house.residents[0], day, "assigned", false).await;
        house
            .sql(&format!(
                "UPDATE places SET booking_id = '{booking}' FROM turns
             WHERE turns.id = turn_id AND on_date = '{day}'"
            ))
            .await;
        booked.push(booking);
    }
    // Both turns are the resident's, and one of them will be the neighbour's.
    let id = house.draft("2026-06-15", "2026-06-16").await;
    house.put_up(id).await.ok(200);
    assert_eq!(house.counts().await, [1, 1]);
    let left = app
        .rows(
            "SELECT bookings.state, places.booking_id FROM bookings
             LEFT JOIN places ON places.booking_id = bookings.id ORDER BY state",
        )
        .await;
    assert_eq!(left.len(), 2);
    assert_eq!(left[0]["state"], "open");
    assert!(
        booked
            .iter()
            .any(|booking| left[0]["booking_id"] == json!(booking))
    );
    assert_eq!(left[1], json!({ "state": "withdrawn", "booking_id": null }));
}

/// Protects those who have no part in the rota, and turns of a class, from being planned.
#[tokio::test]
async fn whoever_has_no_part_keeps_their_place_and_takes_it_from_the_turn() {
    let house = House::open(3).await;
    house.add_turns("2026-06-15", "2026-06-17", 1, 2).await;
    let caretaker = house.app.member_id(&house.caretaker, house.site).await;
    house.give(caretaker, "2026-06-16", "assigned", false).await;
    let id = house.draft("2026-06-15", "2026-06-17").await;
    house.put_up(id).await.ok(200);
    let held = house.held().await;
    assert!(held.iter().all(|place| !place["member_id"].is_null()));
    let on_16th: BTreeSet<String> = (held.iter())
        .filter(|place| place["on_date"] == "2026-06-16")
        .map(|place| place["member_id"].as_str().unwrap().to_owned())
        .collect();
    assert!(on_16th.contains(&caretaker.to_string()));
    assert_eq!(on_16th.len(), 2);
    let mut counts = house.counts().await;
    counts.sort_unstable();
    assert_eq!(counts, [1, 2, 2]);
    assert_eq!(draft_all(&house.app.desk).await.unwrap(), 0);
}

/// Protects a bin from a place that looks held: whom a rota put there makes room for others
/// once they have no part any more, on the days that may still change.
#[tokio::test]
async fn whoever_has_no_part_any_more_makes_room() {
    let house = House::open(3).await;
    house.add_turns("2026-06-15", "2026-06-20", 1, 1).await;
    let id = house.draft("2026-06-15", "2026-06-20").await;
    house.put_up(id).await.ok(200);
    let gone = house.residents[0];
    assert_eq!(house.counts().await, [2, 2, 2]);
    house.limit(gone, &[("share", "'none'")]).await;
    let again = house.draft("2026-06-15", "2026-06-20").await;
    assert_eq!(changes(&house.places(again).await), 2);
    house.put_up(again).await.ok(200);
    let held = house.held().await;
    let holders: Vec<&str> = held
        .iter()
        .filter_map(|place| place["member_id"].as_str())
        .collect();
    assert_eq!(holders.len(), 6);
    assert!(!holders.contains(&gone.to_string().as_str()));
}
