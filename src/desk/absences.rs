//! Days on which members are away: reading them.

use super::limits::admit_to_limits;
use super::people::let_in;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::absences::{self, AbsenceRow};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::ids::{AbsenceId, MemberId, SiteId};

/// Days away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Absence {
    /// The key within the site.
    pub id: AbsenceId,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day; none until further notice.
    pub last_day: Option<NaiveDate>,
    /// When it was told.
    pub created_at: DateTime<Utc>,
    /// Whether it costs the member nothing in the next rota.
    pub excused: bool,
}

/// The absences of a member, in the order in which they were told.
pub async fn list_absences(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Absence>, DeskError> {
    desk.store()
        .read("list absences", errand, move |conn, errand| {
            async move {
                admit_to_limits(conn, errand, site, member).await?;
                let_in(conn, site, member).await?;
                let wanted = i64::from(limit) + 1;
                let rows = absences::of_member(conn, site, member, after, wanted).await?;
                Ok(Page::cut(rows.iter().map(absence).collect(), limit))
            }
            .boxed()
        })
        .await
}

/// One absence of a member.
pub async fn see_absence(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    id: AbsenceId,
) -> Result<Absence, DeskError> {
    desk.store()
        .read("see an absence", errand, move |conn, errand| {
            async move {
                admit_to_limits(conn, errand, site, member).await?;
                let row = absences::by_id(conn, site, member, id).await?;
                row.as_ref()
                    .map(absence)
                    .ok_or(DeskError::NotFound(Noun::Absence))
            }
            .boxed()
        })
        .await
}

fn absence(row: &AbsenceRow) -> Absence {
    Absence {
        id: AbsenceId(row.id),
        first_day: row.first_day,
        last_day: row.last_day,
        created_at: row.created_at,
        excused: row.excused.unwrap_or(true),
    }
}
