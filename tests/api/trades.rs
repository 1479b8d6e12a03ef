//! Two members trade places: both, or nothing happens.

use crate::frame::{Answer, Person, id_of};
use crate::place_ground::PlaceGround;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

const FRIDAY: &str = "2026-06-12";
const SATURDAY: &str = "2026-06-13";

async fn trade(ground: &PlaceGround, by: &Person, one: Uuid, other: Uuid) -> Answer {
    let body = json!({ "one_place_id": one, "other_place_id": other });
    ground
        .app
        .post(by, &ground.court.at("/trades"), &body)
        .await
}

/// Guards both halves of a trade, and the bookings that go with them.
#[tokio::test]
async fn two_trade_and_what_they_booked_is_given_back() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let (friday, saturday) = (ground.turn(FRIDAY, 1).await, ground.turn(SATURDAY, 1).await);
    let amount = json!({ "amount_kg": 0.05 });
    let one = id_of(&ground.take(&ana.who, friday, &amount).await.ok(201));
    let other = id_of(&ground.take(&bo.who, saturday, &amount).await.ok(201));
    // Each needs a free day between two turns: neither could come before the other has gone.
    for who in [&ana, &bo] {
        ground.limit(who, "rest_days", "1").await;
    }
    trade(&ground, &ana.who, one, other)
        .await
        .problem(403, "forbidden");

    let traded = trade(&ground, &keeper.who, one, other).await.ok(201);
    assert_eq!(traded["one"]["member_id"], bo.id.to_string());
    assert_eq!(traded["other"]["member_id"], ana.id.to_string());
    assert_eq!(traded["one"]["how"], "assigned");
    assert_eq!(ground.holders(friday).await, [Some(bo.id)]);
    assert_eq!(ground.holders(saturday).await, [Some(ana.id)]);
    for who in [&ana, &bo] {
        assert_eq!(ground.bookings(who).await, [("withdrawn".to_owned(), 50)]);
    }
    let trail = ground.trail().await;
    let traded = |line: &&Value| line["deed"] == "place_traded";
    assert_eq!(trail.iter().filter(traded).count(), 2);
}

/// Guards that a rule broken on one side undoes the other side as well.
#[tokio::test]
async fn a_trade_that_breaks_a_rule_on_either_side_does_not_happen() {
    let ground = PlaceGround::open().await;
    let [ana, bo, new] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    let (friday, saturday) = (ground.turn(FRIDAY, 2).await, ground.turn(SATURDAY, 1).await);
    let one = ground.taken(&ana.who, friday).await;
    let other = ground.taken(&bo.who, saturday).await;
    ground.limit(&ana, "experienced", "true").await;
    ground.limit(&new, "not_alone", "true").await;
    ground.taken(&new.who, friday).await;
    let before = ground.app.contents().await;
    let refused = trade(&ground, &keeper.who, one, other).await;
    let problem = refused.problem(409, "rules_broken");
    // It is told whom it is about: somebody who takes no part in the trade.
    let named = |rule: &Value| rule["member_id"] == new.id.to_string();
    let broken = problem["broken"].as_array().unwrap();
    assert!(broken.iter().any(named), "{problem}");
    assert_eq!(ground.app.contents().await, before);

    ground.limit(&bo, "experienced", "true").await;
    ground.limit(&ana, "cannot_weekdays", "'{6}'").await;
    let refused = trade(&ground, &keeper.who, one, other).await;
    let problem = refused.problem(409, "rules_broken");
    assert_eq!(problem["broken"][0]["rule"], "weekday");
    ground.limit(&ana, "cannot_weekdays", "'{}'").await;
    ground.limit(&bo, "rather_not_weekdays", "'{5}'").await;
    let refused = trade(&ground, &keeper.who, one, other).await;
    refused.conflicting_fields(&["/overrule"]);
    assert_eq!(ground.holders(saturday).await, [Some(bo.id)]);
    let body = json!({ "one_place_id": one, "other_place_id": other, "overrule": true });
    let path = ground.court.at("/trades");
    ground.app.post(&keeper.who, &path, &body).await.ok(201);
    assert_eq!(ground.holders(saturday).await, [Some(ana.id)]);
}

/// Guards the pairs of places that cannot be traded at all.
#[tokio::test]
async fn a_trade_needs_two_turns_and_two_holders() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    let keeper = ground.court.educator.clone();
    let (friday, saturday) = (ground.turn(FRIDAY, 3).await, ground.turn(SATURDAY, 3).await);
    let ana_friday = ground.taken(&ana.who, friday).await;
    let bo_friday = ground.taken(&bo.who, friday).await;
    let ana_saturday = ground.taken(&ana.who, saturday).await;
    for (one, other) in [
        (ana_friday, bo_friday),
        (ana_friday, ana_saturday),
        (ana_friday, ana_friday),
    ] {
        let answer = trade(&ground, &keeper, one, other).await;
        answer.conflicting_fields(&["/other_place_id"]);
    }
    let held = trade(&ground, &keeper, bo_friday, ana_saturday).await;
    held.problem(409, "held_already");
    let query = format!("SELECT id FROM places WHERE turn_id = '{saturday}' AND how IS NULL");
    let free = id_of(&ground.app.rows(&query).await[0]);
    trade(&ground, &keeper, ana_friday, free)
        .await
        .problem(409, "not_the_holder");
    let elsewhere = ground.app.court().await;
    for other in [Uuid::now_v7(), elsewhere.site] {
        trade(&ground, &keeper, ana_friday, other)
            .await
            .problem(404, "not_found");
    }
}
