//! How near the planner comes to its own bounds, and how it grows.
//!
//! `cargo bench -p wormrota-domain --bench rota` plans invented rotas of several families with
//! five seeds each and prints worst, median and best; then how it grows to ten times the
//! size. Instance files named after `--` are planned instead. `WORMROTA_ROTA_SECONDS` is the
//! longest for each plan, 2 unless told; the growing ones get five times as much.

#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::cast_precision_loss,
    reason = "a bench prints, looks at the clock and stops at the first surprise"
)]

use std::time::Instant;
use wormrota_domain::rota::format::InstanceFile;
use wormrota_domain::rota::index::{BinIndex, MemberIndex};
use wormrota_domain::rota::input::{Input, MemberInput, TurnInput};
use wormrota_domain::rota::planner::{Planner, Progress};
use wormrota_domain::rota::snapshot::Snapshot;

/// A small generator of its own: the planner's is its own affair.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: u64) -> u32 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        u32::try_from((self.0 >> 33) % sides).unwrap()
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::try_from(self.roll(of.len() as u64)).unwrap()]
    }
}

/// A family of rotas.
#[derive(Clone, Copy)]
struct Family {
    name: &'static str,
    members: u32,
    bins: u32,
    weeks: u32,
    rest: &'static [u32],
    places: &'static [u32],
    efforts: &'static [u32],
}

const FAMILIES: [Family; 4] = [
    Family {
        name: "stairwell",
        members: 12,
        bins: 2,
        weeks: 12,
        rest: &[3, 6],
        places: &[1],
        efforts: &[1, 2],
    },
    Family {
        name: "tight",
        members: 9,
        bins: 3,
        weeks: 11,
        rest: &[3, 6],
        places: &[1, 2],
        efforts: &[1, 2, 3],
    },
    Family {
        name: "building",
        members: 280,
        bins: 12,
        weeks: 50,
        rest: &[6, 13, 20],
        places: &[2],
        efforts: &[2, 3, 4],
    },
    Family {
        name: "building, all turns alike",
        members: 280,
        bins: 12,
        weeks: 50,
        rest: &[6, 13, 20],
        places: &[1, 2],
        efforts: &[1],
    },
];

fn member(dice: &mut Dice, family: &Family) -> MemberInput {
    let days = family.weeks * 7;
    let mut weekdays = [true; 7];
    for works in &mut weekdays {
        *works = dice.roll(5) > 0;
    }
    let absences = (0..dice.roll(3))
        .map(|_| {
            let first = dice.roll(u64::from(days)).cast_signed();
            (first, first + dice.pick(&[2, 13, 20]))
        })
        .collect();
    let mut bins: Vec<BinIndex> = (0..=dice.roll(3))
        .map(|_| BinIndex(usize::try_from(dice.roll(u64::from(family.bins))).unwrap()))
        .collect();
    bins.sort_unstable();
    bins.dedup();
    let experienced = dice.roll(5) < 3;
    MemberInput {
        weekdays,
        absences,
        bins,
        most_in_28_days: dice.pick(&[None, None, None, Some(2), Some(3), Some(4)]),
        rest_days: dice.pick(family.rest),
        share: dice.pick(&[4, 4, 4, 2]),
        balance: i64::from(dice.roll(7)) - 3,
        wishes: [0; 7].map(|_: i8| dice.pick(&[-1, 0, 0, 1])),
        experienced,
        not_alone: !experienced && dice.roll(3) == 0,
        past: Vec::new(),
    }
}

fn invented(family: &Family, seed: u64) -> Input {
    let mut dice = Dice(seed);
    for _ in 0..10 {
        dice.roll(2);
    }
    let mut turns = Vec::new();
    for week in 0..family.weeks {
        for bin in 0..family.bins {
            for day in [bin % 3, bin % 3 + 3] {
                turns.push(TurnInput {
                    bin: BinIndex(usize::try_from(bin).unwrap()),
                    day: (week * 7 + day).cast_signed(),
                    places: family.places[usize::try_from(bin).unwrap() % family.places.len()],
                    effort: family.efforts[usize::try_from(bin).unwrap() % family.efforts.len()],
                });
            }
        }
    }
    turns.sort_by_key(|turn| turn.day);
    let count = u64::from(family.members);
    let apart = (0..family.members / 10)
        .map(|_| (dice.roll(count), dice.roll(count)))
        .filter(|(one, other)| one != other)
        .map(|(a, b)| {
            (
                MemberIndex(a.try_into().unwrap()),
                MemberIndex(b.try_into().unwrap()),
            )
        })
        .collect();
    Input {
        days: family.weeks * 7,
        bins: usize::try_from(family.bins).unwrap(),
        members: (0..family.members)
            .map(|_| member(&mut dice, family))
            .collect(),
        turns,
        apart,
        ..Input::default()
    }
}

/// One run.
struct Run {
    /// Value and bound of each aim.
    standings: Vec<(i64, i64)>,
    proven: bool,
    seconds: f64,
    /// Seconds until no place was empty that need not be, as far as is known in the end.
    full: f64,
    /// The longest that one slice took, in seconds.
    slice: f64,
    /// What the whole process held in the end, in megabytes; 0 where that is not told.
    megabytes: f64,
}

impl Run {
    /// Empty places, changes and fairness, then wishes, less is better.
    fn key(&self) -> Vec<i64> {
        let last = self.standings.len() - 1;
        let mut key: Vec<i64> = self.standings.iter().map(|standing| standing.0).collect();
        key[last] = -key[last];
        key
    }

