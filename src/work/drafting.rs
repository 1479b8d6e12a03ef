//! Rotas that are owed, drafted one after the other.
//!
//! The planner works on a thread of its own, a slice at a time. After each slice it is said
//! how far it is; whoever dropped the draft meanwhile is heard then.

use crate::clock;
use crate::desk::drafting::{Draft, Outcome, end, go_on, take_up};
use crate::desk::{Desk, DeskError};
use chrono::{DateTime, TimeDelta, Utc};
use std::time::Duration;
use wormrota_domain::rota::planner::Progress;
use wormrota_domain::rota::{Planner, Refusal, Snapshot};

/// How often a copy looks for drafts: somebody waits for each.
const LOOKS_EVERY: Duration = Duration::from_secs(1);
/// How long a copy may be silent before another one begins again. A slice takes far less.
const LEASE: TimeDelta = TimeDelta::seconds(30);
/// The same for its first word: a large house takes a while to be looked at.
const FIRST_LEASE: TimeDelta = TimeDelta::minutes(2);
/// Steps between two signs of life: about a fifth of a second.
const SLICE: u64 = 20_000;
/// A draft that was begun so often took its copy down with it each time.
const TRIES: i32 = 5;

/// Drafts what is owed until the surrounding task is dropped; another copy, or this one after
/// its next start, begins again with a draft that is under way then.
pub async fn keep_drafting(desk: Desk) {
    let mut ticks = tokio::time::interval(LOOKS_EVERY);
    ticks.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        ticks.tick().await;
        if let Err(error) = draft_all(&desk).await {
            tracing::warn!(code = error.code(), "drafts are left for later");
        }
    }
}

/// Drafts every rota that is owed; says how many drafts ended, those that could not be made
/// among them.
///
/// # Errors
/// When the database cannot be reached.
pub async fn draft_all(desk: &Desk) -> Result<usize, DeskError> {
    let mut ended = 0;
    loop {
        let now = clock::wall();
        let Some(draft) = take_up(desk, now, now + FIRST_LEASE).await? else {
            return Ok(ended);
        };
        let rota = draft.input();
        tracing::info!(
            members = rota.members.len(),
            turns = rota.turns.len(),
            attempt = draft.attempt(),
            "drafting a rota"
        );
        let outcome = match draft.attempt() {
            attempt if attempt > TRIES => Some(Outcome::Failed("given_up")),
            _ => plan(desk, &draft).await?,
        };
        if let Some(outcome) = outcome {
            ended += usize::from(end(desk, &draft, &outcome).await?);
        }
    }
}

fn lease() -> DateTime<Utc> {
    clock::wall() + LEASE
}

/// Plans until the steps are used up, or everything is proven. None when the draft is not
/// ours any more, or nobody's.
async fn plan(desk: &Desk, draft: &Draft) -> Result<Option<Outcome>, DeskError> {
    let (input, seed, steps) = (draft.input(), draft.seed, draft.steps);
    let begun = tokio::task::spawn_blocking(move || {
        let mut planner = Planner::new(Snapshot::parse(input)?, seed)?;
        planner.planned(steps);
        Ok::<_, Refusal>(planner)
    });
    let mut planner = match begun.await {
        Ok(Ok(planner)) => planner,
        Ok(Err(refusal)) => return Ok(Some(Outcome::Failed(code(&refusal)))),
        Err(error) => return Ok(Some(broke(&error))),
    };
    let mut given = 0;
    while given < draft.steps {
        let slice = SLICE.min(draft.steps - given);
        given += slice;
        let working = tokio::task::spawn_blocking(move || {
            let progress = planner.run(slice);
            (planner, progress)
        });
        let progress;
        (planner, progress) = match working.await {
            Ok(found) => found,
            Err(error) => return Ok(Some(broke(&error))),
        };
        if progress == Progress::Proven {
            break;
        }
        if !go_on(desk, draft, planner.steps().min(draft.steps), lease()).await? {
            return Ok(None);
        }
    }
    let steps = planner.steps().min(draft.steps);
    let standings = planner.standings();
    Ok(Some(Outcome::Drafted(
        Box::new(planner.plan()),
        standings,
        steps,
    )))
}

/// What a draft that the planner refused is marked with.
const fn code(refusal: &Refusal) -> &'static str {
    match refusal {
        Refusal::NoCompany { .. } => "no_company",
        _ => "not_planned",
    }
}

/// A planner that panics is a mistake of ours: the draft ends, and the log says why.
fn broke(error: &tokio::task::JoinError) -> Outcome {
    tracing::error!(%error, "the planner broke");
    Outcome::Failed("planner_broke")
}
