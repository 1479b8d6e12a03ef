//! Whatever the order in which a bin's history is told, the bin is the same; and what was
//! decided before a late entry stays as it was.
//!
//! Random histories are recorded twice, in two bins, each entry late by its own luck and
//! some of them taken back. `WORMROTA_SPINE_HISTORIES` says how many, `WORMROTA_SPINE_SEED`
//! which; both are printed.

use crate::frame::{App, Person, all_at_once, fresh_database, settings};
use chrono::{DateTime, TimeDelta, Utc};
use diesel::sql_types::{Jsonb, Text, Timestamptz};
use diesel::{QueryableByName, sql_query};
use diesel_async::RunQueryDsl;
use futures_util::FutureExt;
use rand::rngs::StdRng;
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use wormrota::desk::add_bin::{NewBin, add_bin};
use wormrota::desk::check_bin::{Look, check_bin};
use wormrota::desk::measure::measure_by_hand;
use wormrota::desk::offers::{Amount, Item};
use wormrota::desk::put_in::put_in;
use wormrota::desk::stock_bin::{Stocking, stock_bin};
use wormrota::desk::take_back::take_back;
use wormrota::desk::tell::{Telling, tell};
use wormrota::desk::tend_bed::{add_bedding, feed_side, take_out};
use wormrota::desk::{Desk, Errand};
use wormrota::store::StoreError;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::check::{Check, Dampness, Left, Smell, Visitor};
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::event::{Dated, Event, replay};
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::reading::{Quantity, Value as Measured};
use wormrota_domain::site::{Spot, Vessel};
use wormrota_domain::units::{Fraction, Grams, Litres, SquareMetres};

/// How far apart two numbers of the same state may lie, kg and the like.
const TOLERANCE: f64 = 1e-9;
/// Histories unless said otherwise.
const HISTORIES: u64 = 200;
/// Histories that are tried at the same time.
const AT_ONCE: usize = 6;

/// Something that happened, with when it was told in each of the two bins.
#[derive(Debug, Clone)]
struct Chapter {
    what: What,
    at: DateTime<Utc>,
    told: [DateTime<Utc>; 2],
    /// When it is taken back in each bin, if it is.
    taken_back: Option<[DateTime<Utc>; 2]>,
}

#[derive(Debug, Clone)]
enum What {
    Told {
        items: Vec<Item>,
        bedding: Grams,
    },
    /// Asked for at once in the first bin; in the second, what was allowed there is told.
    PutIn {
        items: Vec<Item>,
    },
    Seen(Check, bool),
    Measured(Quantity, f64),
    Bedded(Grams),
    TakenOut(Grams),
    Sided(Fraction),
}

/// A history with the bin it happens to.
#[derive(Debug, Clone)]
struct History {
    spot: Spot,
    surface_cm2: i32,
    worms: Grams,
    stocked_at: DateTime<Utc>,
    chapters: Vec<Chapter>,
}

/// One step of a recording: a chapter, or taking it back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Tell(usize),
    TakeBack(usize),
}

impl History {
    fn random(rng: &mut StdRng) -> Self {
        let stocked_at: DateTime<Utc> = "2026-04-01T08:00:00Z".parse().unwrap();
        let stocked_at = stocked_at + TimeDelta::days(rng.random_range(0..200));
        // Some bins are young and some take full meals.
        let begins = stocked_at + TimeDelta::days(rng.random_range(0..45));
        let mut minutes = BTreeSet::new();
        while minutes.len() < 4 + rng.random_range(0..5) {
            minutes.insert(rng.random_range(1..20 * 24 * 60));
        }
        let chapters = minutes
            .into_iter()
            .map(|minute| Chapter::random(rng, begins + TimeDelta::minutes(minute)))
            .collect();
        Self {
            spot: *Spot::ALL.choose(rng).unwrap(),
            surface_cm2: rng.random_range(800..4_000),
            worms: Grams(rng.random_range(150..1_500)),
            stocked_at,
            chapters,
        }
    }

    /// The steps of a recording in the order in which they are taken.
    fn steps(&self, bin: usize) -> Vec<(DateTime<Utc>, Step)> {
        let mut steps = Vec::new();
        for (i, chapter) in self.chapters.iter().enumerate() {
            steps.push((chapter.told[bin], Step::Tell(i)));
            let taken_back = chapter.taken_back.map(|at| at[bin]);
            steps.extend(taken_back.map(|at| (at, Step::TakeBack(i))));
        }
        steps.sort();
        steps
    }

