//! Many who want places at the same instant, through two copies of the service on one database.

use crate::frame::{App, Person, all_at_once, id_of, settings};
use crate::place_ground::{Neighbour, PlaceGround, crowd_of};
use diesel_async::{AsyncConnection, AsyncPgConnection, SimpleAsyncConnection};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Duration;
use uuid::Uuid;
use wormrota_domain::access::Role;

const FRIDAY: &str = "2026-06-12";

/// The same site, served by two copies.
struct TwoCopies {
    ground: Arc<PlaceGround>,
    copies: [Arc<App>; 2],
}

impl TwoCopies {
    async fn open() -> Self {
        let ground = Arc::new(PlaceGround::open().await);
        let second = Arc::new(App::on(ground.app.url.clone(), settings()));
        Self {
            copies: [Arc::clone(&ground.app), second],
            ground,
        }
    }

    /// One of the copies.
    fn copy(&self, n: usize) -> Arc<App> {
        Arc::clone(&self.copies[n % 2])
    }

    /// Somebody who wants a place through one of the copies; gives status and code.
    fn taking(
        &self,
        n: usize,
        by: &Person,
        turn: Uuid,
        body: Value,
    ) -> impl Future<Output = (u16, String)> + Send + 'static {
        let path = self.ground.court.at(&format!("/turns/{turn}/places"));
        let (app, by) = (self.copy(n), by.clone());
        async move { told(&app.post(&by, &path, &body).await) }
    }

    fn giving_back(
        &self,
        n: usize,
        by: &Person,
        (turn, place): (Uuid, Uuid),
    ) -> impl Future<Output = (u16, String)> + Send + 'static {
        let path = self
            .ground
            .court
            .at(&format!("/turns/{turn}/places/{place}"));
        let (app, by) = (self.copy(n), by.clone());
        async move { told(&app.ask(Method::DELETE, &path).by(&by).send().await) }
    }
}

fn told(answer: &crate::frame::Answer) -> (u16, String) {
    let code = if answer.status.is_success() {
        String::new()
    } else {
        answer.json()["code"].as_str().unwrap().to_owned()
    };
    (answer.status.as_u16(), code)
}

fn refused(code: &str) -> (u16, String) {
    (409, code.to_owned())
}

fn taken() -> (u16, String) {
    (201, String::new())
}

/// Guards the last place: one of a hundred has it, and ninety-nine hear so.
#[tokio::test]
async fn a_hundred_who_want_the_last_place_at_once_get_one_between_them() {
    let two = TwoCopies::open().await;
    let turn = two.ground.turn(FRIDAY, 3).await;
    for early in two.ground.residents::<2>().await {
        two.ground.taken(&early.who, turn).await;
    }
    let crowd = crowd_of(&two.ground.app, two.ground.court.site, 100).await;
    let asking = (crowd.iter().enumerate())
        .map(|(n, one)| two.taking(n, &one.who, turn, json!({})))
        .collect::<Vec<_>>();
    let answers = all_at_once(asking).await;
    let got: Vec<&Neighbour> = crowd
        .iter()
        .zip(&answers)
        .filter(|(_, answer)| **answer == taken())
        .map(|(one, _)| one)
        .collect();
    let late = answers
        .iter()
        .filter(|answer| **answer == refused("no_free_place"));
    assert_eq!((got.len(), late.count()), (1, 99), "{answers:?}");
    let holders = two.ground.holders(turn).await;
    assert!(holders.contains(&Some(got[0].id)), "{holders:?}");
    assert!(holders.iter().all(Option::is_some), "{holders:?}");
}

/// Guards the rest between turns: what one request cannot see of the other must not let both
/// through.
#[tokio::test]
async fn one_member_who_takes_two_turns_of_a_day_at_once_gets_one() {
    let two = TwoCopies::open().await;
    for day in 12..20 {
        let on_date = format!("2026-06-{day}");
        let [one] = two.ground.residents().await;
        let turns = [
            two.ground.turn(&on_date, 1).await,
            two.ground.turn(&on_date, 1).await,
        ];
        let asking = turns
            .iter()
            .enumerate()
            .map(|(n, turn)| two.taking(n, &one.who, *turn, json!({})))
            .collect::<Vec<_>>();
        let mut answers = all_at_once(asking).await;
        answers.sort();
        assert_eq!(answers, [taken(), refused("rules_broken")], "{on_date}");
        let mut held = 0;
        for turn in turns {
            held += two.ground.holders(turn).await.iter().flatten().count();
        }
        assert_eq!(held, 1, "{on_date}");
    }
}

/// Guards a place that changes hands while it is given back: it is never lost, and never two
/// people's.
#[tokio::test]
async fn giving_back_and_taking_at_once_leave_one_holder_or_none() {
    let two = TwoCopies::open().await;
    let mut after = [0, 0];
    for day in 12..24 {
        let [ana, bo] = two.ground.residents().await;
        let turn = two.ground.turn(&format!("2026-06-{day}"), 1).await;
        let place = two.ground.taken(&ana.who, turn).await;
        let (back, take) = tokio::join!(
            tokio::spawn(two.giving_back(day, &ana.who, (turn, place))),
            tokio::spawn(two.taking(day + 1, &bo.who, turn, json!({}))),
        );
        assert_eq!(back.unwrap(), (204, String::new()));
        let holders = two.ground.holders(turn).await;
        match take.unwrap() {
            answer if answer == taken() => {
                assert_eq!(holders, [Some(bo.id)]);
                after[0] += 1;
            }
            answer => {
                assert_eq!(answer, refused("no_free_place"));
                assert_eq!(holders, [None]);
                after[1] += 1;
            }
        }
    }
    println!(
        "the place was taken {} times and free afterwards {} times",
        after[0], after[1]
    );
}

