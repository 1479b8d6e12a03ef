//! Several of those who were to come to one turn cannot: to those who are asked it is one
//! question.

use crate::cover_ground::{
    asked, away, held, letters, look, look_at, says, without_the_courts_own,
};
use crate::cover_links::{link, press};
use crate::frame::id_of;
use crate::place_ground::{Neighbour, PlaceGround};
use serde_json::Value;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::letters::LetterDeed;

/// The calls of the site, the oldest first.
async fn calls(ground: &PlaceGround) -> Vec<Value> {
    ground.app.rows("SELECT * FROM calls ORDER BY id").await
}

/// The call in which somebody was asked.
async fn asked_in(ground: &PlaceGround, whom: &Neighbour) -> Uuid {
    let query = format!(
        "SELECT call_id AS id FROM call_answers WHERE member_id = '{}'",
        whom.id
    );
    let rows = ground.app.rows(&query).await;
    assert_eq!(rows.len(), 1, "asked once about the turn: {rows:?}");
    id_of(&rows[0])
}

/// Protects neighbours from being asked twice about one turn, and a helper from being told in one
/// minute that the turn is theirs and that they need not come: once one of two places is taken,
/// the bin does without the other.
#[tokio::test]
async fn two_calls_for_one_turn_are_one_question() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, pri, ada, cy] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben, &pri]).await;
    away(&ground, &ben, ("2026-06-18", Some("2026-06-25"))).await;
    away(&ground, &pri, ("2026-06-18", Some("2026-06-25"))).await;
    look(&ground.app).await;
    let open = calls(&ground).await;
    assert_eq!(open.len(), 2);
    assert!(open.iter().all(|call| call["state"] == "open"), "{open:?}");
    let whom = asked(&ground.app).await;
    assert_eq!(whom.len(), 2, "{whom:?}");
    assert!(whom.contains(&ada.id) && whom.contains(&cy.id));

    let id = asked_in(&ground, &ada).await;
    says(&ground, &ada, id, "yes").await.ok(200);
    look(&ground.app).await;
    let after = calls(&ground).await;
    let other = after.iter().find(|call| id_of(call) != id).unwrap();
    assert_eq!(other["state"], "left_empty");
    assert_eq!(other["need"]["others"], 1);
    assert_eq!(other["need"]["verdict"], "not_needed");
    assert_eq!(ground.holders(turn).await.iter().flatten().count(), 1);
    assert_eq!(letters(&ground.app, "cover_taken").await, [ada.id]);
    assert_eq!(letters(&ground.app, "cover_closed").await, [cy.id]);
    assert_eq!(asked(&ground.app).await, whom, "nobody is asked on");
}

/// Protects a place that is looked for from a helper who is sent away: a yes to a call whose
/// place went counts for another of the same turn, and nobody reads that they need not come.
#[tokio::test]
async fn a_yes_counts_for_another_free_place_of_the_turn() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, pri, eve, ada, cy] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben, &pri, &eve]).await;
    for one in [&ben, &pri, &eve] {
        away(&ground, one, ("2026-06-18", Some("2026-06-25"))).await;
    }
    look(&ground.app).await;
    let id = asked_in(&ground, &ada).await;
    assert_eq!(asked_in(&ground, &cy).await, id);
    let by_link = link(&ground.app, &cy, "cover_call", LetterDeed::CoverYes).await;
    says(&ground, &ada, id, "yes").await.ok(200);
    look(&ground.app).await;
    assert!(letters(&ground.app, "cover_closed").await.is_empty());
    let page = press(&ground.app, &by_link).await;
    assert!(page.contains("is yours"), "{page}");
    let holders = ground.holders(turn).await;
    for one in [&ada, &cy] {
        assert!(holders.contains(&Some(one.id)), "{holders:?}");
    }
    look(&ground.app).await;
    assert!(letters(&ground.app, "cover_closed").await.is_empty());
    // Saying it again is saying it once.
    says(&ground, &cy, id, "yes").await.ok(200);
    assert_eq!(ground.holders(turn).await, holders);
}

