//! Places that are given by hand, and whoever steps in for a pupil who is away.

use super::{School, TODAY, class_turn};
use chrono::NaiveDate;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;

/// Protects a pupil who is ill: the first step changes nothing, the second puts the next one in,
/// who changes places with them; nobody has a turn more or less for it.
#[tokio::test]
async fn whoever_is_away_is_exchanged_in_two_steps() {
    let school = School::open("Ana\nBo\nCy").await;
    let [ana, bo, cy] = school.pupils[..] else {
        panic!("three pupils")
    };
    let mut places = Vec::new();
    for n in 10..=15 {
        places.push(school.turn(&format!("2026-06-{n}"), 1).await.1[0]);
    }
    school.share_out(TODAY, "2026-06-15", "in_order").await;
    let holders = async || {
        let mut found = Vec::new();
        for place in &places {
            found.push(school.holder(*place).await.unwrap());
        }
        found
    };
    assert_eq!(holders().await, [ana, bo, cy, ana, bo, cy]);

    let marked = school.away(ana, TODAY).await;
    assert_eq!(marked["places"][0]["place_id"], json!(places[0]));
    assert_eq!(marked["places"][0]["proposed_pupil_id"], json!(bo));
    assert_eq!(marked["places"][0]["proposed_label"], "Bo");
    assert_eq!(holders().await, [ana, bo, cy, ana, bo, cy]);
    let path = school.duty(&format!("?from={TODAY}&to={TODAY}"));
    let duty = school.app.get(&school.teacher, &path).await.ok(200);
    assert_eq!(duty["turns"][0]["places"][0]["away"], true);

    let changed = school.exchange(places[0], &json!({})).await.ok(200);
    assert_eq!(changed["turns"].as_array().unwrap().len(), 2);
    assert_eq!(holders().await, [bo, ana, cy, ana, bo, cy]);
    // Once: whoever has it now is there.
    school
        .exchange(places[0], &json!({}))
        .await
        .problem(409, "conflicting_fields");

    // Still ill the next day: Cy steps in, and Ana comes when Cy would have.
    school.away(ana, "2026-06-11").await;
    school.exchange(places[1], &json!({})).await.ok(200);
    assert_eq!(holders().await, [bo, cy, ana, ana, bo, cy]);
    // Where the absent one cannot come either, nothing else changes.
    school.away(ana, "2026-06-12").await;
    school.away(ana, "2026-06-14").await;
    let named = json!({ "pupil_id": bo });
    let changed = school.exchange(places[2], &named).await.ok(200);
    assert_eq!(changed["turns"].as_array().unwrap().len(), 1);
    assert_eq!(holders().await, [bo, cy, bo, ana, bo, cy]);

    // Nobody who is away, on the turn or of another class steps in.
    school.away(cy, "2026-06-15").await;
    school.away(bo, "2026-06-15").await;
    let (_, others) = school.class("4c", "Zoë").await;
    for (pupil, pointer) in [(bo, "/pupil_id"), (others[0], "/pupil_id")] {
        let answer = school
            .exchange(places[5], &json!({ "pupil_id": pupil }))
            .await;
        answer.conflicting_fields(&[pointer]);
    }
    school
        .exchange(places[5], &json!({ "pupil_id": cy }))
        .await
        .conflicting_fields(&["/pupil_id"]);
    school.away(ana, "2026-06-15").await;
    let marked = school.away(cy, "2026-06-15").await;
    assert_eq!(marked["places"][0]["proposed_pupil_id"], Value::Null);
    school
        .exchange(places[5], &json!({}))
        .await
        .conflicting_fields(&["/pupil_id"]);

    // Back again: a day is taken back, but not one that has passed.
    let away = |day: &str| {
        school.at(&format!(
            "/classes/{}/pupils/{cy}/absences/{day}",
            school.class
        ))
    };
    let back = away("2026-06-15");
    assert_eq!(school.app.delete(&school.teacher, &back).await.status, 204);
    school
        .app
        .delete(&school.teacher, &back)
        .await
        .problem(404, "not_found");
    let past = away("2026-06-09");
    school
        .app
        .delete(&school.teacher, &past)
        .await
        .problem(409, "ended_already");
    school
        .exchange(places[5], &json!({}))
        .await
        .problem(409, "conflicting_fields");
}

