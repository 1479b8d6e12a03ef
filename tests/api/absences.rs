//! Days on which members are away.

use crate::frame::{Answer, App, Court, Person, all_at_once, id_of, settings};
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn path_of(app: &App, who: &Person, court: &Court) -> String {
    let member = app.member_id(who, court.site).await;
    court.at(&format!("/members/{member}/absences"))
}

async fn tell(app: &App, who: &Person, path: &str, first: &str, last: Option<&str>) -> Answer {
    let body = json!({ "first_day": first, "last_day": last });
    app.post(who, path, &body).await
}

/// The days of every absence that is kept.
async fn kept(app: &App) -> Vec<(String, Option<String>)> {
    let rows = app.rows("SELECT first_day, last_day FROM absences ORDER BY first_day");
    let day = |row: &Value, name: &str| row[name].as_str().map(str::to_owned);
    let rows = rows.await;
    rows.iter()
        .map(|row| (day(row, "first_day").unwrap(), day(row, "last_day")))
        .collect()
}

/// Protects days that have passed: what was is not rewritten.
#[tokio::test]
async fn an_absence_is_told_and_taken_back_as_far_as_it_has_not_passed() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let who = &court.resident;
    let path = path_of(&app, who, &court).await;
    let now = tell(&app, who, &path, "2026-06-10", Some("2026-06-20")).await;
    let now = id_of(&now.ok(201));
    let later = tell(&app, who, &path, "2026-07-01", None).await.ok(201);
    assert_eq!(later["last_day"], Value::Null);
    assert_eq!(later["given_up"], json!([]));
    assert_eq!(later["excused"], json!(true));
    let list = app.get(who, &path).await.ok(200);
    assert_eq!(list["items"][0]["id"], json!(now));
    assert_eq!(list["items"][1]["first_day"], "2026-07-01");
    let first = app.get(who, &format!("{path}?limit=1")).await.ok(200);
    let cursor = first["next_cursor"].as_str().unwrap();
    let second = app
        .get(who, &format!("{path}?limit=1&cursor={cursor}"))
        .await;
    assert_eq!(second.ok(200)["items"][0], list["items"][1]);

    // What has not begun goes as a whole.
    let later = format!("{path}/{}", id_of(&later));
    let nothing = json!({
        "theirs_again_turn_ids": [], "covered_turn_ids": [], "kept_from_them_turn_ids": [],
    });
    assert_eq!(app.delete(who, &later).await.ok(200), nothing);
    app.delete(who, &later).await.problem(404, "not_found");
    assert_eq!(kept(&app).await.len(), 1);
    // What began five days ago ends yesterday.
    app.set_clock("2026-06-15T17:00:00Z").await;
    let begun = format!("{path}/{now}");
    app.delete(who, &begun).await.ok(200);
    let days = ("2026-06-10".to_owned(), Some("2026-06-14".to_owned()));
    assert_eq!(kept(&app).await, [days]);
    // And is over then.
    app.delete(who, &begun).await.problem(409, "ended_already");
    // Today can be told again.
    tell(&app, who, &path, "2026-06-15", None).await.ok(201);
    let lines = "SELECT detail FROM audit WHERE deed LIKE 'absence%'";
    let told = Value::from(app.rows(lines).await).to_string();
    assert!(!told.contains("2026-"), "{told}");
}

/// Protects from an absence that is told for the wrong person: the day it begins, all of it goes.
#[tokio::test]
async fn an_absence_that_begins_today_goes_as_a_whole() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = path_of(&app, &court.resident, &court).await;
    let told = tell(&app, &court.educator, &path, "2026-06-10", None).await;
    let one = format!("{path}/{}", id_of(&told.ok(201)));
    app.delete(&court.resident, &one).await.ok(200);
    assert_eq!(kept(&app).await, []);
}

/// Protects the planner from days that contradict each other or cannot be meant.
#[tokio::test]
async fn days_that_cannot_be_are_refused_by_name() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let who = &court.resident;
    let path = path_of(&app, who, &court).await;
    for (first, last, pointer) in [
        ("2026-06-09", None, "/first_day"),
        ("2029-06-11", None, "/first_day"),
        ("2026-06-12", Some("2026-06-11"), "/last_day"),
        ("2026-06-12", Some("2029-06-11"), "/last_day"),
    ] {
        let answer = tell(&app, who, &path, first, last).await;
        answer.conflicting_fields(&[pointer]);
    }
    tell(&app, who, &path, "2026-06-20", Some("2026-06-25"))
        .await
        .ok(201);
    for (first, last) in [
        ("2026-06-10", None),
        ("2026-06-25", Some("2026-06-26")),
        ("2026-06-10", Some("2026-06-20")),
        ("2026-06-21", Some("2026-06-22")),
    ] {
        let answer = tell(&app, who, &path, first, last).await;
        answer.conflicting_fields(&["/first_day"]);
        let words = "the absence from 2026-06-20 to 2026-06-25";
        assert!(answer.text.contains(words), "{}", answer.text);
    }
    // Beside it there is room, and another member's days are their own.
    tell(&app, who, &path, "2026-06-26", None).await.ok(201);
    let other = app.member(court.site, Role::Resident).await;
    let theirs = path_of(&app, &other, &court).await;
    tell(&app, &other, &theirs, "2026-06-20", None)
        .await
        .ok(201);
    // No reason is asked for, and none is taken.
    let body = json!({ "first_day": "2026-06-12", "reason": "hospital" });
    app.post(who, &path, &body)
        .await
        .problem(422, "invalid_fields");
}

