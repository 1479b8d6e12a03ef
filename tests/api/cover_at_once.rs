//! Many who say yes at the same instant, and two copies that look after one call.

use crate::cover_ground::{asked, away, call_of, held, look};
use crate::frame::{App, all_at_once, settings};
use crate::place_ground::{PlaceGround, crowd_of};
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Protects a place from two helpers: of two hundred who say yes at once on two copies one has
/// it, and all others hear a clear no.
#[tokio::test]
async fn of_two_hundred_who_say_yes_at_once_one_comes() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    let path = ground
        .court
        .at(&format!("/calls/{}/answer", call_of(&told)));
    let crowd = crowd_of(&ground.app, ground.court.site, 200).await;
    // All of them were asked: for whoever is not in a call there is none.
    let ask = format!(
        "INSERT INTO call_answers (site_id, call_id, member_id, state, asked_at, answer_by)
         SELECT site_id, '{}', id, 'asked', now(), now() FROM members
         WHERE id = ANY ('{{{}}}')",
        call_of(&told),
        crowd
            .iter()
            .map(|one| one.id.to_string())
            .collect::<Vec<_>>()
            .join(",")
    );
    ground.app.sql(&ask).await;
    let second = Arc::new(App::on(ground.app.url.clone(), settings()));
    let copies = [Arc::clone(&ground.app), second];
    let answers = all_at_once(crowd.iter().enumerate().map(|(n, one)| {
        let (app, who) = (Arc::clone(&copies[n % 2]), one.who.clone());
        let path = path.clone();
        async move {
            let body = json!({ "answer": "yes" });
            let answer = app.post(&who, &path, &body).await;
            let code = answer.json()["code"].as_str().unwrap_or("").to_owned();
            (answer.status.as_u16(), code)
        }
    }))
    .await;
    let mut counts: BTreeMap<(u16, String), usize> = BTreeMap::new();
    for answer in answers {
        *counts.entry(answer).or_default() += 1;
    }
    let expected = [
        ((200, String::new()), 1),
        ((409, "no_free_place".to_owned()), 199),
    ];
    assert_eq!(counts, BTreeMap::from(expected));
    let holders = ground.holders(turn).await;
    assert_eq!(holders.iter().flatten().count(), 1);
}

/// Protects people from two letters about one turn: any number of copies may look.
#[tokio::test]
async fn copies_that_look_at_once_ask_nobody_twice() {
    let ground = PlaceGround::open().await;
    let [ben, _ada, _cy, _di] = ground.residents().await;
    held(&ground, "2026-06-20", &[&ben]).await;
    held(&ground, "2026-06-27", &[&ben]).await;
    away(&ground, &ben, ("2026-06-18", None)).await;
    let second = Arc::new(App::on(ground.app.url.clone(), settings()));
    let copies = [Arc::clone(&ground.app), second];
    all_at_once((0..8_usize).map(|n| {
        let app = Arc::clone(&copies[n % 2]);
        async move { look(&app).await }
    }))
    .await;
    let whom = asked(&ground.app).await;
    assert!(!whom.is_empty());
    let letters = ground
        .app
        .rows("SELECT purpose FROM letters WHERE kind = 'cover_call'")
        .await;
    assert_eq!(letters.len(), whom.len());
    let different: BTreeSet<String> = letters
        .iter()
        .map(|row| row["purpose"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(different.len(), letters.len());
}
