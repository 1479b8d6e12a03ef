//! Turns in the calendar programs of people, at addresses that only their owner knows.

use crate::frame::{Answer, Person, id_of, logged};
use crate::place_ground::PlaceGround;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

const FRIDAY: &str = "2026-06-12";
const SATURDAY: &str = "2026-06-13";

/// Makes an address; gives what came back.
async fn made(ground: &PlaceGround, by: &Person, body: &Value) -> Value {
    let path = ground.court.at("/calendar_addresses");
    ground.app.post(by, &path, body).await.ok(201)
}

/// The path of an address.
fn path_of(made: &Value) -> String {
    let address = made["address"].as_str().unwrap();
    let path = address.strip_prefix("http://127.0.0.1:8080").unwrap();
    assert!(
        path.starts_with("/calendars/")
            && path.rsplit_once('.').is_some_and(|(_, end)| end == "ics")
    );
    path.to_owned()
}

async fn fetch(ground: &PlaceGround, path: &str) -> Answer {
    ground.app.ask(Method::GET, path).send().await
}

/// The lines of a calendar, unfolded.
async fn lines(ground: &PlaceGround, path: &str) -> Vec<String> {
    let answer = fetch(ground, path).await;
    assert_eq!(answer.status, 200, "{}", answer.text);
    let text = answer.text.replace("\r\n ", "");
    text.lines().map(str::to_owned).collect()
}

fn count(lines: &[String], wanted: &str) -> usize {
    lines.iter().filter(|line| *line == wanted).count()
}

/// Protects people from missing a turn: their calendar has those that they hold, with the hours
/// of the site, and what is called off as cancelled.
#[tokio::test]
async fn ones_own_turns_stand_in_ones_calendar() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let (friday, saturday) = (ground.turn(FRIDAY, 2).await, ground.turn(SATURDAY, 1).await);
    let hours = format!("UPDATE turns SET opens = '08:00', closes = '18:00' WHERE id = '{friday}'");
    ground.app.sql(&hours).await;
    let place = ground.taken(&ana.who, friday).await;
    ground.taken(&bo.who, friday).await;
    ground.taken(&ana.who, saturday).await;

    let address = made(&ground, &ana.who, &json!({})).await;
    assert_eq!(address["bin_id"], Value::Null);
    let path = path_of(&address);
    let calendar = lines(&ground, &path).await;
    let uid = |turn: Uuid| format!("UID:{turn}.{}@wormrota.invalid", ana.id);
    for line in [
        "BEGIN:VTIMEZONE",
        "DTSTART;TZID=America/Chicago:20260612T080000",
        "DTEND;TZID=America/Chicago:20260612T180000",
        "DTSTART;VALUE=DATE:20260613",
        "LOCATION:Elm Court",
        &uid(friday),
        &uid(saturday),
    ] {
        assert_eq!(
            count(&calendar, line),
            if line.starts_with("LOC") { 2 } else { 1 },
            "{line}"
        );
    }
    assert_eq!(count(&calendar, "BEGIN:VEVENT"), 2);
    assert!(!calendar.concat().contains(&bo.id.to_string()));

    let off = json!({ "called_off": true });
    let turn = ground.court.at(&format!("/turns/{saturday}"));
    ground.app.patch(&keeper.who, &turn, &off).await.ok(200);
    ground.give_back(&ana.who, (friday, place)).await;
    let calendar = lines(&ground, &path).await;
    assert_eq!(count(&calendar, "BEGIN:VEVENT"), 1);
    assert_eq!(count(&calendar, "STATUS:CANCELLED"), 1);
    assert_eq!(count(&calendar, &uid(saturday)), 1);
}

/// Protects calendars from taking an older state for a newer one: what changes counts up.
#[tokio::test]
async fn what_is_changed_about_a_turn_has_a_larger_sequence() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let friday = ground.turn(FRIDAY, 1).await;
    ground.taken(&ana.who, friday).await;
    let path = path_of(&made(&ground, &ana.who, &json!({})).await);
    let sequence = |lines: Vec<String>| -> u32 {
        let found = lines.iter().find_map(|line| line.strip_prefix("SEQUENCE:"));
        found.unwrap().parse().unwrap()
    };
    let before = sequence(lines(&ground, &path).await);
    let turn = ground.court.at(&format!("/turns/{friday}"));
    let off = json!({ "called_off": true });
    ground.app.patch(&keeper.who, &turn, &off).await.ok(200);
    let off = sequence(lines(&ground, &path).await);
    assert!(off > before, "{off} {before}");
    let on = json!({ "called_off": false });
    ground.app.patch(&keeper.who, &turn, &on).await.ok(200);
    let on = sequence(lines(&ground, &path).await);
    assert!(on > off, "{on} {off}");
}