/// Protects turns from a holder who is away: their places of these days are free, called off or
/// not, and no others.
#[tokio::test]
async fn places_within_an_absence_are_free() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let member = app.member_id(&court.resident, court.site).await;
    let path = path_of(&app, &court.resident, &court).await;
    let mut turns = Vec::new();
    for (day, off) in [
        ("2026-06-14", "NULL"),
        ("2026-06-16", "NULL"),
        ("2026-06-17", "'hand'"),
        ("2026-06-20", "NULL"),
    ] {
        let (turn, place) = (Uuid::now_v7(), Uuid::now_v7());
        let (site, bin) = (court.site, court.bin);
        app.sql(&format!(
            "INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, called_off, \
                off_pattern, created_at, revision) \
             VALUES ('{site}', '{turn}', '{bin}', '{day}', 'feeding', 1, {off}, false, \
                '2026-06-01T00:00:00Z', 1); \
             INSERT INTO places (site_id, id, turn_id, seat, member_id, how, kept, held_since) \
             VALUES ('{site}', '{place}', '{turn}', 1, '{member}', 'taken', true, \
                '2026-06-01T00:00:00Z')"
        ))
        .await;
        turns.push(turn);
    }
    let until = Some("2026-06-18");
    let told = tell(&app, &court.resident, &path, "2026-06-15", until).await;
    let told = told.ok(201);
    let given_up = told["given_up"].as_array().unwrap();
    let of = |one: &Value| one["turn_id"].as_str().unwrap().parse::<Uuid>().unwrap();
    assert_eq!(given_up.iter().map(of).collect::<Vec<_>>(), turns[1..3]);
    assert_eq!(given_up[1]["state"], "left_empty");
    let held = app
        .rows("SELECT turn_id FROM places WHERE member_id IS NOT NULL ORDER BY id")
        .await;
    let held: Vec<Uuid> = held.iter().map(of).collect();
    assert_eq!(held, [turns[0], turns[3]]);
    let open = tell(&app, &court.resident, &path, "2026-06-19", None).await;
    assert_eq!(of(&open.ok(201)["given_up"][0]), turns[3]);
}

/// Protects who is away when from neighbours.
#[tokio::test]
async fn only_they_themselves_and_keepers_know_who_is_away() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = path_of(&app, &court.resident, &court).await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let told = tell(&app, &caretaker, &path, "2026-06-20", None).await;
    let one = format!("{path}/{}", id_of(&told.ok(201)));
    let other = app.member(court.site, Role::Resident).await;
    app.get(&other, &path).await.problem(403, "forbidden");
    app.delete(&other, &one).await.problem(403, "forbidden");
    tell(&app, &other, &path, "2026-06-12", None)
        .await
        .problem(403, "forbidden");
    let own = app.get(&court.resident, &path).await.ok(200);
    assert_eq!(own["items"].as_array().unwrap().len(), 1);
    // Under somebody else's name it is not there.
    let theirs = path_of(&app, &other, &court).await;
    let smuggled = one.replace(&path, &theirs);
    app.delete(&caretaker, &smuggled)
        .await
        .problem(404, "not_found");
}

/// Protects from two absences of one member on one day, told at once on two copies.
#[tokio::test]
async fn of_several_absences_told_at_once_no_two_overlap() {
    let app = Arc::new(App::start_in_june().await);
    let court = app.court().await;
    let copy = Arc::new(App::on(app.url.clone(), settings()));
    let path = path_of(&app, &court.resident, &court).await;
    let answers = all_at_once((0..8_usize).map(|at| {
        let app = Arc::clone([&app, &copy][at % 2]);
        let (who, path) = (court.resident.clone(), path.clone());
        async move {
            let first = format!("2026-06-{}", 20 + at % 4);
            let answer = tell(&app, &who, &path, &first, Some("2026-06-25")).await;
            answer.status.as_u16()
        }
    }))
    .await;
    let with = |status: u16| answers.iter().filter(|one| **one == status).count();
    assert_eq!((with(201), with(409)), (1, 7), "{answers:?}");
    assert_eq!(kept(&app).await.len(), 1);
}

/// Protects from rows that no use case wrote: the database has the last word.
#[tokio::test]
async fn the_database_itself_keeps_absences_apart() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = path_of(&app, &court.resident, &court).await;
    tell(&app, &court.resident, &path, "2026-06-20", None)
        .await
        .ok(201);
    let twice = "DO $$ BEGIN
            INSERT INTO absences SELECT site_id, gen_random_uuid(), member_id, '2026-06-25', NULL,
                reported_by, created_at FROM absences;
            RAISE 'two absences overlap';
        EXCEPTION WHEN exclusion_violation THEN NULL;
        END $$";
    app.sql(twice).await;
    assert_eq!(kept(&app).await.len(), 1);
}