    fn is_told_in_two_orders(&self) -> bool {
        let order = |bin| self.steps(bin).into_iter().map(|(_, step)| step);
        !order(0).eq(order(1))
    }

    /// The bin as the domain reckons with it.
    fn habitat(&self, desk: &Desk) -> Habitat {
        Habitat {
            settings: (*desk.model()).clone(),
            shape: BinShape {
                surface: SquareMetres(f64::from(self.surface_cm2) / 10_000.0),
                volume: Litres(40.0),
                spot: self.spot,
            },
            climate: Climate::default(),
        }
    }
}

impl Chapter {
    fn random(rng: &mut StdRng, at: DateTime<Utc>) -> Self {
        let what = What::random(rng);
        let late = |rng: &mut StdRng, days: i64| {
            if days == 0 || rng.random_bool(0.3) {
                at
            } else {
                at + TimeDelta::seconds(rng.random_range(1..days * 86_400))
            }
        };
        let (first, second) = match what {
            What::PutIn { .. } => (0, 15),
            What::Told { .. } | What::Measured(..) => (15, 15),
            // A look is told within a week.
            What::Seen(..) => (6, 6),
            What::Bedded(_) | What::TakenOut(_) | What::Sided(_) => (0, 0),
        };
        let told = [late(rng, first), late(rng, second)];
        let taken_back = rng
            .random_bool(0.25)
            .then(|| told.map(|told| told + TimeDelta::seconds(rng.random_range(1..10 * 86_400))));
        Self {
            what,
            at,
            told,
            taken_back,
        }
    }
}

impl What {
    fn random(rng: &mut StdRng) -> Self {
        match rng.random_range(0..100) {
            0..30 => Self::Told {
                items: items(rng, 900),
                bedding: Grams(*[0, 0, 60].choose(rng).unwrap()),
            },
            30..45 => Self::PutIn {
                items: items(rng, 250),
            },
            45..75 => Self::Seen(random_check(rng), rng.random_bool(0.2)),
            75..85 => Self::Measured(Quantity::BedTemperature, rng.random_range(-2.0..37.0)),
            85..90 => Self::Measured(Quantity::BedMoisture, rng.random_range(0.4..0.95)),
            90..94 => Self::Bedded(Grams(rng.random_range(20..500))),
            94..97 => Self::TakenOut(Grams(rng.random_range(20..500))),
            _ => Self::Sided(Fraction(*[0.5, 0.25, 1.0].choose(rng).unwrap())),
        }
    }
}

fn items(rng: &mut StdRng, most: i64) -> Vec<Item> {
    let foods = [
        "usual-mix",
        "banana-peel",
        "coffee-grounds",
        "apple-core",
        "onion",
    ];
    let count = rng.random_range(1..=2);
    foods
        .sample(rng, count)
        .map(|food| (*food).to_owned())
        .collect::<Vec<_>>()
        .into_iter()
        .map(|food| Item {
            food,
            amount: Amount::Weighed(Grams(rng.random_range(5..most))),
        })
        .collect()
}

fn random_check(rng: &mut StdRng) -> Check {
    let left = [Left::None, Left::Little, Left::Half, Left::Most, Left::All];
    let smell = [Smell::Earthy, Smell::Earthy, Smell::Earthy, Smell::Sour];
    let dampness = [Dampness::Dry, Dampness::Right, Dampness::Wet];
    let some = |rng: &mut StdRng| rng.random_bool(0.7);
    Check {
        left: some(rng).then(|| *left.choose(rng).unwrap()),
        unlogged: rng.random_bool(0.1),
        smell: some(rng).then(|| *smell.choose(rng).unwrap()),
        dampness: some(rng).then(|| *dampness.choose(rng).unwrap()),
        visitors: vec![Visitor::Mites],
    }
}

/// A bin that a history is recorded in.
struct Recording<'a> {
    desk: &'a Desk,
    teller: &'a Person,
    site: SiteId,
    bin: BinId,
    /// The entry of each chapter that has one.
    entries: BTreeMap<usize, EventId>,
    /// Every decision as it was first written.
    decisions: BTreeMap<String, String>,
}

#[derive(QueryableByName)]
struct Decided {
    #[diesel(sql_type = Text)]
    id: String,
    #[diesel(sql_type = Text)]
    row: String,
}

