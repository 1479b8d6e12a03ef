//! Reading who changed what.

use super::membership::admit;
use super::{Desk, DeskError, Errand, Page};
use crate::store::audit::{self, AuditRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{AuditId, MemberId, SiteId};

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The key within the site.
    pub id: AuditId,
    /// When.
    pub at: DateTime<Utc>,
    /// Who; none when the service did it by itself.
    pub by: Option<MemberId>,
    /// What was done, a code.
    pub deed: String,
    /// What it was done to, a code.
    pub subject_kind: String,
    /// The key of that.
    pub subject: Uuid,
    /// Codes, keys and numbers.
    pub detail: serde_json::Value,
}

/// The changes of a site, newest first.
pub async fn list_changes(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<(DateTime<Utc>, Uuid)>,
    limit: u16,
) -> Result<Page<Change>, DeskError> {
    desk.store()
        .read("list changes", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::ReadAudit).await?;
                let rows = audit::page(conn, site, after, i64::from(limit) + 1).await?;
                Ok(Page::cut(rows.into_iter().map(change).collect(), limit))
            }
            .boxed()
        })
        .await
}

fn change(row: AuditRow) -> Change {
    Change {
        id: AuditId(row.id),
        at: row.at,
        by: row.member_id.map(MemberId),
        deed: row.deed,
        subject_kind: row.subject_kind,
        subject: row.subject_id,
        detail: row.detail,
    }
}