/// Protects neighbours: the calendar of a bin says when it is due, and not by whom.
#[tokio::test]
async fn the_calendar_of_a_bin_has_every_turn_and_nobodys_name() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let (friday, saturday) = (ground.turn(FRIDAY, 1).await, ground.turn(SATURDAY, 1).await);
    ground.taken(&ana.who, friday).await;
    let resident = &ground.court.resident;
    let address = made(&ground, resident, &json!({ "bin_id": ground.court.bin })).await;
    assert_eq!(address["bin_id"], ground.court.bin.to_string());
    let calendar = lines(&ground, &path_of(&address)).await;
    assert_eq!(count(&calendar, "BEGIN:VEVENT"), 2);
    for turn in [friday, saturday] {
        assert_eq!(count(&calendar, &format!("UID:{turn}@wormrota.invalid")), 1);
    }
    let text = calendar.concat();
    assert!(
        !text.contains(&ana.id.to_string()) && !text.contains("A resident"),
        "{text}"
    );

    let path = ground.court.at("/calendar_addresses");
    let elsewhere = json!({ "bin_id": Uuid::now_v7() });
    ground
        .app
        .post(resident, &path, &elsewhere)
        .await
        .conflicting_fields(&["/bin_id"]);
}

/// Protects the service from sending what a program has, and programs from overlooking what
/// changed.
#[tokio::test]
async fn a_calendar_that_did_not_change_is_not_sent_again() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let path = path_of(&made(&ground, &ana.who, &json!({})).await);
    let first = fetch(&ground, &path).await;
    let tag = first.header("etag").unwrap().to_owned();
    assert!(tag.starts_with('"'), "{tag}");
    assert_eq!(
        first.header("content-type"),
        Some("text/calendar; charset=utf-8")
    );
    assert_eq!(first.header("cache-control"), Some("private, max-age=3600"));
    let again = fetch(&ground, &path).await;
    assert_eq!(
        (again.header("etag"), &again.text),
        (Some(tag.as_str()), &first.text)
    );
    let asked = || {
        ground
            .app
            .ask(Method::GET, &path)
            .header("if-none-match", &tag)
    };
    let known = asked().send().await;
    assert_eq!((known.status.as_u16(), known.text.as_str()), (304, ""));
    assert_eq!(known.header("etag"), Some(tag.as_str()));
    let head = ground.app.ask(Method::HEAD, &path).send().await;
    assert_eq!((head.status.as_u16(), head.text.as_str()), (200, ""));
    assert_eq!(head.header("etag"), Some(tag.as_str()));

    let friday = ground.turn(FRIDAY, 1).await;
    ground.taken(&ana.who, friday).await;
    let changed = asked().send().await;
    assert_eq!(changed.status, 200, "{}", changed.text);
    assert_ne!(changed.header("etag"), Some(tag.as_str()));
}

/// Protects turns from whoever once knew an address, from those who left, and the secret from
/// everybody else and from the log.
#[tokio::test]
async fn an_address_ends_when_it_is_taken_back_or_its_owner_leaves() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let app = &ground.app;
    let one = made(&ground, &ana.who, &json!({})).await;
    let other = made(&ground, &ana.who, &json!({})).await;
    let of_bo = made(&ground, &bo.who, &json!({})).await;
    let all = ground.court.at("/calendar_addresses");
    let listed = app.get(&ana.who, &all).await.ok(200);
    assert_eq!(listed["items"], json!([one, other]));

    let theirs = format!("{all}/{}", id_of(&of_bo));
    let keeper = ground.neighbour(Role::Caretaker).await;
    for who in [&ana.who, &keeper.who] {
        let answer = app.delete(who, &theirs).await;
        answer.problem(404, "not_found");
    }
    let own = format!("{all}/{}", id_of(&one));
    assert_eq!(app.delete(&ana.who, &own).await.status, 204);
    app.delete(&ana.who, &own).await.problem(404, "not_found");
    fetch(&ground, &path_of(&one))
        .await
        .problem(404, "not_found");
    assert_eq!(fetch(&ground, &path_of(&other)).await.status, 200);

    let leaving = ground.court.at(&format!("/members/{}", ana.id));
    assert_eq!(app.delete(&ana.who, &leaving).await.status, 204);
    fetch(&ground, &path_of(&other))
        .await
        .problem(404, "not_found");

    let path = path_of(&of_bo);
    let token = path
        .trim_start_matches("/calendars/")
        .trim_end_matches(".ics");
    for forged in [
        path.replace(".ics", "A.ics"),
        path.replace(".ics", ""),
        format!("/calendars/{}.ics", &token[1..]),
    ] {
        fetch(&ground, &forged).await.problem(404, "not_found");
    }
    assert_eq!(fetch(&ground, &path).await.status, 200);
    let log = logged();
    assert!(
        log.contains("/calendars/{token}.ics"),
        "no route was logged"
    );
    assert!(!log.contains(token), "a secret was logged");
}

/// Protects the table from a program that makes an address each time it starts.
#[tokio::test]
async fn twenty_addresses_work_at_a_time() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let mut last = Value::Null;
    for _ in 0..20 {
        last = made(&ground, &ana.who, &json!({})).await;
    }
    let addresses = ground.court.at("/calendar_addresses");
    let one_more = ground.app.post(&ana.who, &addresses, &json!({})).await;
    one_more.problem(409, "too_many");
    let path = format!("{addresses}/{}", id_of(&last));
    assert_eq!(ground.app.delete(&ana.who, &path).await.status, 204);
    made(&ground, &ana.who, &json!({})).await;
}
