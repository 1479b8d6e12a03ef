//! An absence gets other days: what is given up, what comes back, and what cannot be.

use crate::cover_ground::{absences, away, held};
use crate::frame::{Answer, id_of};
use crate::place_ground::{Neighbour, PlaceGround};
use serde_json::{Value, json};
use wormrota_domain::access::Role;

/// Changes an absence.
async fn change(ground: &PlaceGround, of: &Neighbour, told: &Value, to: &Value) -> Answer {
    let path = format!("{}/{}", absences(ground, of), id_of(told));
    ground.app.patch(&of.who, &path, to).await
}

/// The days of the only absence.
async fn days(ground: &PlaceGround) -> (Value, Value) {
    let rows = "SELECT first_day, last_day FROM absences";
    let row = ground.app.rows(rows).await.remove(0);
    (row["first_day"].clone(), row["last_day"].clone())
}

/// Protects whoever stays away for longer, or comes back sooner, from having to take everything
/// back first: only what the new days change is given up or theirs again.
#[tokio::test]
async fn other_days_give_up_what_they_touch_and_bring_back_the_rest() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let early = held(&ground, "2026-06-20", &[&ben]).await;
    let middle = held(&ground, "2026-06-24", &[&ben]).await;
    let late = held(&ground, "2026-07-20", &[&ben]).await;
    let own = Some(ben.id);
    let told = away(&ground, &ben, ("2026-06-18", Some("2026-06-21"))).await;
    assert_eq!(ground.holders(early).await, [None]);
    assert_eq!(ground.holders(middle).await, [own]);

    let longer = json!({ "last_day": "2026-06-30" });
    let longer = change(&ground, &ben, &told, &longer).await.ok(200);
    assert_eq!(longer["last_day"], "2026-06-30");
    assert_eq!(longer["given_up"][0]["turn_id"], json!(middle));
    assert_eq!(longer["given_up"].as_array().unwrap().len(), 1);
    assert_eq!(longer["theirs_again_turn_ids"], json!([]));
    assert_eq!(ground.holders(middle).await, [None]);

    // Until further notice.
    let open = json!({ "last_day": null });
    let open = change(&ground, &ben, &told, &open).await.ok(200);
    assert_eq!(open["given_up"][0]["turn_id"], json!(late));
    assert_eq!(days(&ground).await, (json!("2026-06-18"), Value::Null));

    // What is left out stays.
    let later = json!({ "first_day": "2026-06-22" });
    let later = change(&ground, &ben, &told, &later).await.ok(200);
    assert_eq!(later["theirs_again_turn_ids"], json!([early]));
    assert_eq!(later["given_up"], json!([]));
    assert_eq!(days(&ground).await, (json!("2026-06-22"), Value::Null));
    let shorter = json!({ "last_day": "2026-06-24" });
    let shorter = change(&ground, &ben, &told, &shorter).await.ok(200);
    assert_eq!(shorter["theirs_again_turn_ids"], json!([late]));
    assert_eq!(ground.holders(early).await, [own]);
    assert_eq!(ground.holders(middle).await, [None]);
    assert_eq!(ground.holders(late).await, [own]);
    let line = "SELECT detail FROM audit WHERE deed = 'absence_changed'";
    let lines = ground.app.rows(line).await;
    assert_eq!(lines.len(), 4);
    assert!(!Value::from(lines).to_string().contains("2026-"));
}

/// Protects days that have passed, and what an absence costs, from whoever is away.
#[tokio::test]
async fn days_that_have_passed_stay_and_what_it_costs_keepers_say() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let told = away(&ground, &ben, ("2026-06-12", Some("2026-06-20"))).await;
    let before = days(&ground).await;
    for (to, pointer) in [
        (json!({ "first_day": "2026-06-09" }), "/first_day"),
        (json!({ "last_day": "2026-06-11" }), "/last_day"),
        (json!({ "last_day": "2029-06-11" }), "/last_day"),
    ] {
        let answer = change(&ground, &ben, &told, &to).await;
        answer.conflicting_fields(&[pointer]);
    }
    let costs = json!({ "excused": false });
    let own = change(&ground, &ben, &told, &costs).await;
    own.problem(403, "forbidden");
    let path = format!("{}/{}", absences(&ground, &ben), id_of(&told));
    let said = ground.app.patch(&keeper.who, &path, &costs).await.ok(200);
    assert_eq!(said["excused"], json!(false));

    ground.app.set_clock("2026-06-15T17:00:00Z").await;
    for (to, pointer) in [
        (json!({ "first_day": "2026-06-16" }), "/first_day"),
        (json!({ "last_day": "2026-06-14" }), "/last_day"),
    ] {
        let answer = change(&ground, &ben, &told, &to).await;
        answer.conflicting_fields(&[pointer]);
    }
    assert_eq!(days(&ground).await, before);
    let today = json!({ "last_day": "2026-06-15" });
    change(&ground, &ben, &told, &today).await.ok(200);
    ground.app.set_clock("2026-06-16T17:00:00Z").await;
    let longer = json!({ "last_day": "2026-06-18" });
    let over = change(&ground, &ben, &told, &longer).await;
    over.problem(409, "ended_already");
}

/// Protects whoever tells a second absence on the same days from not knowing what to do: the
/// refusal names the first one, and changing that one is what helps.
#[tokio::test]
async fn a_second_absence_names_the_first_which_can_be_changed() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let first = away(&ground, &ben, ("2026-06-20", Some("2026-06-25"))).await;
    let second = away(&ground, &ben, ("2026-07-10", None)).await;
    for (new, other, told) in [
        (
            ("2026-06-24", json!("2026-06-30")),
            "from 2026-06-20 to 2026-06-25",
            &first,
        ),
        (
            ("2026-08-01", json!("2026-08-03")),
            "from 2026-07-10 on",
            &second,
        ),
        (
            ("2026-06-15", Value::Null),
            "from 2026-06-20 to 2026-06-25",
            &first,
        ),
    ] {
        let body = json!({ "first_day": new.0, "last_day": new.1 });
        let path = absences(&ground, &ben);
        let answer = ground.app.post(&ben.who, &path, &body).await;
        answer.conflicting_fields(&["/first_day"]);
        let says = [
            other,
            &id_of(told).to_string(),
            "change the days of that one",
        ];
        for part in says {
            assert!(answer.text.contains(part), "{part}: {}", answer.text);
        }
    }
    // One does not grow into the other either.
    let into = change(&ground, &ben, &first, &json!({ "last_day": null })).await;
    into.conflicting_fields(&["/first_day"]);
    assert!(into.text.contains("from 2026-07-10 on"), "{}", into.text);
    let beside = json!({ "last_day": "2026-07-09" });
    change(&ground, &ben, &first, &beside).await.ok(200);
}