    /// How far fairness is above its bound, in percent.
    fn gap(&self) -> f64 {
        let (value, bound) = self.standings[self.standings.len() - 2];
        (value - bound) as f64 / bound.max(1) as f64 * 100.0
    }
}

/// What the process holds, as Linux tells it.
fn megabytes() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmRSS:"));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1)?.parse().ok());
    kilobytes.unwrap_or(0.0) / 1024.0
}

fn plan(snapshot: &Snapshot, seed: u64, limit: f64) -> Run {
    let begun = Instant::now();
    let mut planner = Planner::new(snapshot.clone(), seed).unwrap();
    let (mut proven, mut slice, mut full, mut empty) = (false, 0.0_f64, 0.0, i64::MAX);
    loop {
        let seconds = begun.elapsed().as_secs_f64();
        if proven || seconds >= limit {
            break;
        }
        if planner.steps() > 0 {
            planner.planned(foreseen(planner.steps(), seconds, limit));
        }
        proven = planner.run(500) == Progress::Proven;
        let now = begun.elapsed().as_secs_f64();
        slice = slice.max(now - seconds);
        if planner.score().empty_places < empty {
            (empty, full) = (planner.score().empty_places, now);
        }
    }
    Run {
        seconds: begun.elapsed().as_secs_f64(),
        standings: (planner.standings().iter())
            .map(|s| (s.value, s.bound))
            .collect(),
        proven,
        full,
        slice,
        megabytes: megabytes(),
    }
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a foresight is a guess"
)]
fn foreseen(steps: u64, seconds: f64, limit: f64) -> u64 {
    (steps as f64 * limit / seconds) as u64
}

/// Five seeds, best plan first.
fn runs(snapshot: &Snapshot, limit: f64) -> Vec<Run> {
    let mut runs: Vec<Run> = (1..=5).map(|seed| plan(snapshot, seed, limit)).collect();
    runs.sort_by(|one, other| {
        let by_plan = one.key().cmp(&other.key());
        by_plan.then(one.seconds.total_cmp(&other.seconds))
    });
    runs
}

fn median(of: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = of.collect();
    all.sort_by(f64::total_cmp);
    all[all.len() / 2]
}

fn table(name: &str, input: Input, limit: f64) {
    let begun = Instant::now();
    let snapshot = Snapshot::parse(input).unwrap();
    println!(
        "{name}: {} members, {} turns, read in {:.3} s",
        snapshot.members().len(),
        snapshot.turns().len(),
        begun.elapsed().as_secs_f64()
    );
    let runs = runs(&snapshot, limit);
    for (which, at) in [("best", 0), ("median", 2), ("worst", 4)] {
        let run = &runs[at];
        let all: Vec<String> = (run.standings.iter())
            .map(|(v, b)| format!("{v} (bound {b})"))
            .collect();
        let proven = if run.proven { "proven" } else { "open" };
        println!(
            "  {which:6} {} fairness gap {:.2} % {proven} {:.3} s",
            all.join(", "),
            run.gap(),
            run.seconds
        );
    }
    let seconds = median(runs.iter().map(|run| run.seconds));
    println!("  median time {seconds:.3} s");
}

/// The building at one to ten times its size: medians of five seeds, and how many times those
/// of the first row.
fn growth(limit: f64) {
    println!("growth, {limit} s each: median of five (times the first row)");
    let mut first: Option<[f64; 3]> = None;
    for times in [1, 2, 5, 10] {
        let family = Family {
            members: 300 * times,
            bins: 12 * times,
            weeks: 52,
            ..FAMILIES[2]
        };
        let begun = Instant::now();
        let snapshot = Snapshot::parse(invented(&family, 3)).unwrap();
        let read = begun.elapsed().as_secs_f64();
        let runs = runs(&snapshot, limit);
        let now = [
            read,
            median(runs.iter().map(|run| run.full)),
            median(runs.iter().map(|run| run.megabytes)),
        ];
        let base = *first.get_or_insert(now);
        let times_first = |at: usize| now[at] / base[at].max(1e-9);
        println!(
            "  {} members, {} turns: read {:.3} s ({:.1}), no empty place to spare after {:.3} s \
             ({:.1}), {:.0} MB ({:.1}), empty {:.0}, fairness gap {:.2} %, longest slice {:.0} ms",
            snapshot.members().len(),
            snapshot.turns().len(),
            now[0],
            times_first(0),
            now[1],
            times_first(1),
            now[2],
            times_first(2),
            median(runs.iter().map(|run| run.standings[0].0 as f64)),
            median(runs.iter().map(Run::gap)),
            median(runs.iter().map(|run| run.slice * 1e3)),
        );
    }
}

fn main() {
    let told = std::env::var("WORMROTA_ROTA_SECONDS").ok();
    let limit = told.map_or(2.0, |seconds| seconds.parse().unwrap());
    let files: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .collect();
    for file in &files {
        let text = std::fs::read(file).unwrap();
        let instance: InstanceFile = serde_json::from_slice(&text).unwrap();
        table(file, instance.read().unwrap(), limit);
    }
    if !files.is_empty() {
        return;
    }
    for family in &FAMILIES {
        table(family.name, invented(family, 20_261_125), limit);
    }
    growth(5.0 * limit);
}