#[derive(Debug, Clone, QueryableByName)]
struct Reckoned {
    #[diesel(sql_type = Timestamptz)]
    occurred_at: DateTime<Utc>,
    #[diesel(sql_type = Jsonb)]
    json: Value,
}

impl<'a> Recording<'a> {
    async fn begin(desk: &'a Desk, teller: &'a Person, site: SiteId, of: &History) -> Self {
        let errand = |now| Errand {
            account: teller.account,
            now,
            ticket: None,
        };
        let new = NewBin {
            name: format!("Bin {}", uuid::Uuid::now_v7().simple()),
            spot: of.spot,
            vessel: Vessel::Trays,
            surface_cm2: of.surface_cm2,
            tray_volumes_ml: vec![20_000, 20_000],
        };
        let bin = add_bin(desk, errand(of.stocked_at), site, new)
            .await
            .unwrap();
        let stocking = Stocking {
            stocked_at: None,
            worms: of.worms,
            bedding: Grams(1_600),
        };
        stock_bin(desk, errand(of.stocked_at), site, bin, stocking)
            .await
            .unwrap();
        Self {
            desk,
            teller,
            site,
            bin,
            entries: BTreeMap::new(),
            decisions: BTreeMap::new(),
        }
    }

    fn errand(&self, now: DateTime<Utc>) -> Errand {
        Errand {
            account: self.teller.account,
            now,
            ticket: None,
        }
    }

    /// Takes one step. Gives back what a feeding that was asked for came to: nothing if it
    /// was refused.
    async fn take(&mut self, history: &History, step: Step, now: DateTime<Utc>) -> Option<What> {
        let allowed = match step {
            Step::Tell(i) => self.tell(i, &history.chapters[i], now).await,
            Step::TakeBack(i) => {
                // What was refused never was an entry.
                if let Some(entry) = self.entries.remove(&i) {
                    take_back(self.desk, self.errand(now), self.site, self.bin, entry)
                        .await
                        .unwrap();
                }
                None
            }
        };
        self.insist_that_decisions_stand().await;
        allowed
    }

    async fn tell(&mut self, i: usize, chapter: &Chapter, now: DateTime<Utc>) -> Option<What> {
        let (desk, errand, site, bin) = (self.desk, self.errand(now), self.site, self.bin);
        let entry = match chapter.what.clone() {
            What::Told { items, bedding } => {
                let telling = Telling {
                    fed_at: Some(chapter.at),
                    items,
                    bedding,
                };
                tell(desk, errand, site, bin, telling)
                    .await
                    .unwrap()
                    .feeding
            }
            What::PutIn { items } => {
                let answer = put_in(desk, errand, site, bin, items).await.unwrap();
                let entry = answer.feeding?;
                self.entries.insert(i, entry);
                return Some(self.what_went_in(entry).await);
            }
            What::Seen(check, by_visitor) => {
                let look = Look {
                    check,
                    checked_at: Some(chapter.at),
                    by_visitor,
                };
                check_bin(desk, errand, site, bin, look).await.unwrap().id
            }
            What::Measured(quantity, value) => {
                let value = Measured {
                    at: chapter.at,
                    quantity,
                    value,
                };
                let taken = measure_by_hand(desk, errand, site, bin, vec![value])
                    .await
                    .unwrap();
                assert_eq!(taken.entries.len(), 1);
                self.entry_at(chapter.at).await
            }
            What::Bedded(dry) => add_bedding(desk, errand, site, bin, dry).await.unwrap(),
            What::TakenOut(amount) => take_out(desk, errand, site, bin, amount).await.unwrap(),
            What::Sided(share) => feed_side(desk, errand, site, bin, share).await.unwrap(),
        };
        self.entries.insert(i, entry);
        None
    }

    /// What an allowed feeding put in, to be told of another bin.
    async fn what_went_in(&self, entry: EventId) -> What {
        let query = format!(
            "SELECT occurred_at, payload AS json FROM bin_events WHERE id = '{}'",
            entry.0
        );
        let found: Vec<Reckoned> = self.find(query).await;
        let event: Event = serde_json::from_value(found[0].json.clone()).unwrap();
        let Event::Fed { lines, bedding, .. } = event else {
            panic!("no feeding: {event:?}");
        };
        let items = lines.into_iter().map(|line| Item {
            food: line.food,
            amount: Amount::Weighed(line.amount),
        });
        What::Told {
            items: items.collect(),
            bedding,
        }
    }

