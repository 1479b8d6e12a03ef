//! Whoever was away comes back: what they have again, and what those read who came in their stead.

use crate::cover_ground::{absences, away, call_of, held, letters, look, says};
use crate::frame::id_of;
use crate::place_ground::PlaceGround;
use crate::told_ground::ToldGround;
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::clock;
use wormrota_domain::access::Role;

/// Protects a place that somebody took from the planner after they come back: they hold it as if
/// they had never been away.
#[tokio::test]
async fn whoever_comes_back_holds_their_place_as_before() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let place = "SELECT how, kept, held_since FROM places";
    let before = ground.app.rows(place).await;
    assert_eq!(
        (&before[0]["how"], &before[0]["kept"]),
        (&json!("taken"), &json!(true))
    );
    ground.app.set_clock("2026-06-11T17:00:00Z").await;
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    let one = format!("{}/{}", absences(&ground, &ben), id_of(&told));
    let back = ground.app.delete(&ben.who, &one).await.ok(200);
    assert_eq!(back["theirs_again_turn_ids"], json!([turn]));
    assert_eq!(ground.app.rows(place).await, before);
    assert!(letters(&ground.app, "turn_changed").await.is_empty());
}

/// Protects members from finding out by chance what a keeper said for them.
#[tokio::test]
async fn what_a_keeper_says_for_somebody_they_are_told() {
    let ground = PlaceGround::open().await;
    let [ben, ada] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    held(&ground, "2026-06-20", &[&ben]).await;
    let days = json!({ "first_day": "2026-06-18" });
    let path = absences(&ground, &ben);
    let told = ground.app.post(&keeper.who, &path, &days).await.ok(201);
    assert_eq!(letters(&ground.app, "turn_changed").await, [ben.id]);
    let one = format!("{path}/{}", id_of(&told));
    ground.app.delete(&keeper.who, &one).await.ok(200);
    assert_eq!(letters(&ground.app, "turn_changed").await, [ben.id; 2]);

    // Whoever is sent onto the turn hears of it too.
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    let call = call_of(&told);
    let path = ground.court.at(&format!("/calls/{call}/assignment"));
    let to = json!({ "member_id": ada.id });
    ground.app.post(&keeper.who, &path, &to).await.ok(200);
    let whom = letters(&ground.app, "turn_changed").await;
    assert_eq!(whom.iter().filter(|who| **who == ada.id).count(), 1);
    assert_eq!(whom.len(), 3);
}

/// The letters of some kind that went to a member, the first first.
async fn sent(ground: &ToldGround, kind: &str, to: Uuid) -> Vec<String> {
    let wall = clock::wall();
    for at in [wall, wall + TimeDelta::hours(12)] {
        ground.post.send_at(at).await;
    }
    let query = format!(
        "SELECT id FROM letters WHERE kind = '{kind}' AND member_id = '{to}' AND state = 'sent'
         ORDER BY id"
    );
    let rows = ground.post.app.rows(&query).await;
    rows.iter()
        .map(|row| ground.post.letter(id_of(row)))
        .collect()
}

/// What the calendar in a letter calls its appointment.
fn uid(letter: &str) -> &str {
    let lines = letter.lines();
    let mut uids = lines.filter_map(|line| line.strip_prefix("UID:"));
    uids.next().unwrap()
}

/// How new its appointment is.
fn sequence(letter: &str) -> u64 {
    let lines = letter.lines();
    let mut found = lines.filter_map(|line| line.strip_prefix("SEQUENCE:"));
    found.next().unwrap().trim().parse().unwrap()
}

/// Protects a helper from a letter about nothing: whoever was away comes back early, and the
/// place stays the helper's. And from coming in vain: when a keeper gives it back to whoever was
/// away, the helper hears it once, and the appointment goes.
#[tokio::test]
async fn a_helper_keeps_the_place_or_hears_once_that_they_are_not_needed() {
    let ground = ToldGround::open().await;
    let [ben, ada] = ground.residents().await;
    let app = &ground.post.app;
    let turn = ground.turn("2026-06-20", 1).await;
    let place = ground.take(&ben.who, turn, &json!({})).await;
    let path = ground.court.at(&format!("/members/{}/absences", ben.id));
    let days = json!({ "first_day": "2026-06-18" });
    let told = app.post(&ben.who, &path, &days).await.ok(201);
    look(app).await;
    let answer = ground
        .court
        .at(&format!("/calls/{}/answer", call_of(&told)));
    let yes = json!({ "answer": "yes" });
    app.post(&ada.who, &answer, &yes).await.ok(200);
    let thanked = sent(&ground, "cover_taken", ada.id).await;
    assert_eq!(thanked.len(), 1);
    assert!(thanked[0].contains("METHOD:REQUEST"), "{}", thanked[0]);

    let one = format!("{path}/{}", id_of(&told));
    let back = app.delete(&ben.who, &one).await.ok(200);
    assert_eq!(back["covered_turn_ids"], json!([turn]));
    let holder = "SELECT member_id FROM places";
    assert_eq!(app.rows(holder).await[0]["member_id"], json!(ada.id));
    assert!(sent(&ground, "turn_changed", ada.id).await.is_empty());

    let to_ben = json!({ "member_id": ben.id, "holder_id": ada.id });
    let at = (turn, place);
    ground.change_place(&ground.keeper.who, at, &to_ben).await;
    let gone = sent(&ground, "turn_changed", ada.id).await;
    let [gone] = &gone[..] else {
        panic!("one letter: {gone:?}")
    };
    assert!(gone.contains("METHOD:CANCEL"), "{gone}");
    assert_eq!(uid(gone), uid(&thanked[0]));
    assert!(sent(&ground, "cover_closed", ada.id).await.is_empty());
    let given = sent(&ground, "turn_changed", ben.id).await;
    assert_eq!(given.len(), 1, "{given:?}");
    let state = app.rows("SELECT state FROM calls").await;
    assert_eq!(state, [json!({ "state": "withdrawn" })]);
}