/// Guards against places of people who have left: whoever leaves and is given a place at the
/// same instant holds none in the end.
#[tokio::test]
async fn nobody_who_left_is_given_a_place() {
    let two = TwoCopies::open().await;
    let keeper = two.ground.neighbour(Role::Caretaker).await;
    for day in 12..20 {
        let [leaving] = two.ground.residents().await;
        let turn = two.ground.turn(&format!("2026-06-{day}"), 1).await;
        let path = two.ground.court.at(&format!("/members/{}", leaving.id));
        let (app, who) = (two.copy(day), leaving.who.clone());
        let going = async move { app.ask(Method::DELETE, &path).by(&who).send().await.status };
        let assign = json!({ "member_id": leaving.id });
        let (gone, given) = tokio::join!(
            tokio::spawn(going),
            tokio::spawn(two.taking(day + 1, &keeper.who, turn, assign)),
        );
        assert_eq!(gone.unwrap(), 204);
        let given = given.unwrap();
        assert!(
            given == taken() || given == refused("conflicting_fields"),
            "{given:?}"
        );
        assert_eq!(two.ground.holders(turn).await, [None]);
    }
}

/// Guards trades that want the same places in different orders: none is lost, none doubled.
#[tokio::test]
async fn trades_that_cross_leave_everybody_with_one_place() {
    let two = TwoCopies::open().await;
    let keeper = two.ground.neighbour(Role::Caretaker).await;
    let people = two.ground.residents::<3>().await;
    let mut places = Vec::new();
    let mut turns = Vec::new();
    for (n, one) in people.iter().enumerate() {
        let turn = two.ground.turn(&format!("2026-06-{}", 12 + n), 1).await;
        places.push(two.ground.taken(&one.who, turn).await);
        turns.push(turn);
    }
    let path = two.ground.court.at("/trades");
    for _ in 0..4 {
        let asking = (0..6).map(|n| {
            let (app, who, path) = (two.copy(n), keeper.who.clone(), path.clone());
            let pair = [places[n % 3], places[(n + 1) % 3]];
            let body = json!({ "one_place_id": pair[0], "other_place_id": pair[1] });
            async move { told(&app.post(&who, &path, &body).await) }
        });
        let answers = all_at_once(asking.collect::<Vec<_>>()).await;
        for answer in &answers {
            let lost = answer == &refused("not_the_holder");
            assert!(answer == &taken() || lost, "{answers:?}");
        }
        assert!(answers.contains(&taken()), "{answers:?}");
        let mut held = Vec::new();
        for turn in &turns {
            held.extend(two.ground.holders(*turn).await.into_iter().flatten());
        }
        held.sort_unstable();
        let mut everybody = people.iter().map(|one| one.id).collect::<Vec<_>>();
        everybody.sort_unstable();
        assert_eq!(held, everybody);
    }
}

/// Guards against a place that is taken while a whole span of turns is being filled, as when a
/// rota is put up: whoever waited sees what was written meanwhile.
#[tokio::test]
async fn who_waits_for_a_span_of_turns_sees_who_holds_them_by_then() {
    let two = TwoCopies::open().await;
    let [ana, bo] = two.ground.residents().await;
    let turn = two.ground.turn(FRIDAY, 1).await;
    let site = two.ground.court.site;
    let mut filling = AsyncPgConnection::establish(two.ground.app.url.reveal())
        .await
        .unwrap();
    filling
        .batch_execute(&format!(
            "BEGIN;
             SELECT id FROM members WHERE site_id = '{site}' AND id = '{}' FOR NO KEY UPDATE;
             SELECT id FROM turns WHERE site_id = '{site}' ORDER BY id FOR NO KEY UPDATE",
            bo.id
        ))
        .await
        .unwrap();
    let waiting = tokio::spawn(two.taking(1, &ana.who, turn, json!({})));
    let locks = "SELECT count(*) AS waiting FROM pg_stat_activity
                 WHERE datname = current_database() AND wait_event_type = 'Lock'";
    while two.ground.app.rows(locks).await[0]["waiting"] == 0 {
        assert!(!waiting.is_finished(), "it did not wait for the locks");
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    filling
        .batch_execute(&format!(
            "UPDATE places SET member_id = '{}', how = 'rota', held_since = '2026-06-10T17:00:00Z'
             WHERE turn_id = '{turn}'; COMMIT",
            bo.id
        ))
        .await
        .unwrap();
    assert_eq!(waiting.await.unwrap(), refused("no_free_place"));
    assert_eq!(two.ground.holders(turn).await, [Some(bo.id)]);
    let place = "SELECT id FROM places";
    let place = id_of(&two.ground.app.rows(place).await[0]);
    let back = two.giving_back(0, &ana.who, (turn, place)).await;
    assert_eq!(back, (403, "forbidden".to_owned()));
}
