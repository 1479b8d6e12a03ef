//! Random histories over the real database, each compared with a model that knows only who
//! should hold what.

use crate::cover_ground::look;
use crate::cover_world::{TURNS, World};
use crate::frame::settings;
use crate::place_ground::PlaceGround;
use chrono::TimeDelta;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::collections::BTreeMap;
use wormrota::letters::Post;
use wormrota_domain::access::Role;

const FIRST_SEED: u64 = 20_260_610;
const STEPS: usize = 14;

/// Histories: fifty, or as many as the environment says.
fn histories() -> u64 {
    let said = std::env::var("WORMROTA_COVER_HISTORIES").ok();
    said.and_then(|text| text.parse().ok()).unwrap_or(50)
}

/// Protects places from two holders and from getting lost, people from turns in their own
/// absence, and bins from nobody knowing that nobody comes.
#[tokio::test]
async fn no_place_is_lost_or_held_in_an_absence_in_any_history() {
    let app = crate::frame::App::start_in_june_without_limits().await;
    let court = app.court().await;
    let app = std::sync::Arc::new(app);
    let ground = PlaceGround { app, court };
    let keeper = ground.neighbour(Role::Caretaker).await;
    let people = ground.residents::<4>().await;
    let data = tempfile::tempdir().unwrap();
    let mut letters = settings().letters;
    letters.to_one_address_per_hour = 0;
    let post = Post::of(data.path(), &letters).unwrap();
    let mut counts: BTreeMap<&'static str, usize> = BTreeMap::new();
    let seeds = FIRST_SEED..FIRST_SEED + histories();
    println!("seeds {seeds:?}");
    for seed in seeds {
        println!("seed {seed}");
        let mut random = StdRng::seed_from_u64(seed);
        let mut world = World {
            ground: &ground,
            post: &post,
            keeper: &keeper,
            people: &people,
            spots: Vec::new(),
            away: Vec::new(),
            now: "2026-06-10T17:00:00Z".parse().unwrap(),
            counts: BTreeMap::new(),
        };
        world.lay(&mut random).await;
        for _ in 0..STEPS {
            let who = random.random_range(0..people.len());
            let at = random.random_range(0..TURNS);
            match random.random_range(0..11) {
                0..3 => {
                    let first = world.today() + TimeDelta::days(random.random_range(0..10));
                    let last = first + TimeDelta::days(random.random_range(0..12));
                    world.tell(who, first, last).await;
                }
                3 => world.back(random.random_range(0..4)).await,
                4..7 => world.yes(who, at).await,
                7 => world.free(at).await,
                8 => world.seek(at).await,
                // So seldom that nothing between two looks is missed.
                _ => world.pass(random.random_range(1..20)).await,
            }
            look(&ground.app).await;
            world.send().await;
            world.hear().await;
            world.check().await;
        }
        world.go_to_the_end().await;
        world.hear().await;
        world.check().await;
        world.check_end().await;
        for (what, times) in world.counts {
            *counts.entry(what).or_default() += times;
        }
    }
    println!("{counts:?}");
    assert_eq!(counts.len(), 9, "{counts:?}");
}
