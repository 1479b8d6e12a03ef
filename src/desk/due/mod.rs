//! Letters that are due because of the time alone. What is due is computed from the tables and
//! the time, never remembered: a service that slept owes afterwards what still helps, and any
//! number of copies may look, since owing a letter twice is one row.

mod closures;
mod digests;
mod left;
mod questions;
mod reminders;
mod troubles;

pub(super) use reminders::window;

use super::cover::look_after_calls;
use super::deputy::left_since;
use super::reckoning::Reckoning;
use super::sites::{self, Site};
use super::{Desk, DeskError};
use crate::store::letters::{self, LetterRow};
use crate::store::{Conn, sites as site_rows};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// Sites read at once.
const AT_ONCE: i64 = 100;

/// A site that is looked at.
pub(super) struct DueAt {
    /// The site.
    pub site: Site,
    /// The clocks and constants.
    pub by: Reckoning,
    /// What keepers have left since then is for the deputy.
    pub left_since: DateTime<Utc>,
}

impl DueAt {
    async fn load(
        conn: &mut Conn,
        site: SiteId,
        (by, left_since): &(Reckoning, DateTime<Utc>),
    ) -> Result<Self, DeskError> {
        Ok(Self {
            site: sites::load(conn, site).await?,
            by: by.clone(),
            left_since: *left_since,
        })
    }
}

/// Owes every letter that is due when the machine's clock shows `wall`, a transaction for each
/// site: what is wrong with one site keeps no letter of another. Says how many rows there were,
/// those that were owed before among them.
///
/// # Errors
/// When the database cannot be reached.
pub async fn owe_due(desk: &Desk, wall: DateTime<Utc>) -> Result<usize, DeskError> {
    let by = Reckoning::at(desk, wall).await?;
    let (mut owed, mut after) = (0, None);
    loop {
        let sites = page_of_sites(desk, after).await?;
        let Some(last) = sites.last() else {
            return Ok(owed);
        };
        after = Some(last.0);
        for site in sites {
            match owe_at(desk, site, &by).await {
                Ok(rows) => owed += rows,
                Err(error) => {
                    tracing::warn!(%site, code = error.code(), "due letters are left for later");
                }
            }
            if let Err(error) = look_at_bins(desk, site, &by).await {
                tracing::warn!(%site, code = error.code(), "bins are looked at later");
            }
            if let Err(error) = look_after_calls(desk, site, by.now, by.wall).await {
                tracing::warn!(%site, code = error.code(), "calls are left for later");
            }
        }
    }
}

async fn page_of_sites(desk: &Desk, after: Option<Uuid>) -> Result<Vec<SiteId>, DeskError> {
    desk.store()
        .read("list every site", after, move |conn, after| {
            async move { Ok::<_, DeskError>(site_rows::every(conn, *after, AT_ONCE).await?) }
                .boxed()
        })
        .await
}

async fn owe_at(desk: &Desk, site: SiteId, by: &Reckoning) -> Result<usize, DeskError> {
    let ground = (by.clone(), left_since(desk, by.now));
    desk.store()
        .transact("owe what is due", ground, move |conn, ground| {
            async move {
                let at = DueAt::load(conn, site, ground).await?;
                let mut rows: Vec<LetterRow> = reminders::owed(conn, &at).await?;
                rows.extend(questions::due(conn, &at).await?);
                rows.extend(left::due(conn, &at).await?);
                rows.extend(digests::due(conn, &at).await?);
                rows.extend(closures::owed(conn, &at).await?);
                letters::owe(conn, &rows).await?;
                Ok(rows.len())
            }
            .boxed()
        })
        .await
}

/// In a transaction of its own: it takes a lock, and reckons.
async fn look_at_bins(desk: &Desk, site: SiteId, by: &Reckoning) -> Result<(), DeskError> {
    let ground = (by.clone(), left_since(desk, by.now));
    desk.store()
        .transact("look at bins", ground, move |conn, ground| {
            async move {
                let at = DueAt::load(conn, site, ground).await?;
                troubles::look(conn, &at).await
            }
            .boxed()
        })
        .await
}
