//! Somebody cannot come: what the bin needs, who is asked, and what everybody hears.

use crate::cover_ground::{
    absences, asked, away, call, call_of, does, held, letters, look, look_at, says,
    without_the_courts_own,
};
use crate::frame::id_of;
use crate::place_ground::PlaceGround;
use reqwest::Method;
use serde_json::json;
use wormrota_domain::access::Role;

/// Protects a bin that nobody would come to: others are asked, the first yes has the place, and
/// everybody hears what concerns them.
#[tokio::test]
async fn the_first_yes_has_the_place_of_who_is_away() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada, cy] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let told = away(&ground, &ben, ("2026-06-18", Some("2026-06-25"))).await;
    let given_up = &told["given_up"][0];
    assert_eq!(given_up["state"], "open");
    assert_eq!(given_up["need"]["verdict"], "needed");
    assert_eq!(given_up["need"]["reason"], "drying");
    assert!(given_up["need"]["deadline_at"].is_string());
    let sentence = given_up["sentence"].as_str().unwrap();
    assert!(sentence.contains("needs this turn"), "{sentence}");
    assert_eq!(ground.holders(turn).await, [None]);

    look(&ground.app).await;
    let whom = asked(&ground.app).await;
    assert_eq!(whom.len(), 2, "two at a time: {whom:?}");
    assert!(!whom.contains(&ben.id));
    assert_eq!(letters(&ground.app, "cover_call").await.len(), 2);
    // Looking again asks nobody.
    look(&ground.app).await;
    assert_eq!(asked(&ground.app).await, whom);

    let id = call_of(&told);
    let held = says(&ground, &ada, id, "yes").await.ok(200);
    assert_eq!(held["place"]["member_id"], json!(ada.id));
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
    let late = says(&ground, &cy, id, "yes").await;
    late.problem(409, "no_free_place");
    // Saying it again is saying it once.
    says(&ground, &ada, id, "yes").await.ok(200);
    assert_eq!(letters(&ground.app, "cover_found").await, [ben.id]);
    assert_eq!(letters(&ground.app, "cover_taken").await, [ada.id]);
    let waits: Vec<_> = whom.into_iter().filter(|who| *who != ada.id).collect();
    assert_eq!(letters(&ground.app, "cover_closed").await, waits);

    // Who comes back early is told, and stands in nobody's way.
    let one = format!("{}/{}", absences(&ground, &ben), id_of(&told));
    let back = ground.app.delete(&ben.who, &one).await.ok(200);
    assert_eq!(back["covered_turn_ids"], json!([turn]));
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
    look_at(&ground.app, "2026-06-22T17:00:00Z").await;
    let over = call(&ground.app).await;
    assert_eq!(over["state"], "covered");
    assert!(over["closed_at"].is_string());
}

/// Protects people from letters about a turn that the bin can do without; a keeper can look for
/// somebody all the same, and whoever comes back has the place again.
#[tokio::test]
async fn a_turn_that_is_not_needed_bothers_nobody() {
    let ground = PlaceGround::open().await;
    let [ben, ada] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let turn = held(&ground, "2026-06-14", &[&ben]).await;
    held(&ground, "2026-06-17", &[&ada]).await;
    let told = away(&ground, &ben, ("2026-06-13", Some("2026-06-15"))).await;
    assert_eq!(told["given_up"][0]["state"], "left_empty");
    assert_eq!(told["given_up"][0]["need"]["verdict"], "not_needed");
    look(&ground.app).await;
    assert!(asked(&ground.app).await.is_empty());
    let id = call_of(&told);
    does(&ground, &ada, id, "search")
        .await
        .problem(403, "forbidden");
    assert_eq!(does(&ground, &keeper, id, "search").await.status, 204);
    look(&ground.app).await;
    assert!(asked(&ground.app).await.contains(&ada.id));
    assert_eq!(does(&ground, &keeper, id, "left_empty").await.status, 204);
    assert!(letters(&ground.app, "cover_closed").await.contains(&ada.id));
    let one = format!("{}/{}", absences(&ground, &ben), id_of(&told));
    let back = ground.app.delete(&ben.who, &one).await.ok(200);
    assert_eq!(back["theirs_again_turn_ids"], json!([turn]));
    assert_eq!(ground.holders(turn).await, [Some(ben.id)]);
    assert_eq!(call(&ground.app).await["state"], "withdrawn");
}

/// Protects a bin that two empty turns in a row would harm: the second is asked about again once
/// the first is empty.
#[tokio::test]
async fn empty_turns_add_up() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    held(&ground, "2026-06-14", &[&ben]).await;
    held(&ground, "2026-06-24", &[&ben]).await;
    held(&ground, "2026-07-04", &[&ben]).await;
    // The last one is more than three weeks after the last care.
    let told = away(&ground, &ben, ("2026-06-13", Some("2026-06-30"))).await;
    let given_up = told["given_up"].as_array().unwrap();
    let verdicts: Vec<_> = given_up.iter().map(|one| &one["need"]["verdict"]).collect();
    assert_eq!(verdicts.len(), 2);
    assert!(
        verdicts.iter().any(|verdict| *verdict == "needed"),
        "{told}"
    );
}

