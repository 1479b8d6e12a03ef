//! Places that nobody ever held: somebody is looked for because a keeper wants it, or because the
//! bin needs it.

use crate::class_duty::class_turn;
use crate::closure_plans::{agree, plan_of, summer};
use crate::cover_ground::{
    asked, call, held, letters, look, look_at, says, without_the_courts_own,
};
use crate::cover_links::{link, press};
use crate::frame::{Answer, App, all_at_once, id_of, settings};
use crate::place_ground::{Neighbour, PlaceGround, turn_of};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::letters::LetterDeed;

/// Asks for somebody on the first place of a turn.
async fn call_for(ground: &PlaceGround, by: &Neighbour, turn: Uuid) -> Answer {
    let query = format!("SELECT id FROM places WHERE turn_id = '{turn}' ORDER BY seat");
    let place = id_of(&ground.app.rows(&query).await[0]);
    let path = ground
        .court
        .at(&format!("/turns/{turn}/places/{place}/call"));
    ground.app.ask(Method::POST, &path).by(&by.who).send().await
}

async fn calls(app: &App) -> Vec<Value> {
    app.rows("SELECT * FROM calls ORDER BY id").await
}

/// Protects places that a rota left empty: whoever looks after the site has somebody looked for,
/// and it goes on as for any other, but that nobody is away.
#[tokio::test]
async fn a_keeper_has_somebody_looked_for_on_a_free_place() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ada, cy] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    // With the next one the bin does without this one, and the keeper wants it all the same.
    held(&ground, "2026-06-17", &[&ada]).await;
    let turn = ground.turn("2026-06-14", 1).await;
    call_for(&ground, &ada, turn)
        .await
        .problem(409, "not_the_holder");
    let begun = call_for(&ground, &keeper, turn).await.ok(201);
    assert_eq!(begun["state"], "open");
    assert_eq!(begun["need"]["verdict"], "not_needed");
    let again = call_for(&ground, &keeper, turn).await.ok(201);
    assert_eq!(again["call_id"], begun["call_id"]);
    look(&ground.app).await;
    look(&ground.app).await;
    let row = call(&ground.app).await;
    assert_eq!(
        (&row["away_id"], &row["excused"]),
        (&Value::Null, &json!(false))
    );
    assert_eq!(calls(&ground.app).await.len(), 1);
    assert_eq!(asked(&ground.app).await.len(), 2);
    assert!(letters(&ground.app, "uncovered").await.is_empty());

    let path = link(&ground.app, &ada, "cover_call", LetterDeed::CoverYes).await;
    let page = ground.app.ask(Method::GET, &path).send().await.text;
    assert!(page.contains("to which nobody comes so far"), "{page}");
    press(&ground.app, &path).await;
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
    assert_eq!(letters(&ground.app, "cover_taken").await, [ada.id]);
    assert_eq!(letters(&ground.app, "cover_closed").await, [cy.id]);
    assert!(letters(&ground.app, "cover_found").await.is_empty());
    let seen = ground.court.at(&format!("/calls/{}", id_of(&row)));
    let seen = ground.app.get(&keeper.who, &seen).await.ok(200);
    assert_eq!(seen["away_member_id"], Value::Null);
    assert_eq!(seen["helper_member_id"], json!(ada.id));
    // Who gives it back has it looked for in the same call, and the other's yes counts.
    let back = link(&ground.app, &ada, "cover_taken", LetterDeed::CoverBack).await;
    press(&ground.app, &back).await;
    assert_eq!(ground.holders(turn).await, [None]);
    assert_eq!(call(&ground.app).await["state"], "open");
    says(&ground, &cy, id_of(&row), "yes").await.ok(200);
    assert_eq!(ground.holders(turn).await, [Some(cy.id)]);
    assert_eq!(calls(&ground.app).await.len(), 1);
    call_for(&ground, &cy, turn).await.ok(201);
    assert_eq!(ground.holders(turn).await, [None]);
}

/// Protects a place that was to stay empty from staying so when a keeper wants it taken, and turns
/// that are over or off from calls.
#[tokio::test]
async fn what_cannot_be_taken_is_not_looked_for() {
    let ground = PlaceGround::open().await;
    let keeper = ground.neighbour(Role::Teacher).await;
    let past = ground.turn("2026-06-09", 1).await;
    let off = ground.turn("2026-06-15", 1).await;
    ground
        .app
        .sql(&format!(
            "UPDATE turns SET called_off = 'hand' WHERE id = '{off}'"
        ))
        .await;
    for turn in [past, off] {
        call_for(&ground, &keeper, turn)
            .await
            .problem(409, "turn_over");
    }
    look_at(&ground.app, "2026-06-14T17:00:00Z").await;
    assert!(calls(&ground.app).await.is_empty());
}

