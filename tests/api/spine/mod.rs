//! Whatever the order in which a bin's history is told, the bin is the same; and what was
//! decided before a late entry stays as it was.
//!
//! Random histories are recorded twice, in two bins, each entry late by its own luck and
//! some of them taken back. `WORMROTA_SPINE_HISTORIES` says how many, `WORMROTA_SPINE_SEED`
//! which; both are printed.

mod alike;
mod history;
mod recording;

pub(crate) use alike::assert_alike;

use crate::frame::{App, Person, all_at_once, fresh_database, settings};
use alike::{TOLERANCE, assert_all_alike};
use futures_util::FutureExt;
use history::{History, Step, What};
use rand::SeedableRng;
use rand::rngs::StdRng;
use recording::{Decided, Recording};
use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use wormrota::desk::Desk;
use wormrota_domain::ids::SiteId;

/// Histories unless said otherwise.
const HISTORIES: u64 = 200;

/// Histories that are tried at the same time.
const AT_ONCE: usize = 6;

/// What was met on the way, so that a run that met nothing shows.
#[derive(Debug, Default)]
struct Met {
    in_two_orders: AtomicU64,
    entries: AtomicU64,
    allowed: AtomicU64,
    refused: AtomicU64,
    taken_back: AtomicU64,
    found: AtomicU64,
    decisions: AtomicU64,
}

impl Met {
    fn count(counter: &AtomicU64, by: usize) {
        counter.fetch_add(by as u64, Ordering::Relaxed);
    }
}

async fn try_history(desk: &Desk, teller: &Person, site: SiteId, seed: u64, met: &Met) {
    let mut history = History::random(&mut StdRng::seed_from_u64(seed));
    Met::count(
        &met.in_two_orders,
        usize::from(history.is_told_in_two_orders()),
    );
    let mut first = Recording::begin(desk, teller, site, &history).await;
    let mut second = Recording::begin(desk, teller, site, &history).await;
    let mut refused = BTreeSet::new();
    for (now, step) in history.steps(0) {
        let allowed = first.take(&history, step, now).await;
        if let Step::Tell(i) = step
            && let What::PutIn { .. } = history.chapters[i].what
        {
            if let Some(what) = allowed {
                Met::count(&met.allowed, 1);
                history.chapters[i].what = what;
            } else {
                Met::count(&met.refused, 1);
                refused.insert(i);
            }
        }
    }
    for (now, step) in history.steps(1) {
        let (Step::Tell(i) | Step::TakeBack(i)) = step;
        if !refused.contains(&i) {
            second.take(&history, step, now).await;
        }
    }

    let (one, other) = (first.states().await, second.states().await);
    assert_all_alike(&one, &other);
    assert_alike(&first.head().await, &second.head().await, TOLERANCE);
    for recording in [&first, &second] {
        let anew = recording.reckoned_anew(&history.habitat(desk)).await;
        assert_all_alike(&recording.states().await, &anew);
        assert_alike(
            &recording.head().await,
            &anew.last().unwrap().json,
            TOLERANCE,
        );
        Met::count(&met.decisions, recording.decisions.len());
    }
    let query = format!(
        "SELECT count(*)::text AS id, kind AS row FROM bin_events
         WHERE bin_id IN ('{}', '{}') GROUP BY kind",
        first.bin.0, second.bin.0
    );
    for kind in first.find::<Decided>(query).await {
        let count: usize = kind.id.parse().unwrap();
        Met::count(&met.entries, count);
        match kind.row.as_str() {
            "withdrawn" => Met::count(&met.taken_back, count),
            "found" => Met::count(&met.found, count),
            _ => {}
        }
    }
}

fn from_env(name: &str, default: u64) -> u64 {
    std::env::var(name).map_or(default, |text| text.parse().unwrap())
}

/// A run over many histories.
struct Run {
    app: App,
    teller: Person,
    seed: u64,
    histories: u64,
    next: AtomicU64,
    met: Met,
}

impl Run {
    async fn go(self: Arc<Self>) {
        loop {
            let i = self.next.fetch_add(1, Ordering::Relaxed);
            if i >= self.histories {
                return;
            }
            // A site each: a refusal looks at the site's other bins.
            let site = SiteId(self.app.site(&self.teller).await);
            let seed = self.seed.wrapping_add(i);
            let tried = try_history(&self.app.desk, &self.teller, site, seed, &self.met);
            let tried = std::panic::AssertUnwindSafe(tried).catch_unwind().await;
            if tried.is_err() {
                let history = History::random(&mut StdRng::seed_from_u64(seed));
                panic!("WORMROTA_SPINE_SEED={seed} WORMROTA_SPINE_HISTORIES=1: {history:#?}");
            }
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_history_told_in_any_order_leaves_the_same_bin() {
    let mut settings = settings();
    settings.database.pool_size = AT_ONCE;
    settings.server.requests_per_minute = 0;
    let app = App::on(fresh_database().await, settings);
    let run = Arc::new(Run {
        teller: app.educator().await,
        app,
        seed: from_env("WORMROTA_SPINE_SEED", rand::random()),
        histories: from_env("WORMROTA_SPINE_HISTORIES", HISTORIES),
        next: AtomicU64::new(0),
        met: Met::default(),
    });
    let Run {
        seed, histories, ..
    } = *run;
    println!("WORMROTA_SPINE_SEED={seed} WORMROTA_SPINE_HISTORIES={histories}");
    let began = std::time::Instant::now();
    all_at_once((0..AT_ONCE).map(|_| Arc::clone(&run).go())).await;
    let met = &run.met;
    println!("{met:?} in {:?}", began.elapsed());
    if histories >= HISTORIES {
        let at_least = |counter: &AtomicU64, least: u64| {
            assert!(counter.load(Ordering::Relaxed) >= least, "{met:?}");
        };
        at_least(&met.in_two_orders, histories / 2);
        at_least(&met.taken_back, histories);
        at_least(&met.allowed, histories / 10);
        at_least(&met.refused, histories / 50);
        at_least(&met.found, histories / 50);
    }
}
