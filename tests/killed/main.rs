//! The service and its Postgres are killed without warning while 64 people feed. Nothing
//! that was acknowledged is lost, nothing is there twice, and nothing was allowed over the
//! room.
//!
//! `WORMROTA_KILLS` says how often each of the two is killed, `WORMROTA_KILLED_SEED` with
//! which amounts and pauses; both are printed.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers of tests are tests too; the figures are the point"
)]

mod clients;
mod ground;
mod proof;

use clients::{Crowd, Tally};
use ground::{Ground, Service};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::time::{Duration, Instant};

/// Kills of each unless said otherwise.
const KILLS: u64 = 3;
/// After a restart the crowd must get its first answer within this time.
const RESUMES_WITHIN: Duration = Duration::from_secs(30);

fn from_env(name: &str, default: u64) -> u64 {
    std::env::var(name).map_or(default, |text| text.parse().unwrap())
}

/// Lets the crowd feed until somebody's food was taken, and a little longer.
async fn under_load(crowd: &Crowd, rng: &mut StdRng) {
    let (before, began) = (crowd.tally().acknowledged, Instant::now());
    while crowd.tally().acknowledged == before {
        assert!(
            began.elapsed() < RESUMES_WITHIN,
            "did not resume: {:?}",
            crowd.tally()
        );
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    let longer = Duration::from_millis(rng.random_range(50..700));
    tokio::time::sleep(longer).await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_is_lost_or_doubled_when_the_service_or_its_database_is_killed() {
    let kills = from_env("WORMROTA_KILLS", KILLS);
    let seed = from_env("WORMROTA_KILLED_SEED", rand::random());
    println!("WORMROTA_KILLED_SEED={seed} WORMROTA_KILLS={kills}");
    let mut rng = StdRng::seed_from_u64(seed);
    let began = Instant::now();
    let mut ground = Ground::lay(kills).await;
    let mut service = Service::start(&ground).await;
    let crowd = Crowd::gather(&ground, seed);

    for _ in 0..kills {
        under_load(&crowd, &mut rng).await;
        service.kill();
        service = Service::start(&ground).await;
    }
    let service_killed = crowd.tally();
    assert!(service_killed.hung_up >= kills, "{service_killed:?}");

    for _ in 0..kills {
        under_load(&crowd, &mut rng).await;
        ground.kill_postgres().await;
        // Long enough for those who wait to be told to come back.
        tokio::time::sleep(Duration::from_millis(rng.random_range(0..300))).await;
        ground.start_postgres().await;
        assert!(service.is_running(), "the service ended with its database");
    }
    under_load(&crowd, &mut rng).await;
    let acks = crowd.disperse().await;
    let tally: Tally = acks.tally.clone();
    assert!(tally.told_to_come_back >= kills, "{tally:?}");
    assert!(tally.on_asking_again >= kills, "{tally:?}");

    proof::retries_get_the_first_answer(&ground, &acks).await;
    let figures = proof::nothing_lost_nothing_doubled(&ground, &acks).await;
    let checked = proof::nothing_over_the_room(&ground).await;
    proof::every_bin_answers(&ground).await;
    println!(
        "{kills} kills of the service, {kills} of Postgres in {:.0} s",
        began.elapsed().as_secs_f64()
    );
    println!("while the service was killed: {service_killed:?}");
    println!("in all: {tally:?}");
    println!("{figures:?}");
    println!("{checked} feedings reckoned again, none over its room");
    service.stop();
}