/// Protects a retry after a lost answer: it happens once.
#[tokio::test]
async fn a_retry_of_an_exchange_is_one_exchange() {
    let school = School::open("Ana\nBo\nCy").await;
    let mut places = Vec::new();
    for n in 10..=12 {
        places.push(school.turn(&format!("2026-06-{n}"), 1).await.1[0]);
    }
    school.share_out(TODAY, "2026-06-12", "in_order").await;
    school.away(school.pupils[0], TODAY).await;
    let send = || {
        let path = school.duty(&format!("/{}/exchange", places[0]));
        let ask = school.app.ask(Method::POST, &path).by(&school.teacher);
        ask.header("idempotency-key", "once")
            .json(&json!({}))
            .send()
    };
    let first = send().await.ok(200);
    let after = school.app.contents().await;
    assert_eq!(send().await.ok(200), first);
    assert_eq!(school.app.contents().await, after);
}

/// Protects children: a pupil is only on turns of their own class, once, and while there; and
/// members keep what is theirs.
#[tokio::test]
async fn a_place_is_for_a_pupil_of_the_class_who_is_there() {
    let school = School::open("Ana\nBo").await;
    let [ana, bo] = school.pupils[..] else {
        panic!("two pupils")
    };
    let (turn, places) = school.turn("2026-06-12", 2).await;
    let seen = school.put(places[0], Some(ana)).await.ok(200);
    assert_eq!(seen["turns"][0]["places"][0]["label"], "Ana");
    school
        .put(places[1], Some(ana))
        .await
        .problem(409, "held_already");
    let (other, others) = school.class("4c", "Zoë").await;
    for pupil in [others[0], Uuid::now_v7()] {
        let answer = school.put(places[1], Some(pupil)).await;
        answer.conflicting_fields(&["/pupil_id"]);
    }
    school.away(bo, "2026-06-12").await;
    school
        .put(places[1], Some(bo))
        .await
        .conflicting_fields(&["/pupil_id"]);

    // A place of another class's turn, of a turn of the house, and of none.
    let day: NaiveDate = "2026-06-12".parse().unwrap();
    let of_other = (school.site, school.bin, other);
    let (_, foreign) = class_turn(&school.app, of_other, day, 1).await;
    let (house, of_house) = school.turn("2026-06-13", 1).await;
    let sql = format!("UPDATE turns SET class_id = NULL WHERE id = '{house}'");
    school.app.sql(&sql).await;
    for place in [foreign[0], of_house[0], Uuid::now_v7()] {
        school.put(place, Some(ana)).await.problem(404, "not_found");
        school
            .exchange(place, &json!({}))
            .await
            .problem(404, "not_found");
    }

    // What a member holds is not a pupil's to take.
    let teacher = school.app.member_id(&school.teacher, school.site).await;
    let (_, held) = school.turn("2026-06-14", 1).await;
    school
        .app
        .sql(&format!(
            "UPDATE places SET member_id = '{teacher}', how = 'assigned', \
                held_since = '2026-06-01T00:00:00Z' WHERE id = '{}'",
            held[0]
        ))
        .await;
    school
        .put(held[0], Some(ana))
        .await
        .problem(409, "not_the_holder");
    school
        .put(held[0], None)
        .await
        .problem(409, "not_the_holder");
    let shared = school
        .share_out("2026-06-14", "2026-06-14", "in_order")
        .await;
    assert_eq!(shared["filled"], 0);

    // Free again; then called off, and then over.
    school.put(places[0], None).await.ok(200);
    assert_eq!(school.holder(places[0]).await, None);
    let off = |reason: &str| format!("UPDATE turns SET called_off = {reason} WHERE id = '{turn}'");
    school.app.sql(&off("'hand'")).await;
    school
        .put(places[0], Some(ana))
        .await
        .problem(409, "turn_over");
    let shared = school
        .share_out("2026-06-12", "2026-06-12", "in_order")
        .await;
    assert_eq!(
        (&shared["filled"], &shared["still_free"]),
        (&json!(0), &json!(0))
    );
    school.app.sql(&off("NULL")).await;
    school.app.set_clock("2026-06-13T17:00:00Z").await;
    school
        .put(places[0], Some(ana))
        .await
        .problem(409, "turn_over");
}
