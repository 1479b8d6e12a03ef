//! Reading the days on which a site is shut.

use super::membership::admit;
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand, Page};
use crate::store::closures::{self, ClosureRow};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClosureId, SiteId};

/// Days on which a site is shut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closure {
    /// The key within the site.
    pub id: ClosureId,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day.
    pub last_day: NaiveDate,
    /// Since when it is known.
    pub created_at: DateTime<Utc>,
}

/// The closures of a site that are not over, in order of their first day.
pub async fn list_closures(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<(NaiveDate, Uuid)>,
    limit: u16,
) -> Result<Page<Closure>, DeskError> {
    desk.store()
        .read("list closures", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::SeeTurns).await?;
                let today = zone_of_site(conn, site).await?.local_date(errand.now);
                let wanted = i64::from(limit) + 1;
                let rows = closures::page(conn, site, today, after, wanted).await?;
                Ok(Page::cut(rows.iter().map(closure).collect(), limit))
            }
            .boxed()
        })
        .await
}

fn closure(row: &ClosureRow) -> Closure {
    Closure {
        id: ClosureId(row.id),
        first_day: row.first_day,
        last_day: row.last_day,
        created_at: row.created_at,
    }
}
