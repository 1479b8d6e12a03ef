//! How little changes when a rota in force is planned anew after one absence.
//!
//! `cargo bench -p wormrota-domain --bench replanning -- FILE…` plans each instance file, and
//! then, from 24 seeds, lets somebody be away who holds several places on those days, frees
//! these as the service does, and plans anew. A line tells what changed: places that somebody
//! gave up or took. `WORMROTA_REPLANNING_STEPS` is how long each plan takes, 500000 unless told,
//! as a quick draft does. With `WORMROTA_REPLANNING_OUT` a folder gets each question as an
//! instance file and its answer as a solution, to be checked from outside.

#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench prints, looks at the clock and stops at the first surprise"
)]

use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::Path;
use std::time::Instant;
use wormrota_domain::rota::format::{InstanceFile, SolutionFile};
use wormrota_domain::rota::index::{Day, Place};
use wormrota_domain::rota::planner::{Planner, Progress};
use wormrota_domain::rota::score::Aim;
use wormrota_domain::rota::snapshot::Snapshot;
use wormrota_domain::rota::{Input, Plan};

/// How many absences of each instance.
const SEEDS: u64 = 24;
/// Places held in an absence, at the least and at the most.
const HELD: (usize, usize) = (2, 5);
/// Days ahead at which an absence is told, at the most.
const AHEAD: u64 = 21;

/// A small generator of its own: the planner's is its own affair.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = (self.0)
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

/// One member's absence in a rota in force.
struct Absence {
    member: usize,
    first_day: Day,
    last_day: Day,
    first_open_day: Day,
    /// The places that stay in force: all but those of the absence.
    in_force: Vec<Place>,
    held: usize,
}

impl Absence {
    /// An absence of somebody who was not drawn before and holds several places.
    fn draw(input: &Input, rota: &Plan, seed: u64, drawn: &mut BTreeSet<usize>) -> Self {
        let mut dice = Dice(seed);
        for _ in 0..10 {
            dice.roll(2);
        }
        let day = |place: &Place| input.turns[place.1.0].day;
        loop {
            let member = dice.roll(input.members.len());
            let mut own: Vec<Place> = rota.places().filter(|(m, _)| m.0 == member).collect();
            own.sort_by_key(day);
            let held = HELD.0 + dice.roll(HELD.1 - HELD.0 + 1);
            if own.len() < held || !drawn.insert(member) {
                continue;
            }
            let from = dice.roll(own.len() - held + 1);
            let (first_day, last_day) = (day(&own[from]), day(&own[from + held - 1]));
            let ahead = Day::try_from(dice.roll(usize::try_from(AHEAD + 1).unwrap())).unwrap();
            let away =
                |place: &Place| place.0.0 == member && (first_day..=last_day).contains(&day(place));
            let in_force: Vec<Place> = rota.places().filter(|place| !away(place)).collect();
            return Self {
                member,
                first_day,
                last_day,
                first_open_day: (first_day - ahead).max(0),
                held: rota.places().count() - in_force.len(),
                in_force,
            };
        }
    }

    /// The instance in which it is known.
    fn told(&self, instance: &Value) -> Value {
        let mut told = instance.clone();
        let absences = told["members"][self.member]["absences"].as_array_mut();
        absences
            .unwrap()
            .push(json!([self.first_day, self.last_day]));
        let stays = |place: &Value| {
            let turn = usize::try_from(place[1].as_u64().unwrap()).unwrap();
            let day = told["turns"][turn]["day"].as_i64().unwrap();
            let away = i64::from(self.first_day)..=i64::from(self.last_day);
            place[0] != json!(self.member) || !away.contains(&day)
        };
        let locked = instance["locked"].as_array().unwrap().iter();
        told["locked"] = locked.filter(|place| stays(place)).cloned().collect();
        let places: Vec<(usize, usize)> = (self.in_force.iter()).map(|(m, t)| (m.0, t.0)).collect();
        told["published"] = json!(places);
        told["replan_from"] = json!(self.first_open_day);
        told
    }
}

fn read(instance: &Value) -> Input {
    let file: InstanceFile = serde_json::from_value(instance.clone()).unwrap();
    file.read().unwrap()
}

fn planned(snapshot: Snapshot, seed: u64, steps: u64) -> (Planner, f64) {
    let begun = Instant::now();
    let mut planner = Planner::new(snapshot, seed).unwrap();
    planner.planned(steps);
    while planner.steps() < steps && planner.run(500) == Progress::Working {}
    (planner, begun.elapsed().as_secs_f64())
}

fn keep(folder: &str, name: &str, value: &Value) {
    let path = Path::new(folder).join(format!("{name}.json"));
    std::fs::write(path, serde_json::to_vec(value).unwrap()).unwrap();
}

fn instance(file: &str, steps: u64, out: Option<&str>) {
    let instance: Value = serde_json::from_slice(&std::fs::read(file).unwrap()).unwrap();
    let name = Path::new(file).file_stem().unwrap().to_str().unwrap();
    let input = read(&instance);
    let (mut planner, seconds) = planned(Snapshot::parse(input.clone()).unwrap(), 1, steps);
    let rota = planner.plan();
    let empty = planner.score().empty_places;
    println!(
        "{name}: in force {} places, {empty} empty, {seconds:.1} s",
        rota.places().count()
    );
    println!("  seed member first last open_from held empty changed bound proven seconds");
    let mut drawn = BTreeSet::new();
    for seed in 1..=SEEDS {
        let absence = Absence::draw(&input, &rota, seed, &mut drawn);
        let told = absence.told(&instance);
        let snapshot = Snapshot::parse(read(&told)).unwrap();
        let (mut planner, seconds) = planned(snapshot, seed, steps);
        let standings = planner.standings();
        let of = |aim| {
            standings
                .iter()
                .find(|standing| standing.aim == aim)
                .unwrap()
        };
        let (empty, changes) = (of(Aim::EmptyPlaces), of(Aim::Changes));
        println!(
            "  {seed} {} {} {} {} {} {} {} {} {} {seconds:.2}",
            absence.member,
            absence.first_day,
            absence.last_day,
            absence.first_open_day,
            absence.held,
            empty.value,
            changes.value,
            changes.bound,
            changes.proven,
        );
        if let Some(folder) = out {
            keep(folder, &format!("{name}-{seed}"), &told);
            let solution = json!(SolutionFile::from(&planner.plan()));
            keep(folder, &format!("{name}-{seed}-plan"), &solution);
        }
    }
}

fn main() {
    let steps = std::env::var("WORMROTA_REPLANNING_STEPS").ok();
    let steps = steps.map_or(500_000, |steps| steps.parse().unwrap());
    let out = std::env::var("WORMROTA_REPLANNING_OUT").ok();
    for file in std::env::args().skip(1).filter(|a| !a.starts_with("--")) {
        instance(&file, steps, out.as_deref());
    }
}