/// Protects calendars from turns that are nobody's any more: what a letter brought into one, and
/// its reader gave up themselves, another takes out again, once.
#[tokio::test]
async fn what_somebody_gives_up_leaves_their_calendar() {
    let ground = ToldGround::open().await;
    let [ben, ada] = ground.residents().await;
    let turn = ground.turn("2026-06-20", 1).await;
    let place = ground.take(&ben.who, turn, &json!({})).await;
    let app = &ground.post.app;
    let path = ground
        .court
        .at(&format!("/turns/{turn}/places/{place}/call"));
    let told = app
        .ask(Method::POST, &path)
        .by(&ben.who)
        .send()
        .await
        .ok(201);
    // No letter had told Ben's calendar.
    assert!(sent(&ground, "turn_freed", ben.id).await.is_empty());
    let call = told["call_id"].as_str().unwrap();
    let answer = ground.court.at(&format!("/calls/{call}/answer"));
    app.post(&ada.who, &answer, &json!({ "answer": "yes" }))
        .await
        .ok(200);
    let thanked = sent(&ground, "cover_taken", ada.id).await;
    assert!(thanked[0].contains("METHOD:REQUEST"), "{}", thanked[0]);
    app.ask(Method::POST, &path)
        .by(&ada.who)
        .send()
        .await
        .ok(201);
    let freed = sent(&ground, "turn_freed", ada.id).await;
    let [freed] = &freed[..] else {
        panic!("one letter: {freed:?}")
    };
    assert!(freed.contains("METHOD:CANCEL"), "{freed}");
    assert_eq!(uid(freed), uid(&thanked[0]));
    // Both may have been owed in one second.
    assert!(sequence(freed) >= sequence(&thanked[0]), "{freed}");
}

/// Protects those who were asked from wondering: when whoever was away comes back before anybody
/// said yes, each hears once that they need not answer.
#[tokio::test]
async fn those_who_were_asked_hear_that_they_need_not_answer() {
    let ground = PlaceGround::open().await;
    let [ben, _, _] = ground.residents().await;
    held(&ground, "2026-06-20", &[&ben]).await;
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    look(&ground.app).await;
    let mut whom = letters(&ground.app, "cover_call").await;
    whom.sort_unstable();
    assert_eq!(whom.len(), 2);
    let one = format!("{}/{}", absences(&ground, &ben), id_of(&told));
    ground.app.delete(&ben.who, &one).await.ok(200);
    assert_eq!(letters(&ground.app, "cover_closed").await, whom);
}

/// Protects a bin whose holder gives their place back in the ordinary way: somebody is looked for
/// just as for whoever cannot come, and only where the bin needs it.
#[tokio::test]
async fn a_place_that_is_given_back_is_looked_for_others() {
    let ground = PlaceGround::open().await;
    let [ben, ada, _] = ground.residents().await;
    let spare = ground.turn("2026-06-14", 1).await;
    let place = ground.taken(&ben.who, spare).await;
    held(&ground, "2026-06-17", &[&ada]).await;
    let needed = ground.turn("2026-07-04", 1).await;
    let later = ground.taken(&ben.who, needed).await;
    let state = "SELECT state, away_id, excused FROM calls ORDER BY turn_at";
    for at in [(spare, place), (needed, later)] {
        assert_eq!(ground.give_back(&ben.who, at).await.status, 204);
    }
    let calls = ground.app.rows(state).await;
    let states: Vec<&Value> = calls.iter().map(|call| &call["state"]).collect();
    assert_eq!(states, ["left_empty", "open"]);
    for call in &calls {
        assert_eq!(call["away_id"], json!(ben.id));
        assert_eq!(call["excused"], json!(false));
    }
    look(&ground.app).await;
    let whom = letters(&ground.app, "cover_call").await;
    assert!(!whom.is_empty() && !whom.contains(&ben.id), "{whom:?}");
    assert!(letters(&ground.app, "turn_changed").await.is_empty());

    // They may think again.
    assert_eq!(ground.taken(&ben.who, needed).await, later);
    assert_eq!(ground.app.rows(state).await[1]["state"], "withdrawn");
    // On the day it is too late to give it back, and not too late to say that one cannot come.
    ground.app.set_clock("2026-07-04T12:00:00Z").await;
    let late = ground.give_back(&ben.who, (needed, later)).await;
    let problem = late.problem(409, "too_late");
    assert!(problem.to_string().contains("`call`"), "{problem}");
    let path = format!("/turns/{needed}/places/{later}/call");
    let path = ground.court.at(&path);
    let told = ground.app.post(&ben.who, &path, &json!({})).await;
    assert_eq!(told.ok(201)["state"], "open");
    let call = ground
        .app
        .rows("SELECT id FROM calls WHERE closed_at IS NULL AND state = 'open'");
    let id = id_of(&call.await[0]);
    says(&ground, &ada, id, "yes").await.ok(200);
    assert_eq!(ground.holders(needed).await, [Some(ada.id)]);
}
