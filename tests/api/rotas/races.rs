//! Many at once, on two copies of the service.

use super::ground::{House, put_up};
use crate::frame::{Answer, App, all_at_once, settings};
use futures_util::FutureExt;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;
use uuid::Uuid;
use wormrota::desk::DeskError;
use wormrota::store::places::{self, Holder, How};
use wormrota::store::{members, turns};
use wormrota_domain::ids::{MemberId, SiteId, TurnId};

/// Takes a free place of a turn, if there is one, behind the locks that whoever does so takes.
async fn take(app: &App, site: Uuid, member: Uuid, turn: Uuid) -> bool {
    let now = app.now().await;
    let (site, member, turn) = (SiteId(site), MemberId(member), TurnId(turn));
    app.desk
        .store()
        .transact("take a place", (), move |conn, ()| {
            async move {
                members::lock(conn, site, &[member]).await?;
                turns::lock(conn, site, &[turn]).await?;
                let places = places::of_turns(conn, site, &[turn]).await?;
                let mine = Some(Holder::Member(member));
                if places.iter().any(|place| place.holder() == mine) {
                    return Ok(false);
                }
                let Some(mut free) = places.into_iter().find(|place| place.holder().is_none())
                else {
                    return Ok(false);
                };
                free.give(Holder::Member(member), How::Taken, now);
                places::update(conn, &free).await?;
                Ok::<_, DeskError>(true)
            }
            .boxed()
        })
        .await
        .unwrap()
}

/// Protects everybody who takes a place in the moment in which a rota is put up: no place is
/// lost, none has two holders, and the rota is up as a whole or not at all.
#[tokio::test]
async fn places_that_are_taken_while_a_rota_is_put_up_are_neither_lost_nor_doubled() {
    let house = House::open(8).await;
    house.add_turns("2026-06-15", "2026-06-24", 1, 2).await;
    let other = Arc::new(App::on(house.app.url.clone(), settings()));
    let copies = [Arc::clone(&house.app), other];
    let (site, residents) = (house.site, house.residents.clone());
    let (mut went_up, mut moved_on) = (0, 0);
    for seed in 1..=12_u64 {
        println!("seed {seed}");
        let mut random = StdRng::seed_from_u64(seed);
        let rota = house.draft("2026-06-15", "2026-06-24").await;
        let planned = house.places(rota).await;
        let turns: Vec<Uuid> = (planned.iter())
            .map(|turn| turn["turn_id"].as_str().unwrap().parse().unwrap())
            .collect();
        let pause = Duration::from_millis(random.random_range(0..30));
        // Sometimes all before the rota is up, sometimes all after, and mostly around it.
        let begin = [0, 20, 60, 150][random.random_range(0..4_usize)];
        let keeper = house.caretaker.clone();
        let copy = Arc::clone(&copies[0]);
        let putting_up = tokio::spawn(async move {
            tokio::time::sleep(pause).await;
            put_up(&copy, &keeper, site, rota).await
        });
        let takers: Vec<_> = (0..12_usize)
            .map(|at| {
                let app = Arc::clone(&copies[at % 2]);
                let member = residents[random.random_range(0..residents.len())];
                let turn = turns[random.random_range(0..turns.len())];
                let pause = Duration::from_millis(begin + random.random_range(0..150));
                async move {
                    tokio::time::sleep(pause).await;
                    take(&app, site, member, turn)
                        .await
                        .then_some((turn, member))
                }
            })
            .collect();
        let taken = all_at_once(takers).await;
        let taken: BTreeSet<(Uuid, Uuid)> = taken.into_iter().flatten().collect();
        let answer = putting_up.await.unwrap();

        let rows = house
            .app
            .rows("SELECT turn_id, member_id, how FROM places")
            .await;
        assert_eq!(rows.len(), 20, "seed {seed}: a place was lost or made up");
        let key = |row: &Value, name: &str| -> Option<Uuid> {
            row[name].as_str().map(|key| key.parse().unwrap())
        };
        let held: Vec<(Uuid, Uuid)> = (rows.iter())
            .filter_map(|row| Some((key(row, "turn_id")?, key(row, "member_id")?)))
            .collect();
        let once: BTreeSet<(Uuid, Uuid)> = held.iter().copied().collect();
        assert_eq!(
            once.len(),
            held.len(),
            "seed {seed}: somebody is on a turn twice"
        );
        assert!(
            taken.is_subset(&once),
            "seed {seed}: a place that was taken is gone"
        );
        if answer.status == 200 {
            went_up += 1;
            let of_rota: BTreeSet<(Uuid, Uuid)> = (planned.iter())
                .flat_map(|turn| {
                    let id = key(turn, "turn_id").unwrap();
                    let places = turn["places"].as_array().unwrap();
                    let holder =
                        move |place: &Value| Some((id, key(&place["in_rota"], "member_id")?));
                    places.iter().filter_map(holder).collect::<Vec<_>>()
                })
                .collect();
            assert_eq!(once, of_rota, "seed {seed}: the rota is not up as a whole");
        } else {
            moved_on += 1;
            answer.problem(409, "rota_moved_on");
            assert_eq!(once, taken, "seed {seed}: half a rota is up");
        }
        house
            .sql(
                "UPDATE places SET member_id = NULL, how = NULL, kept = false, held_since = NULL;
             DELETE FROM rota_shares; DELETE FROM rotas;",
            )
            .await;
    }
    println!("{went_up} went up, {moved_on} moved on");
}

/// Protects against two keepers who both press the button.
#[tokio::test]
async fn of_two_who_put_up_at_once_one_wins() {
    let house = House::open(4).await;
    house.add_turns("2026-06-15", "2026-06-24", 1, 1).await;
    let other = Arc::new(App::on(house.app.url.clone(), settings()));
    let copies = [Arc::clone(&house.app), other];
    let both = |first: Uuid, second: Uuid| {
        let asked = [first, second].into_iter().zip(copies.clone());
        let asked: Vec<_> = asked
            .map(|(rota, app)| {
                let (keeper, site) = (house.caretaker.clone(), house.site);
                async move { put_up(&app, &keeper, site, rota).await }
            })
            .collect();
        all_at_once(asked)
    };
    let one = house.draft("2026-06-15", "2026-06-24").await;
    let two = house.draft("2026-06-15", "2026-06-24").await;
    let lost_to = |answers: Vec<Answer>| {
        let (won, lost): (Vec<Answer>, Vec<Answer>) =
            answers.into_iter().partition(|answer| answer.status == 200);
        assert_eq!((won.len(), lost.len()), (1, 1), "{won:?} {lost:?}");
        lost[0].json()["code"].as_str().unwrap().to_owned()
    };
    assert_eq!(lost_to(both(one, two).await), "rota_moved_on");
    let up = house
        .app
        .rows("SELECT id FROM rotas WHERE state = 'put_up'")
        .await;
    assert_eq!(up.len(), 1);

    let third = house.draft("2026-06-15", "2026-06-24").await;
    assert_eq!(lost_to(both(third, third).await), "rota_state");
    let trail = house
        .app
        .rows("SELECT id FROM audit WHERE deed = 'rota_put_up'")
        .await;
    assert_eq!(trail.len(), 2);
    let shares = format!("SELECT count(*) AS n FROM rota_shares WHERE rota_id = '{third}'");
    assert_eq!(house.app.rows(&shares).await, [json!({ "n": 4 })]);
}