/// Protects pupils and their classes: a class's turn is shared out there, and nobody is asked for
/// it, however much the bin needs it.
#[tokio::test]
async fn the_turns_of_a_class_are_never_looked_for() {
    let ground = PlaceGround::open().await;
    let keeper = ground.neighbour(Role::Teacher).await;
    ground.residents::<2>().await;
    let (app, court) = (&ground.app, &ground.court);
    let class = json!({ "name": "3b", "ends_on": "2027-06-30" });
    let class = app.post(&keeper.who, &court.at("/classes"), &class).await;
    let class = id_of(&class.ok(201));
    let day = NaiveDate::from_ymd_opt(2026, 6, 20).unwrap();
    let (turn, _) = class_turn(app, (court.site, court.bin, class), day, 2).await;
    call_for(&ground, &keeper, turn)
        .await
        .conflicting_fields(&[""]);
    for day in 11..20 {
        look_at(app, &format!("2026-06-{day}T17:00:00Z")).await;
    }
    assert!(calls(app).await.is_empty());
    assert!(asked(app).await.is_empty());
}

/// Protects a bin whose rota has a gap from nobody being asked: the service looks by itself as
/// soon as the rounds need it, once, however many copies there are, and what it says of the bin
/// agrees with the list.
#[tokio::test]
async fn the_service_looks_for_somebody_where_a_bin_needs_them() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ada, cy] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    let turn = ground.turn("2026-06-20", 2).await;
    let app = &ground.app;
    look(app).await;
    assert!(calls(app).await.is_empty(), "there is time");
    let second = Arc::new(App::on(app.url.clone(), settings()));
    let copies = [Arc::clone(app), second];
    app.set_clock("2026-06-12T17:00:00Z").await;
    all_at_once((0..6_usize).map(|n| {
        let app = Arc::clone(&copies[n % 2]);
        async move { look(&app).await }
    }))
    .await;
    let begun = calls(app).await;
    assert_eq!(begun.len(), 1, "one of two places is enough: {begun:?}");
    assert_eq!(begun[0]["away_id"], Value::Null);
    assert_eq!(begun[0]["need"]["verdict"], "needed");
    let whom = asked(app).await;
    assert_eq!(whom.len(), 2);
    assert!(whom.contains(&ada.id) && whom.contains(&cy.id));
    let path = ground.court.at("/uncovered");
    let list = app.get(&keeper.who, &path).await.ok(200);
    assert_eq!(list["items"][0]["turn_id"], json!(turn));
    assert_eq!(list["items"][0]["need"]["verdict"], "needed");
    assert_eq!(list["items"][0]["calls"][0]["call_id"], begun[0]["id"]);
    // Nobody says yes: the caretaker hears a day before the last moment.
    for day in 13..=20 {
        look_at(app, &format!("2026-06-{day}T17:00:00Z")).await;
    }
    assert_eq!(letters(app, "uncovered").await, [keeper.id]);
    assert_eq!(asked(app).await, whom, "nobody is asked twice");
    look_at(app, "2026-06-21T17:00:00Z").await;
    assert_eq!(call(app).await["state"], "missed");
}

/// Protects bins while their site is shut: a visit that was agreed on and that nobody took is
/// looked for like any other turn that is needed.
#[tokio::test]
async fn visits_while_a_site_is_shut_are_looked_for() {
    let ground = PlaceGround::open().await;
    ground.residents::<2>().await;
    let (app, court) = (&ground.app, &ground.court);
    // The last turn before, so that the visit is what the bin needs next.
    let [ben] = ground.residents().await;
    held(&ground, "2026-07-03", &[&ben]).await;
    turn_of(app, ground.bin(), ("feeding", "2026-08-20"), 1).await;
    let closure = summer(app, court).await;
    agree(app, court, closure).await;
    let seen = plan_of(app, court, closure).await;
    let first = &seen["visits"][0]["turn"];
    let on: NaiveDate = first["on_date"].as_str().unwrap().parse().unwrap();
    let at = |days| -> DateTime<Utc> {
        on.and_hms_opt(17, 0, 0).unwrap().and_utc() - TimeDelta::days(days)
    };
    for days in (1..20).rev() {
        look_at(app, &at(days).to_rfc3339()).await;
    }
    let visits: Vec<Uuid> = (seen["visits"].as_array().unwrap().iter())
        .map(|visit| id_of(&visit["turn"]))
        .collect();
    let sought = calls(app).await;
    assert!(
        sought.iter().any(|call| {
            let turn = id_of(&json!({ "id": call["turn_id"] }));
            visits.contains(&turn) && call["away_id"] == Value::Null
        }),
        "{sought:?}"
    );
    assert!(!asked(app).await.is_empty());
}