/// Protects people from letters about a turn that the bin can do without by now, although nobody
/// was found for it in time: nobody is asked on once somebody comes shortly before it after all.
#[tokio::test]
async fn what_is_not_needed_any_more_is_closed_though_nobody_was_found() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, pri, ada] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    held(&ground, "2026-06-19", &[&pri]).await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    held(&ground, "2026-07-03", &[&ada]).await;
    let told = away(&ground, &pri, ("2026-06-18", Some("2026-06-19"))).await;
    away(&ground, &ben, ("2026-06-18", Some("2026-06-25"))).await;
    for day in 11..=19 {
        look_at(&ground.app, &format!("2026-06-{day}T12:30:00Z")).await;
    }
    let of_turn = async || {
        let query = format!("SELECT * FROM calls WHERE turn_id = '{turn}'");
        ground.app.rows(&query).await.remove(0)
    };
    assert_eq!(of_turn().await["state"], "nobody");
    let path = format!(
        "{}/{}",
        crate::cover_ground::absences(&ground, &pri),
        id_of(&told)
    );
    ground.app.delete(&pri.who, &path).await.ok(200);
    look(&ground.app).await;
    let call = of_turn().await;
    assert_eq!(call["state"], "left_empty", "{call}");
    assert_eq!(call["need"]["verdict"], "not_needed");
}

/// Protects caretakers from a forecast of what will not happen: how the bin fares alone is told
/// until somebody is sure to come the next time, and not beyond.
#[tokio::test]
async fn what_becomes_of_a_bin_is_told_until_somebody_surely_comes() {
    let ground = PlaceGround::open().await;
    let [ben, ada] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    held(&ground, "2026-07-08", &[&ada]).await;
    away(&ground, &ben, ("2026-06-18", Some("2026-06-25"))).await;
    let path = ground.court.at("/uncovered?days=14");
    let list = ground.app.get(&keeper.who, &path).await.ok(200);
    let first = &list["items"][0];
    assert_eq!(first["turn_id"], serde_json::json!(turn));
    let told = first["otherwise"].as_array().unwrap();
    // The end of July 8 in Chicago.
    assert_eq!(
        told.last().unwrap()["at"],
        "2026-07-09T05:00:00Z",
        "{told:?}"
    );
    assert_eq!(told.len(), 4, "{told:?}");
}

/// Protects what people said from what others did: whoever a keeper sends onto a turn has not said
/// yes, in neither of its calls, and a no is one although another place of the turn was taken.
#[tokio::test]
async fn what_is_kept_of_an_answer_is_what_its_member_said() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, pri, eve, ada, cy] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    held(&ground, "2026-06-20", &[&ben, &pri, &eve]).await;
    for one in [&ben, &pri, &eve] {
        away(&ground, one, ("2026-06-18", Some("2026-06-25"))).await;
    }
    look(&ground.app).await;
    let asked_in = asked_in(&ground, &ada).await;
    let open = calls(&ground).await;
    let other = open.iter().map(id_of).find(|id| *id != asked_in).unwrap();
    let path = ground.court.at(&format!("/calls/{other}/assignment"));
    let to = serde_json::json!({ "member_id": ada.id });
    ground.app.post(&keeper.who, &path, &to).await.ok(200);
    says(&ground, &cy, asked_in, "no").await.ok(200);
    let said = async |who: &Neighbour| {
        let query = format!(
            "SELECT state FROM call_answers WHERE member_id = '{}'",
            who.id
        );
        ground.app.rows(&query).await.remove(0)["state"].clone()
    };
    assert_eq!(said(&ada).await, "assigned");
    assert_eq!(said(&cy).await, "no");
    let path = ground.court.at(&format!("/calls/{asked_in}"));
    let seen = ground.app.get(&keeper.who, &path).await.ok(200);
    let states: Vec<&Value> = (seen["answers"].as_array().unwrap().iter())
        .map(|answer| &answer["state"])
        .collect();
    assert_eq!(states, ["assigned", "no"]);
    // A no to a call whose own place was taken is kept as well.
    says(&ground, &ada, asked_in, "no")
        .await
        .problem(404, "not_found");
}
