//! Whether a bin needs a turn is said alike wherever it is said.

use crate::cover_ground::{absences, away, call_of, held, look, without_the_courts_own};
use crate::frame::id_of;
use crate::place_ground::{Neighbour, PlaceGround};
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

/// What a call and the list of what is not covered say of its turn at one moment.
async fn said(ground: &PlaceGround, by: &Neighbour, (turn, call): (Uuid, Uuid)) -> Value {
    let app = &ground.app;
    let path = ground.court.at(&format!("/calls/{call}"));
    let one = app.get(&by.who, &path).await.ok(200);
    let all = app.get(&by.who, &ground.court.at("/calls")).await.ok(200);
    let all = all["items"].as_array().unwrap();
    let in_list = all.iter().find(|found| id_of(found) == call).unwrap();
    let free = app.get(&by.who, &ground.court.at("/uncovered")).await;
    let free = free.ok(200);
    let free = free["items"].as_array().unwrap();
    let free = free.iter().find(|found| found["turn_id"] == json!(turn));
    let of = |found: &Value| {
        let need = &found["need"];
        json!([need["verdict"], need["reason"], need["next_care_at"]])
    };
    let free = of(free.unwrap());
    assert_eq!((of(&one), of(in_list)), (free.clone(), free));
    one
}

/// Protects whoever keeps the rota from two answers to one question: when somebody comes back to
/// one of two turns, the call of the other says at once that the bin can do without, and ends so.
#[tokio::test]
async fn a_call_says_of_its_need_what_the_list_says() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada, pri] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    for one in [&keeper, &pri] {
        ground.limit(one, "share", "'none'").await;
    }
    let first = held(&ground, "2026-06-20", &[&ben]).await;
    let other = held(&ground, "2026-06-21", &[&ada]).await;
    held(&ground, "2026-07-04", &[&pri]).await;
    let told = away(&ground, &ben, ("2026-06-19", Some("2026-06-22"))).await;
    let of_first = (first, call_of(&told));
    let call = call_of(&away(&ground, &ada, ("2026-06-19", Some("2026-06-22"))).await);
    look(&ground.app).await;
    for of in [of_first, (other, call)] {
        let seen = said(&ground, &keeper, of).await;
        assert_eq!(
            (&seen["state"], &seen["need"]["verdict"]),
            (&json!("nobody"), &json!("needed"))
        );
    }
    let one = format!("{}/{}", absences(&ground, &ben), id_of(&told));
    ground.app.delete(&ben.who, &one).await.ok(200);
    let seen = said(&ground, &keeper, (other, call)).await;
    assert_eq!(seen["need"]["verdict"], "not_needed");
    look(&ground.app).await;
    let seen = said(&ground, &keeper, (other, call)).await;
    assert_eq!(seen["state"], "left_empty");
}

/// Protects the same where nobody stood in for anybody: a turn of the bin that somebody takes, or
/// gives back, has the calls of the others looked at.
#[tokio::test]
async fn whoever_takes_another_turn_makes_a_call_matter_less() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, pri] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    for one in [&keeper, &pri] {
        ground.limit(one, "share", "'none'").await;
    }
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let free = ground.turn("2026-06-22", 1).await;
    held(&ground, "2026-07-04", &[&pri]).await;
    let call = call_of(&away(&ground, &ben, ("2026-06-19", Some("2026-06-20"))).await);
    look(&ground.app).await;
    let of = (turn, call);
    assert_eq!(said(&ground, &keeper, of).await["state"], "nobody");
    let place = ground.taken(&pri.who, free).await;
    look(&ground.app).await;
    assert_eq!(said(&ground, &keeper, of).await["state"], "left_empty");
    let back = ground.give_back(&pri.who, (free, place)).await;
    assert_eq!(back.status, 204);
    look(&ground.app).await;
    assert_eq!(said(&ground, &keeper, of).await["state"], "nobody");
}
