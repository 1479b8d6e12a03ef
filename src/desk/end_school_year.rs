//! The end of the school year: classes whose last day has passed at their site end, and
//! their pupils are erased.

use super::keep_class::{end, zone_of};
use super::{Desk, DeskError};
use crate::store::classes;
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use wormrota_domain::ids::{ClassId, SiteId};

/// No zone is further ahead of UTC.
const FURTHEST_AHEAD: TimeDelta = TimeDelta::hours(14);
/// Classes ended in one transaction.
const AT_ONCE: i64 = 200;

/// Ends the classes whose last day has passed at `now`, the time at which bins live; says how
/// many. Whoever does it again finds none.
pub async fn end_passed_classes(desk: &Desk, now: DateTime<Utc>) -> Result<usize, DeskError> {
    let mut all = 0;
    loop {
        let ended = desk
            .store()
            .transact("end classes", (), move |conn, ()| {
                async move {
                    let today_somewhere = (now + FURTHEST_AHEAD).date_naive();
                    let mut ended = 0_usize;
                    for (row, zone) in classes::past(conn, today_somewhere, AT_ONCE).await? {
                        if row.ends_on >= zone_of(&zone)?.local_date(now) {
                            continue;
                        }
                        let (site, id) = (SiteId(row.site_id), ClassId(row.id));
                        // Read again under its lock: another copy may have been faster.
                        let locked = classes::lock(conn, site, id).await?;
                        let still = locked
                            .filter(|now| now.ended_at.is_none() && now.ends_on == row.ends_on);
                        if let Some(row) = still {
                            end(conn, row, None, now).await?;
                            ended += 1;
                        }
                    }
                    Ok::<_, DeskError>(ended)
                }
                .boxed()
            })
            .await?;
        if ended == 0 {
            return Ok(all);
        }
        all += ended;
    }
}
