//! The deputy of a site: who gets what nobody has answered for too long.

use super::membership::{Membership, admit};
use super::{Desk, DeskError, Errand, Noun};
use crate::store::{Conn, sites};
use chrono::{DateTime, TimeDelta, Utc};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::SiteId;

/// How much of a list somebody gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reach {
    /// All of it.
    All,
    /// What nobody has answered since before this instant.
    LeftSince(DateTime<Utc>),
}

impl Reach {
    /// The instant, where only what was left counts.
    pub(super) const fn left_since(self) -> Option<DateTime<Utc>> {
        match self {
            Self::All => None,
            Self::LeftSince(instant) => Some(instant),
        }
    }
}

/// When something must have come that the deputy gets now.
pub(super) fn left_since(desk: &Desk, now: DateTime<Utc>) -> DateTime<Utc> {
    now - TimeDelta::hours(desk.people().deputy_after_hours.into())
}

/// Lets in whoever may do the deed, and the site's deputy to what was left since then.
pub(super) async fn admit_or_deputy(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    deed: Deed,
    left_since: DateTime<Utc>,
) -> Result<(Membership, Reach), DeskError> {
    let who = admit(conn, errand, site, Deed::SeeSite).await?;
    if who.may(deed) {
        return Ok((who, Reach::All));
    }
    let row = sites::by_id(conn, site)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))?;
    if row.deputy_id == Some(who.member.0) {
        Ok((who, Reach::LeftSince(left_since)))
    } else {
        Err(DeskError::Forbidden(deed))
    }
}
