//! Planning a rota from a file: the same planner that the service has, without a database.
//!
//! The file format is documented at [`wormrota_domain::rota::format`].

use super::{Stopped, say};
use clap::Args;
use serde_json::{Map, Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};
use wormrota_domain::rota::format::{InstanceFile, SolutionFile};
use wormrota_domain::rota::planner::{Planner, Progress, Standing};
use wormrota_domain::rota::score::Aim;
use wormrota_domain::rota::snapshot::Snapshot;

/// A larger file is no rota that the planner would take.
const LARGEST_BYTES: u64 = 256 * 1024 * 1024;
/// Steps between two looks at the clock: a few milliseconds.
const SLICE: u64 = 500;
/// The longest that may be asked for, in seconds: a day.
const LONGEST: f64 = 86_400.0;

/// What to plan, and for how long.
#[derive(Debug, Args)]
pub(super) struct RotaArguments {
    /// The instance to plan, a JSON file.
    instance: PathBuf,
    /// Where to write the solution.
    #[arg(long)]
    out: PathBuf,
    /// Which of several equally good plans is found.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// The longest it may take, in seconds; it ends before when all is proven.
    #[arg(long, default_value_t = 10.0)]
    limit: f64,
}

/// Plans, writes the solution, and prints one line of JSON about it.
pub(super) fn rota(arguments: &RotaArguments) -> Result<(), Stopped> {
    if !(0.0..=LONGEST).contains(&arguments.limit) {
        return Err(format!("--limit: not between 0 and {LONGEST} seconds").into());
    }
    let begun = Instant::now();
    let end = begun + Duration::from_secs_f64(arguments.limit);
    let in_file = |error: String| format!("{}: {error}", arguments.instance.display());
    let snapshot = read(&arguments.instance).map_err(|error| in_file(error.to_string()))?;
    let mut planner =
        Planner::new(snapshot, arguments.seed).map_err(|error| in_file(error.to_string()))?;
    let working = Instant::now();
    while Instant::now() < end {
        if let Some(total) = foreseen(&planner, working.elapsed(), end - working) {
            planner.planned(total);
        }
        if planner.run(SLICE) == Progress::Proven {
            break;
        }
    }
    let solution = serde_json::to_vec(&SolutionFile::from(&planner.plan()))?;
    fs::write(&arguments.out, solution)
        .map_err(|error| format!("{}: {error}", arguments.out.display()))?;
    let mut line = Map::new();
    let mut bounds = Map::new();
    // A draft changes nothing, as there is nothing in force.
    line.insert("changes".to_owned(), json!(0));
    bounds.insert("changes".to_owned(), json!({ "proven": true }));
    for standing in planner.standings() {
        let name = name(standing.aim).to_owned();
        bounds.insert(name.clone(), bound(&standing));
        line.insert(name, json!(standing.value));
    }
    line.insert("bounds".to_owned(), Value::Object(bounds));
    line.insert("seed".to_owned(), json!(arguments.seed));
    let seconds = (begun.elapsed().as_secs_f64() * 1e3).round() / 1e3;
    line.insert("seconds".to_owned(), json!(seconds));
    say::line(&Value::Object(line).to_string());
    Ok(())
}

/// How many steps there will be in all, at the pace of those done so far.
fn foreseen(planner: &Planner, taken: Duration, in_all: Duration) -> Option<u64> {
    let taken = u64::try_from(taken.as_micros()).ok().filter(|t| *t > 0)?;
    let in_all = u64::try_from(in_all.as_micros()).ok()?;
    planner
        .steps()
        .checked_mul(in_all)
        .map(|steps| steps / taken)
}

fn read(path: &Path) -> Result<Snapshot, Stopped> {
    let bytes = fs::metadata(path)?.len();
    if bytes > LARGEST_BYTES {
        return Err(format!("{bytes} bytes: at most {LARGEST_BYTES}").into());
    }
    let file: InstanceFile = serde_json::from_slice(&fs::read(path)?)?;
    Ok(Snapshot::parse(file.read()?)?)
}

const fn name(aim: Aim) -> &'static str {
    match aim {
        Aim::EmptyPlaces => "uncovered",
        Aim::Changes => "changes",
        Aim::Fairness => "fairness",
        Aim::Wishes => "wishes",
    }
}

fn bound(standing: &Standing) -> Value {
    if standing.proven {
        json!({ "proven": true })
    } else {
        json!({ "bound": standing.bound })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const INSTANCE: &str = r#"{"horizon_days": 7, "bins": ["A"],
        "turns": [{"id": 0, "bin": 0, "day": 2, "need": 1, "weight": 2}],
        "members": [{"id": 0, "weekdays": [1,1,1,1,1,1,0], "absences": [], "bins": [0],
            "max28": null, "rest": 1, "share": 4, "balance": 0, "pref": [0,0,1,0,0,0,0],
            "experienced": true, "not_alone": false, "past": []}],
        "apart": [], "locked": LOCKED, "published": null}"#;

    fn planned(locked: &str) -> Result<String, String> {
        let folder = tempfile::tempdir().unwrap();
        let instance = folder.path().join("instance.json");
        fs::write(&instance, INSTANCE.replace("LOCKED", locked)).unwrap();
        let out = folder.path().join("solution.json");
        let arguments = RotaArguments {
            instance,
            out: out.clone(),
            seed: 1,
            limit: 5.0,
        };
        match rota(&arguments) {
            Ok(()) => Ok(fs::read_to_string(out).unwrap()),
            Err(error) => {
                assert!(!out.exists(), "nothing is written for a bad instance");
                Err(error.to_string())
            }
        }
    }

    #[test]
    fn an_instance_becomes_a_solution() {
        assert_eq!(planned("[]").unwrap(), r#"{"assign":[[0,0]]}"#);
    }

    #[test]
    fn a_bad_entry_is_named_and_nothing_is_written() {
        let error = planned("[[1, 0]]").unwrap_err();
        assert!(
            error.ends_with("instance.json: kept 0: there is no member 1"),
            "{error}"
        );
    }
}
