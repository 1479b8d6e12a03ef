//! Forgetting what need not be kept, and closing what has passed.

use crate::clock;
use crate::desk::end_school_year::end_passed_classes;
use crate::desk::{Desk, DeskError, allowances};
use crate::store::jobs::JobRow;
use crate::store::{
    account_links, accounts, bookings, idempotency, jobs, letters, rotas, sessions,
};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde_json::json;

/// The kind of these jobs.
pub(super) const KIND: &str = "housekeeping";

/// First answers are kept this long: a client that retries later asks anew.
const ANSWERS_KEPT: TimeDelta = TimeDelta::hours(48);
/// Finished jobs are kept this long, for whoever looks into trouble.
const JOBS_KEPT: TimeDelta = TimeDelta::days(14);
/// Sessions that ended are kept this long: until then a refresh token that was stolen is
/// still known for what it is, and a device shows with an old one that it is known.
const SESSIONS_KEPT: TimeDelta = TimeDelta::days(30);
/// Letters are listed this long after they were sent or closed.
const LETTERS_KEPT: TimeDelta = TimeDelta::days(30);
/// Links are listed this long, for whoever wonders what a letter was about.
const LINKS_KEPT: TimeDelta = TimeDelta::days(30);
/// Where an account was signed in to from is remembered this long.
const PLACES_KEPT: TimeDelta = TimeDelta::days(90);
/// Drafts that failed or were dropped are kept this long, for whoever looks into trouble.
const ENDED_DRAFTS_KEPT: TimeDelta = TimeDelta::days(30);
/// A local day is over everywhere on Earth so long after its date began in UTC.
const DAY_OVER_EVERYWHERE: TimeDelta = TimeDelta::hours(36);

/// The job of this hour. Owing it twice is one row.
pub(super) fn owed_at(now: DateTime<Utc>) -> JobRow {
    JobRow {
        id: clock::fresh_id(),
        kind: KIND.to_owned(),
        site_id: None,
        purpose: now.format("%Y-%m-%dT%H").to_string(),
        payload: json!({}),
        run_after: now,
        state: "waiting".to_owned(),
        attempts: 0,
        leased_until: None,
        last_error: None,
        created_at: now,
    }
}

/// `wall` is the machine's time; bookings and classes live in the desk's, which the demo
/// moves.
pub(super) async fn tidy(desk: &Desk, wall: DateTime<Utc>) -> Result<(), DeskError> {
    let now = desk.now().await?;
    let ended = end_passed_classes(desk, now).await?;
    let today_at_the_earliest = (now - DAY_OVER_EVERYWHERE).date_naive();
    desk.store()
        .transact("tidy up", (), move |conn, ()| {
            async move {
                let answers = idempotency::forget_before(conn, wall - ANSWERS_KEPT).await?;
                let lapsed = bookings::lapse_before(conn, today_at_the_earliest).await?;
                let old_jobs = jobs::forget_done_before(conn, wall - JOBS_KEPT).await?;
                let old_letters = letters::forget_closed_before(conn, wall - LETTERS_KEPT).await?;
                let old_sessions =
                    sessions::forget_ended_before(conn, wall - SESSIONS_KEPT).await?;
                let tokens = sessions::forget_tokens_before(conn, wall - SESSIONS_KEPT).await?;
                let links = account_links::forget_before(conn, wall - LINKS_KEPT).await?;
                let places = accounts::forget_places_before(conn, wall - PLACES_KEPT).await?;
                let drafts = rotas::forget_ended_before(conn, now - ENDED_DRAFTS_KEPT).await?;
                let spans = allowances::forget_old(conn, wall).await?;
                tracing::info!(
                    answers,
                    lapsed,
                    old_jobs,
                    old_letters,
                    ended,
                    old_sessions,
                    tokens,
                    links,
                    places,
                    drafts,
                    spans,
                    "tidied up"
                );
                Ok(())
            }
            .boxed()
        })
        .await
}