    async fn entry_at(&self, at: DateTime<Utc>) -> EventId {
        let query = format!(
            "SELECT id::text, '' AS row FROM bin_events WHERE bin_id = '{}' AND occurred_at = '{}'",
            self.bin.0,
            at.to_rfc3339()
        );
        let found: Vec<Decided> = self.find(query).await;
        assert_eq!(found.len(), 1);
        EventId(found[0].id.parse().unwrap())
    }

    async fn insist_that_decisions_stand(&mut self) {
        let query = format!(
            "SELECT id::text, d::text AS row FROM decisions AS d WHERE bin_id = '{}'",
            self.bin.0
        );
        let found: Vec<Decided> = self.find(query).await;
        let now: BTreeMap<String, String> = found
            .into_iter()
            .map(|decided| (decided.id, decided.row))
            .collect();
        for (id, row) in &self.decisions {
            assert_eq!(now.get(id), Some(row), "a decision has changed");
        }
        self.decisions = now;
    }

    /// The last state at each instant.
    async fn states(&self) -> Vec<Reckoned> {
        self.find(format!(
            "SELECT DISTINCT ON (occurred_at) occurred_at, state AS json FROM bin_states
             WHERE bin_id = '{}' ORDER BY occurred_at, seq DESC",
            self.bin.0
        ))
        .await
    }

    async fn head(&self) -> Value {
        let query = format!(
            "SELECT s.occurred_at, s.state AS json FROM bins AS b
             JOIN bin_states AS s ON s.site_id = b.site_id AND s.event_id = b.head_event
             WHERE b.id = '{}'",
            self.bin.0
        );
        let found: Vec<Reckoned> = self.find(query).await;
        found[0].json.clone()
    }

    /// The states at each instant as the domain reckons them in one go, from every entry
    /// that counts in the order in which things happened.
    async fn reckoned_anew(&self, habitat: &Habitat) -> Vec<Reckoned> {
        let query = format!(
            "SELECT occurred_at, payload AS json FROM bin_events AS e WHERE bin_id = '{}'
             AND NOT EXISTS (SELECT FROM bin_events AS c WHERE c.supersedes = e.id)
             ORDER BY occurred_at, seq",
            self.bin.0
        );
        let found: Vec<Reckoned> = self.find(query).await;
        let dated: Vec<Dated> = found
            .iter()
            .map(|found| Dated {
                at: found.occurred_at,
                event: serde_json::from_value(found.json.clone()).unwrap(),
            })
            .collect();
        let states = replay(habitat, None, &dated);
        let mut last: BTreeMap<DateTime<Utc>, Value> = BTreeMap::new();
        for (dated, state) in dated.iter().zip(states) {
            last.insert(dated.at, serde_json::to_value(state.unwrap()).unwrap());
        }
        last.into_iter()
            .map(|(occurred_at, json)| Reckoned { occurred_at, json })
            .collect()
    }

    async fn find<T>(&self, query: String) -> Vec<T>
    where
        T: QueryableByName<diesel::pg::Pg> + Send + 'static,
    {
        self.desk
            .store()
            .read("look", query, |conn, query| {
                async move { Ok::<_, StoreError>(sql_query(query.as_str()).load(conn).await?) }
                    .boxed()
            })
            .await
            .unwrap()
    }
}

/// Insists that two values are the same but for the rounding of sums.
#[track_caller]
pub(crate) fn assert_alike(a: &Value, b: &Value, tolerance: f64) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let apart = (x.as_f64().unwrap() - y.as_f64().unwrap()).abs();
            assert!(apart <= tolerance, "{x} and {y} are {apart} apart");
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len());
            x.iter()
                .zip(y)
                .for_each(|(x, y)| assert_alike(x, y, tolerance));
        }
        (Value::Object(x), Value::Object(y)) => {
            assert!(x.keys().eq(y.keys()), "{x:?} {y:?}");
            x.iter()
                .for_each(|(key, x)| assert_alike(x, &y[key], tolerance));
        }
        _ => assert_eq!(a, b),
    }
}

#[track_caller]
fn assert_all_alike(a: &[Reckoned], b: &[Reckoned]) {
    let instants =
        |states: &[Reckoned]| -> Vec<_> { states.iter().map(|state| state.occurred_at).collect() };
    assert_eq!(instants(a), instants(b));
    for (a, b) in a.iter().zip(b) {
        assert_alike(&a.json, &b.json, TOLERANCE);
    }
}

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
