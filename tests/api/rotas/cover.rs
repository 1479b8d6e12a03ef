//! What being away and helping out leave to the next rota.

use super::ground::House;
use crate::frame::id_of;
use chrono::NaiveDate;
use futures_util::FutureExt;
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota::desk::DeskError;
use wormrota::store::rota_shares;
use wormrota_domain::ids::{MemberId, SiteId};

/// What each resident leaves owing, in thousandths, in their order.
async fn left(house: &House) -> Vec<i64> {
    let site = SiteId(house.site);
    let day = NaiveDate::from_ymd_opt(2026, 7, 1).unwrap();
    let left: BTreeMap<MemberId, i64> = house
        .app
        .desk
        .store()
        .read("what is owed", (), move |conn, ()| {
            async move { Ok::<_, DeskError>(rota_shares::left_before(conn, site, day).await?) }
                .boxed()
        })
        .await
        .unwrap();
    let of = |member: &Uuid| left[&MemberId(*member)];
    house.residents.iter().map(of).collect()
}

/// Protects whoever is excused from owing for it, and helpers from not being thanked, unless the
/// site counts every absence.
#[tokio::test]
async fn an_excused_place_costs_nothing_and_its_helper_gains() {
    let house = House::open(3).await;
    house.add_turns("2026-06-15", "2026-06-20", 1, 1).await;
    let rota = house.draft("2026-06-15", "2026-06-20").await;
    house.put_up(rota).await.ok(200);
    assert_eq!(house.counts().await, [2, 2, 2]);
    assert_eq!(left(&house).await, [0, 0, 0]);
    let [one, two, _] = house.residents[..] else {
        panic!()
    };
    let mine = format!("SELECT id, turn_id FROM places WHERE member_id = '{one}' LIMIT 1");
    let place = house.app.rows(&mine).await.remove(0);
    let turn = place["turn_id"].as_str().unwrap();
    let path = house.at(&format!("/turns/{turn}/places/{}/call", id_of(&place)));
    let ask = house.app.ask(Method::POST, &path).by(&house.caretaker);
    let told = ask.send().await.ok(201);
    let call: Value = told["call_id"].clone();
    // Before anybody comes, the place that stays empty costs nothing either.
    assert_eq!(left(&house).await, [0, 0, 0]);
    let path = house.at(&format!("/calls/{}/assignment", call.as_str().unwrap()));
    let to = json!({ "member_id": two, "overrule": true });
    house.app.post(&house.caretaker, &path, &to).await.ok(200);
    assert_eq!(house.counts().await, [1, 3, 2]);
    assert_eq!(left(&house).await, [0, 1_000, 0]);
    let site = house.at("");
    let costs = json!({ "absences_cost": true });
    house
        .app
        .patch(&house.educator, &site, &costs)
        .await
        .ok(200);
    assert_eq!(left(&house).await, [-1_000, 1_000, 0]);
}

/// Gives up the place of a turn for whoever holds it, as the caretaker.
async fn cannot_come(house: &House, (turn, place): (&str, Uuid)) {
    let path = house.at(&format!("/turns/{turn}/places/{place}/call"));
    let ask = house.app.ask(Method::POST, &path).by(&house.caretaker);
    ask.send().await.ok(201);
}

/// Protects everybody else from somebody who is credited twice: a place that they were excused
/// from, that a later rota gave them again and that they were excused from again was one.
#[tokio::test]
async fn the_same_place_given_up_twice_counts_once() {
    let house = House::open(3).await;
    let (first, last) = ("2026-06-15", "2026-06-20");
    house.add_turns(first, last, 1, 1).await;
    let rota = house.draft(first, last).await;
    house.put_up(rota).await.ok(200);
    let one = house.residents[0];
    let mine = format!(
        "SELECT places.id, turn_id, on_date FROM places JOIN turns ON turns.id = turn_id
         WHERE member_id = '{one}' LIMIT 1"
    );
    let place = house.app.rows(&mine).await.remove(0);
    let (turn, day) = (place["turn_id"].as_str().unwrap(), &place["on_date"]);
    let (id, day) = (id_of(&place), day.as_str().unwrap());
    cannot_come(&house, (turn, id)).await;
    // Another has it by a rota, and that settles the call.
    house.away(one, day, day).await;
    let without = house.draft(first, last).await;
    house.put_up(without).await.ok(200);
    house.sql("DELETE FROM absences").await;
    // They have it again, and so it is in the next rota.
    let path = house.at(&format!("/turns/{turn}/places/{id}"));
    let to = json!({ "member_id": one });
    house.app.patch(&house.caretaker, &path, &to).await.ok(200);
    let again = house.draft(first, last).await;
    house.put_up(again).await.ok(200);
    assert_eq!(house.counts().await, [2, 2, 2]);
    cannot_come(&house, (turn, id)).await;
    let calls = house.app.rows("SELECT id FROM calls").await;
    assert_eq!(calls.len(), 2);
    assert_eq!(left(&house).await, [0, 0, 0]);
}

/// Protects the others from somebody who gives back what they do not feel like: unlike whoever
/// cannot come, they owe it.
#[tokio::test]
async fn a_place_that_was_only_given_back_is_owed() {
    let house = House::open(3).await;
    house.add_turns("2026-06-15", "2026-06-20", 1, 1).await;
    let rota = house.draft("2026-06-15", "2026-06-20").await;
    house.put_up(rota).await.ok(200);
    let one = house.residents[0];
    let mine = format!("SELECT id, turn_id FROM places WHERE member_id = '{one}' LIMIT 1");
    let place = house.app.rows(&mine).await.remove(0);
    let turn = place["turn_id"].as_str().unwrap();
    let path = house.at(&format!("/turns/{turn}/places/{}", id_of(&place)));
    let back = house.app.delete(&house.resident, &path).await;
    assert_eq!(back.status, 204);
    assert_eq!(left(&house).await, [-1_000, 0, 0]);
}
