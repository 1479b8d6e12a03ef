//! Asking for a draft, watching it, and dropping it.

use super::ground::House;
use crate::frame::{App, id_of, settings};
use chrono::TimeDelta;
use serde_json::json;
use std::sync::Arc;
use std::time::Duration;
use uuid::Uuid;
use wormrota::clock;
use wormrota::work::drafting::draft_all;
use wormrota::work::work_once;

/// Protects the way of a draft as a caretaker sees it, and that residents see none of it.
#[tokio::test]
async fn a_draft_is_asked_for_watched_and_says_what_is_proven() {
    let house = House::open(4).await;
    house.add_turns("2026-06-15", "2026-06-28", 1, 1).await;
    let id = house.ask("2026-06-15", "2026-06-28").await;
    let waiting = house.see(id).await;
    assert_eq!(waiting["state"], "waiting");
    assert_eq!(waiting["seed"], 7);
    assert_eq!(waiting["steps_done"], 0);
    assert_eq!(waiting["aims"], json!([]));
    let early = house.at(&format!("/rotas/{id}/places"));
    let early = house.app.get(&house.caretaker, &early).await;
    early.problem(409, "rota_state");
    house.put_up(id).await.problem(409, "rota_state");

    assert_eq!(draft_all(&house.app.desk).await.unwrap(), 1);
    let drafted = house.see(id).await;
    assert_eq!(drafted["state"], "drafted");
    assert!(drafted["steps_done"].as_i64() <= drafted["steps_planned"].as_i64());
    let aims = drafted["aims"].as_array().unwrap();
    let names: Vec<&str> = aims
        .iter()
        .map(|aim| aim["aim"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["empty_places", "fairness", "wishes"]);
    assert!(aims.iter().all(|aim| aim["proven"] == true), "{aims:?}");
    assert_eq!(aims[0]["value"], 0);
    assert_eq!(aims[0]["sentence"], "Every place has somebody.");
    assert_eq!(
        aims[1]["sentence"],
        "No fairer rota exists that leaves as few places empty and changes as little."
    );
    // Fourteen turns among four: nobody has less than three or more than four.
    let places = house.places(id).await;
    assert_eq!(places.len(), 14);
    let mut counts: Vec<usize> = (house.residents.iter())
        .map(|member| {
            let member = json!(member);
            let has =
                |turn: &&serde_json::Value| turn["places"][0]["in_rota"]["member_id"] == member;
            places.iter().filter(has).count()
        })
        .collect();
    counts.sort_unstable();
    assert_eq!(counts, [3, 3, 4, 4]);
    assert!(
        places
            .iter()
            .all(|turn| turn["places"][0]["changes"] == true)
    );
    assert!(
        places
            .iter()
            .all(|turn| turn["places"][0]["today"].is_null())
    );
    assert!(
        house
            .held()
            .await
            .iter()
            .all(|place| place["member_id"].is_null())
    );

    let list = house
        .app
        .get(&house.resident, &house.at("/rotas"))
        .await
        .ok(200);
    assert_eq!(list["items"], json!([]));
    let one = house.at(&format!("/rotas/{id}"));
    house
        .app
        .get(&house.resident, &one)
        .await
        .problem(404, "not_found");
}

/// Protects the processor from a site that asks for many drafts, and a retry from being one.
#[tokio::test]
async fn one_draft_of_a_site_is_at_work_and_a_retry_is_the_same_one() {
    let house = House::open(2).await;
    house.add_turns("2026-06-15", "2026-06-16", 1, 1).await;
    let new = json!({ "first_day": "2026-06-15", "last_day": "2026-06-16" });
    let ask = || {
        house
            .app
            .ask(reqwest::Method::POST, &house.at("/rotas"))
            .by(&house.caretaker)
            .header("idempotency-key", "the-same")
            .json(&new)
            .send()
    };
    let first = ask().await;
    let id = id_of(&first.ok(202));
    let address = house.at(&format!("/rotas/{id}"));
    assert_eq!(first.header("location"), Some(address.as_str()));
    let other = house
        .app
        .post(&house.caretaker, &house.at("/rotas"), &new)
        .await;
    other.problem(409, "too_many");
    assert_eq!(id_of(&ask().await.ok(202)), id);
    draft_all(&house.app.desk).await.unwrap();
    assert_eq!(id_of(&ask().await.ok(202)), id);
    let again = house
        .app
        .post(&house.caretaker, &house.at("/rotas"), &new)
        .await;
    assert_ne!(id_of(&again.ok(202)), id);
}

/// Protects callers from days that cannot be meant.
#[tokio::test]
async fn days_that_cannot_be_are_named_and_nothing_is_written() {
    let house = House::open(2).await;
    house.add_turns("2026-06-15", "2026-06-21", 1, 1).await;
    let rota = house.draft("2026-06-15", "2026-06-21").await;
    house.put_up(rota).await.ok(200);
    let before = house.app.contents().await;
    for (first, last, from, pointer) in [
        ("2026-06-30", "2026-06-29", None, "/last_day"),
        ("2026-06-22", "2027-07-27", None, "/last_day"),
        ("2026-06-09", "2026-06-12", None, "/first_day"),
        ("2029-06-09", "2029-06-12", None, "/first_day"),
        (
            "2026-06-22",
            "2026-06-28",
            Some("2026-06-23"),
            "/replan_from",
        ),
        // Some days of the rota in force, but not all and no others.
        ("2026-06-15", "2026-06-22", None, "/first_day"),
        ("2026-06-18", "2026-06-18", None, "/first_day"),
        (
            "2026-06-15",
            "2026-06-21",
            Some("2026-06-14"),
            "/replan_from",
        ),
        (
            "2026-06-15",
            "2026-06-21",
            Some("2026-06-22"),
            "/replan_from",
        ),
    ] {
        let new = json!({ "first_day": first, "last_day": last, "replan_from": from });
        let answer = house
            .app
            .post(&house.caretaker, &house.at("/rotas"), &new)
            .await;
        answer.conflicting_fields(&[pointer]);
    }
    for (field, value) in [("seed", json!(-1)), ("first_day", json!("2026-02-30"))] {
        let mut new = json!({ "first_day": "2026-06-22", "last_day": "2026-06-28" });
        new[field] = value;
        let answer = house
            .app
            .post(&house.caretaker, &house.at("/rotas"), &new)
            .await;
        answer.wrong_fields(&[&format!("/{field}")]);
    }
    assert_eq!(house.app.contents().await, before);
    let named = json!({ "first_day": "2026-06-18", "last_day": "2026-06-18" });
    let answer = house
        .app
        .post(&house.caretaker, &house.at("/rotas"), &named)
        .await;
    assert!(answer.text.contains(&rota.to_string()), "{}", answer.text);
}

/// Protects kept places from being planned over, and a pair kept apart from being told to an
/// educator.
#[tokio::test]
async fn a_kept_place_that_breaks_a_rule_is_named() {
    let house = House::open(3).await;
    house.add_turns("2026-06-15", "2026-06-21", 1, 2).await;
    let [one, two, three] = house.residents[..] else {
        panic!()
    };
    house.give(three, "2026-06-17", "assigned", true).await;
    house.away(three, "2026-06-17", "2026-06-17").await;
    let new = json!({ "first_day": "2026-06-15", "last_day": "2026-06-21" });
    let answer = house
        .app
        .post(&house.caretaker, &house.at("/rotas"), &new)
        .await;
    answer.conflicting_fields(&["/last_day"]);
    assert!(answer.text.contains(&three.to_string()), "{}", answer.text);
    assert!(answer.text.contains("the rule absence"), "{}", answer.text);

    house.sql("DELETE FROM absences").await;
    house.give(one, "2026-06-18", "assigned", true).await;
    house.give(two, "2026-06-18", "assigned", true).await;
    house.apart(one, two).await;
    let told = house
        .app
        .post(&house.caretaker, &house.at("/rotas"), &new)
        .await;
    assert!(told.text.contains("the rule apart"), "{}", told.text);
    let told = house
        .app
        .post(&house.educator, &house.at("/rotas"), &new)
        .await;
    told.conflicting_fields(&["/last_day"]);
    assert!(told.text.contains("the rule places"), "{}", told.text);
    assert!(!told.text.contains("apart"), "{}", told.text);
    assert!(house.app.rows("SELECT id FROM rotas").await.is_empty());
}

/// Protects people from a draft that somebody has thought better of.
#[tokio::test]
async fn a_dropped_draft_is_not_drafted_and_not_put_up() {
    let house = House::open(2).await;
    house.add_turns("2026-06-15", "2026-06-18", 1, 1).await;
    let drop = |id: Uuid| {
        let path = house.at(&format!("/rotas/{id}"));
        let (app, caretaker) = (&house.app, &house.caretaker);
        async move { app.delete(caretaker, &path).await }
    };
    let waiting = house.ask("2026-06-15", "2026-06-18").await;
    assert_eq!(drop(waiting).await.status, 204);
    assert_eq!(drop(waiting).await.status, 204);
    assert_eq!(draft_all(&house.app.desk).await.unwrap(), 0);
    assert_eq!(house.see(waiting).await["state"], "dropped");

    let drafted = house.draft("2026-06-15", "2026-06-18").await;
    assert_eq!(drop(drafted).await.status, 204);
    house.put_up(drafted).await.problem(409, "rota_state");

    let third = house.draft("2026-06-15", "2026-06-18").await;
    house.put_up(third).await.ok(200);
    drop(third).await.problem(409, "rota_state");
    drop(Uuid::now_v7()).await.problem(404, "not_found");

    // In force it stays; what was dropped is forgotten after a month.
    house.app.set_clock("2026-07-12T17:00:00Z").await;
    work_once(&house.app.desk, clock::wall()).await.unwrap();
    let left = house.app.rows("SELECT id FROM rotas").await;
    assert_eq!(left, [json!({ "id": third })]);
}

/// A house so full of limits that nothing is proven at once.
async fn difficult() -> House {
    let house = House::open(14).await;
    house.add_turns("2026-06-15", "2026-09-13", 1, 2).await;
    for (at, member) in house.residents.iter().enumerate() {
        let cannot = format!("'{{{}}}'", at % 7 + 1);
        let likes = format!("'{{{}}}'", (at + 3) % 7 + 1);
        let rest = (at % 4 + 1).to_string();
        let alone = (at % 3 == 0).to_string();
        let experienced = (at % 3 == 1).to_string();
        let columns = [
            ("cannot_weekdays", cannot.as_str()),
            ("likes_weekdays", &likes),
            ("rest_days", &rest),
            ("not_alone", &alone),
            ("experienced", &experienced),
            ("most_in_28_days", "9"),
        ];
        house.limit(*member, &columns).await;
    }
    house.apart(house.residents[1], house.residents[6]).await;
    house
}

/// Protects a draft from the death of the copy that makes it: another one comes to the same.
#[tokio::test]
async fn a_draft_whose_copy_dies_is_begun_again_and_comes_to_the_same_rota() {
    let house = difficult().await;
    let (first, last) = ("2026-06-15", "2026-09-13");
    let shorter = "UPDATE rotas SET steps_planned = 120000 WHERE state = 'waiting'";
    let undisturbed = house.ask(first, last).await;
    house.sql(shorter).await;
    assert_eq!(draft_all(&house.app.desk).await.unwrap(), 1);
    let killed = house.ask(first, last).await;
    house.sql(shorter).await;
    let desk = house.app.desk.clone();
    let copy = tokio::spawn(async move { draft_all(&desk).await });
    loop {
        let seen = house.see(killed).await;
        assert_ne!(
            seen["state"], "drafted",
            "too easy: it was drafted before it was killed"
        );
        if seen["steps_done"].as_i64() > Some(0) {
            break;
        }
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    copy.abort();
    assert!(copy.await.is_err());
    let other = Arc::new(App::on(house.app.url.clone(), settings()));
    // Its lease has not run out yet.
    assert_eq!(draft_all(&other.desk).await.unwrap(), 0);
    let over = clock::wall() - TimeDelta::seconds(1);
    house
        .sql(&format!(
            "UPDATE jobs SET leased_until = '{}' WHERE state = 'leased'",
            over.to_rfc3339()
        ))
        .await;
    assert_eq!(draft_all(&other.desk).await.unwrap(), 1);
    let found = house
        .app
        .rows("SELECT id, found AS plan, steps_done FROM rotas ORDER BY id")
        .await;
    assert_eq!(found.len(), 2);
    assert_eq!(found[0]["id"], json!(undisturbed));
    assert_eq!(found[0]["plan"], found[1]["plan"]);
    assert_eq!(found[0]["steps_done"], found[1]["steps_done"]);
    assert!(found[0]["plan"]["places"].as_array().unwrap().len() > 100);
}

/// Protects a caretaker who drops a draft from waiting for its end, and the copy from work that
/// nobody wants.
#[tokio::test]
async fn a_draft_that_is_dropped_at_work_stops() {
    let house = difficult().await;
    let id = house.ask("2026-06-15", "2026-09-13").await;
    let desk = house.app.desk.clone();
    let copy = tokio::spawn(async move { draft_all(&desk).await });
    while house.see(id).await["steps_done"] == json!(0) {
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    let path = house.at(&format!("/rotas/{id}"));
    assert_eq!(house.app.delete(&house.caretaker, &path).await.status, 204);
    assert_eq!(copy.await.unwrap().unwrap(), 0);
    let seen = house.see(id).await;
    assert_eq!(seen["state"], "dropped");
    assert!(seen["steps_done"].as_i64() < seen["steps_planned"].as_i64());
    let jobs = house
        .app
        .rows("SELECT state FROM jobs WHERE kind = 'rota_draft'")
        .await;
    assert_eq!(jobs, [json!({ "state": "done" })]);
}

/// Protects other drafts from one that takes every copy down with it.
#[tokio::test]
async fn a_draft_that_never_ends_is_given_up() {
    let house = House::open(2).await;
    house.add_turns("2026-06-15", "2026-06-18", 1, 1).await;
    let id = house.ask("2026-06-15", "2026-06-18").await;
    house
        .sql("UPDATE jobs SET attempts = 5 WHERE kind = 'rota_draft'")
        .await;
    assert_eq!(draft_all(&house.app.desk).await.unwrap(), 1);
    let seen = house.see(id).await;
    assert_eq!(
        (&seen["state"], &seen["failure"]),
        (&json!("failed"), &json!("given_up"))
    );
}
