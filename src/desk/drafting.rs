//! Drafting as background work: taken up by one copy of the service, with proof of life after
//! each slice of it. A copy that dies loses its lease; another one begins again, and comes to
//! the same plan, as what it is made from, the seed and the steps are kept.

use super::asked_rota::{Asked, Found};
use super::at_hand::write;
use super::draft_rota::state_of;
use super::{Desk, DeskError};
use crate::clock;
use crate::store::jobs::JobRow;
use crate::store::rotas::{self, RotaState};
use crate::store::{Conn, StoreError, jobs};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use uuid::Uuid;
use wormrota_domain::ids::{JobId, RotaId, SiteId};
use wormrota_domain::rota::planner::Standing;
use wormrota_domain::rota::{Input, Plan};

/// The kind of these jobs.
pub const KIND: &str = "rota_draft";

/// What the job of a draft knows.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct Owed {
    site: Uuid,
    rota: Uuid,
}

/// The job that drafts a rota.
pub(super) fn owed(site: SiteId, rota: RotaId) -> JobRow {
    let now = clock::wall();
    JobRow {
        id: clock::fresh_id(),
        kind: KIND.to_owned(),
        site_id: Some(site.0),
        purpose: rota.0.to_string(),
        payload: json!(Owed {
            site: site.0,
            rota: rota.0,
        }),
        run_after: now,
        state: "waiting".to_owned(),
        attempts: 0,
        leased_until: None,
        last_error: None,
        created_at: now,
    }
}

/// A draft that a copy of the service works on.
#[derive(Debug, Clone)]
pub struct Draft {
    job: JobId,
    attempt: i32,
    site: SiteId,
    rota: RotaId,
    asked: Asked,
    /// Steps that the planner is given.
    pub steps: u64,
    /// Which of several equally good plans is found.
    pub seed: u64,
}

/// How drafting ended.
#[derive(Debug, Clone)]
pub enum Outcome {
    /// With a plan, what it reaches of each aim, and the steps that it took.
    Drafted(Box<Plan>, Vec<Standing>, u64),
    /// Without one; a code says why.
    Failed(&'static str),
}

impl Draft {
    /// What the planner gets.
    #[must_use]
    pub fn input(&self) -> Input {
        self.asked.input.clone()
    }

    /// How often it was taken up, this time included.
    #[must_use]
    pub const fn attempt(&self) -> i32 {
        self.attempt
    }
}

/// Leases the oldest draft that waits, or whose copy has died, from `now` until `until`, the
/// machine's time. None when there is none, or when nobody wants it any more.
///
/// # Errors
/// When the database cannot be reached.
pub async fn take_up(
    desk: &Desk,
    now: DateTime<Utc>,
    until: DateTime<Utc>,
) -> Result<Option<Draft>, DeskError> {
    desk.store()
        .transact("take up a draft", (), move |conn, ()| {
            async move {
                loop {
                    let leased = jobs::claim(conn, &[KIND], now, until, 1).await?;
                    let Some(job) = leased.into_iter().next() else {
                        return Ok(None);
                    };
                    if let Some(draft) = begun(conn, &job).await? {
                        return Ok(Some(draft));
                    }
                    jobs::finish(conn, JobId(job.id), job.attempts).await?;
                }
            }
            .boxed()
        })
        .await
}

/// The draft of a job, if it is still wanted: it begins, or begins again.
async fn begun(conn: &mut Conn, job: &JobRow) -> Result<Option<Draft>, DeskError> {
    let Ok(owed) = Owed::deserialize(&job.payload) else {
        tracing::error!(job = %job.id, "a draft of no known kind is left out");
        return Ok(None);
    };
    let (site, rota) = (SiteId(owed.site), RotaId(owed.rota));
    let Some(row) = rotas::lock(conn, site, rota).await? else {
        return Ok(None);
    };
    match state_of(&row)? {
        RotaState::Waiting => rotas::set_state(conn, site, rota, RotaState::Drafting).await?,
        RotaState::Drafting => {
            rotas::note_steps(conn, site, rota, 0).await?;
        }
        _ => return Ok(None),
    }
    let asked = match Asked::kept(conn, &row).await {
        Ok((asked, _)) => asked,
        // An older program asked for it: it would stand in the way of all others.
        Err(DeskError::Store(StoreError::Unreadable { .. })) => {
            rotas::keep_failure(conn, site, rota, "not_read").await?;
            return Ok(None);
        }
        Err(other) => return Err(other),
    };
    let whole = |number| u64::try_from(number).unwrap_or(0);
    Ok(Some(Draft {
        job: JobId(job.id),
        attempt: job.attempts,
        site,
        rota,
        asked,
        steps: whole(row.steps_planned),
        seed: whole(row.seed),
    }))
}

/// Says that a draft is worked on and how far it is, and keeps its lease until a later instant.
/// False when another copy has it, or nobody wants it any more.
///
/// # Errors
/// When the database cannot be reached.
pub async fn go_on(
    desk: &Desk,
    draft: &Draft,
    steps: u64,
    until: DateTime<Utc>,
) -> Result<bool, DeskError> {
    let (job, attempt, site, rota) = (draft.job, draft.attempt, draft.site, draft.rota);
    desk.store()
        .transact("go on with a draft", (), move |conn, ()| {
            async move {
                if !jobs::extend(conn, job, attempt, until).await? {
                    return Ok(false);
                }
                let wanted = rotas::note_steps(conn, site, rota, stored(steps)).await?;
                if !wanted {
                    jobs::finish(conn, job, attempt).await?;
                }
                Ok::<_, DeskError>(wanted)
            }
            .boxed()
        })
        .await
}

/// Ends a draft, unless another copy has it by now or nobody wants it any more; then nothing is
/// written. False when another copy has it.
///
/// # Errors
/// When the database cannot be reached.
pub async fn end(desk: &Desk, draft: &Draft, outcome: &Outcome) -> Result<bool, DeskError> {
    let now = desk.now().await?;
    let (job, attempt, site, rota) = (draft.job, draft.attempt, draft.site, draft.rota);
    let found = match outcome {
        Outcome::Drafted(plan, standings, steps) => {
            let found = write(&Found::new(&draft.asked, plan, standings))?;
            Ok((stored(*steps), found))
        }
        Outcome::Failed(code) => Err(*code),
    };
    desk.store()
        .transact("end a draft", found, move |conn, found| {
            async move {
                if !jobs::finish(conn, job, attempt).await? {
                    return Ok(false);
                }
                match found {
                    Ok((steps, found)) => {
                        rotas::keep_found(conn, site, rota, (*steps, found), now).await?;
                    }
                    Err(code) => rotas::keep_failure(conn, site, rota, code).await?,
                }
                Ok::<_, DeskError>(true)
            }
            .boxed()
        })
        .await
}

fn stored(steps: u64) -> i64 {
    i64::try_from(steps).unwrap_or(i64::MAX)
}