/// Protects a bin when nobody says yes: whoever looks after it hears of it before it is too late,
/// with the moment and what becomes of the bin, and finds it in the list at any time.
#[tokio::test]
async fn when_nobody_comes_the_caretaker_hears_in_time() {
    let ground = PlaceGround::open().await;
    let [ben, ada] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    let id = call_of(&told);
    look(&ground.app).await;
    assert!(letters(&ground.app, "uncovered").await.is_empty());
    says(&ground, &ada, id, "no").await.ok(200);
    let path = ground.court.at("/uncovered");
    let list = ground.app.get(&keeper.who, &path).await.ok(200);
    let first = &list["items"][0];
    assert_eq!(first["turn_id"], json!(turn));
    assert_eq!(first["need"]["verdict"], "needed");
    assert!(!first["otherwise"].as_array().unwrap().is_empty());
    assert_eq!(first["calls"][0]["call_id"], json!(id));
    ground
        .app
        .get(&ada.who, &path)
        .await
        .problem(403, "forbidden");

    // A day before the turn is over at the latest.
    for day in 11..=20 {
        look_at(&ground.app, &format!("2026-06-{day}T12:30:00Z")).await;
    }
    let told = letters(&ground.app, "uncovered").await;
    assert_eq!(told, [keeper.id]);
    // A no is remembered: nobody was asked twice.
    let whom = asked(&ground.app).await;
    assert_eq!(whom.iter().filter(|who| **who == ada.id).count(), 1);
    let path = ground.court.at(&format!("/calls/{id}/assignment"));
    let body = json!({ "member_id": ben.id });
    ground
        .app
        .post(&keeper.who, &path, &body)
        .await
        .problem(409, "rules_broken");
    let body = json!({ "member_id": keeper.id });
    ground.app.post(&keeper.who, &path, &body).await.ok(200);
    assert_eq!(ground.holders(turn).await, [Some(keeper.id)]);
}

/// Protects a turn whose helper cannot come either, and one whose time goes by.
#[tokio::test]
async fn a_yes_that_is_given_back_begins_the_search_again() {
    let ground = PlaceGround::open().await;
    let [ben, ada, cy] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let place = ground.app.rows("SELECT id FROM places").await;
    let place = id_of(&place[0]);
    let path = ground
        .court
        .at(&format!("/turns/{turn}/places/{place}/call"));
    let ask = |by| ground.app.ask(Method::POST, &path).by(by).send();
    ask(&ada.who).await.problem(403, "forbidden");
    let told = ask(&ben.who).await.ok(201);
    let id = id_of(&json!({ "id": told["call_id"] }));
    // By the ordinary way, which covers the call too.
    ground.taken(&ada.who, turn).await;
    assert_eq!(call(&ground.app).await["state"], "covered");
    let back = ground.give_back(&ada.who, (turn, place)).await;
    assert_eq!(back.status, 204);
    assert_eq!(call(&ground.app).await["state"], "open");
    says(&ground, &cy, id, "yes").await.ok(200);
    // The helper is away now: somebody else again.
    away(&ground, &cy, ("2026-06-19", None)).await;
    assert_eq!(ground.holders(turn).await, [None]);
    assert_eq!(call(&ground.app).await["state"], "open");
    look_at(&ground.app, "2026-06-21T17:00:00Z").await;
    let over = call(&ground.app).await;
    assert_eq!(over["state"], "missed");
    says(&ground, &ben, id, "yes")
        .await
        .problem(409, "ended_already");
    // They were never asked, and are nothing to it any more.
    let stranger = says(&ground, &ada, id, "yes").await;
    stranger.problem(404, "not_found");
}

/// Protects a call from whoever is not in it and tries an answer: there is none for them, as when
/// they ask to see it.
#[tokio::test]
async fn for_a_stranger_there_is_no_call() {
    let ground = PlaceGround::open().await;
    let [ben, ada, cy] = ground.residents().await;
    held(&ground, "2026-06-20", &[&ben]).await;
    let id = call_of(&away(&ground, &ben, ("2026-06-18", None)).await);
    says(&ground, &ada, id, "yes").await.ok(200);
    let path = ground.court.at(&format!("/calls/{id}"));
    let seen = ground.app.get(&cy.who, &path).await;
    seen.problem(404, "not_found");
    for word in ["yes", "no"] {
        let answer = says(&ground, &cy, id, word).await;
        assert_eq!(
            answer.problem(404, "not_found")["detail"],
            seen.json()["detail"]
        );
    }
    says(&ground, &ben, id, "yes")
        .await
        .problem(409, "no_free_place");
}

/// Protects whoever cannot come from neighbours who wonder: only they and keepers see who it is.
#[tokio::test]
async fn calls_are_seen_by_those_who_are_in_them() {
    let ground = PlaceGround::open().await;
    let [ben, ada, cy] = ground.residents().await;
    let keeper = ground.neighbour(Role::Teacher).await;
    held(&ground, "2026-06-20", &[&ben]).await;
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    let path = ground.court.at(&format!("/calls/{}", call_of(&told)));
    ground
        .app
        .get(&cy.who, &path)
        .await
        .problem(404, "not_found");
    let own = ground.app.get(&ben.who, &path).await.ok(200);
    assert_eq!(own["away_member_id"], json!(ben.id));
    look(&ground.app).await;
    let theirs = asked(&ground.app).await;
    let one = [&ada, &cy].into_iter().find(|one| theirs.contains(&one.id));
    let seen = ground.app.get(&one.unwrap().who, &path).await.ok(200);
    assert_eq!(seen["away_member_id"], json!(null));
    assert_eq!(seen["own_answer"]["state"], "asked");
    assert!(seen.get("answers").is_none());
    let all = ground
        .app
        .get(&keeper.who, &ground.court.at("/calls"))
        .await;
    let all = all.ok(200);
    assert_eq!(all["items"][0]["answers"].as_array().unwrap().len(), 2);
}
