//! Who is not asked: many about what a bin can do without, and whoever is about to leave.

use crate::cover_ground::{asked, away, look, look_at, without_the_courts_own};
use crate::place_ground::{PlaceGround, turn_of};
use reqwest::Method;
use serde_json::json;
use std::collections::BTreeSet;
use wormrota_domain::access::Role;

/// Protects a house from a letter to everybody in one second: somebody cannot come to a turn that
/// would only be nice to have, on its own day. Two are asked, and six in all.
#[tokio::test]
async fn a_late_call_that_the_bin_can_do_without_asks_few() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    ground.residents::<9>().await;
    let app = &ground.app;
    let turn = turn_of(app, ground.bin(), ("tidying", "2026-06-12"), 1).await;
    let place = ground.taken(&ben.who, turn).await;
    let path = ground
        .court
        .at(&format!("/turns/{turn}/places/{place}/call"));
    app.set_clock("2026-06-12T13:00:00Z").await;
    let told = app.ask(Method::POST, &path).by(&ben.who).send().await;
    assert_eq!(told.ok(201)["need"]["verdict"], "helpful");
    // Every quarter of an hour from eight in the morning on, in Chicago.
    let mut so_far = Vec::new();
    for quarter in 0..44 {
        let (hour, minute) = (13 + quarter / 4, quarter % 4 * 15);
        if hour < 24 {
            look_at(app, &format!("2026-06-12T{hour:02}:{minute:02}:00Z")).await;
            so_far.push(asked(app).await.len());
        }
    }
    let times = |many| so_far.iter().filter(|asked| **asked == many).count();
    assert!(
        times(2) >= 12 && times(4) >= 12,
        "three hours each: {so_far:?}"
    );
    so_far.dedup();
    assert_eq!(so_far, [2, 4, 6]);
    let different: BTreeSet<_> = asked(app).await.into_iter().collect();
    assert_eq!(different.len(), 6, "nobody twice");
}

/// Protects whoever leaves on the next morning from a letter, and the others from waiting for an
/// answer that comes from a suitcase. Who is away on the day itself is not asked by the rules.
#[tokio::test]
async fn whoever_leaves_on_the_day_after_the_turn_is_not_asked() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, leaving, gone, later] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    let turn = ground.turn("2026-06-20", 1).await;
    ground.taken(&ben.who, turn).await;
    away(&ground, &leaving, ("2026-06-21", None)).await;
    away(&ground, &gone, ("2026-06-19", Some("2026-06-20"))).await;
    away(&ground, &later, ("2026-06-22", None)).await;
    away(&ground, &ben, ("2026-06-18", None)).await;
    look(&ground.app).await;
    assert_eq!(asked(&ground.app).await, [later.id]);
    // They can have it all the same.
    let body = json!({});
    let answer = ground.take(&leaving.who, turn, &body).await;
    answer.ok(201);
}
