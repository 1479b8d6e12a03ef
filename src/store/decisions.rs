//! Decisions: what people were told, and what it was reckoned from. Never changed.

use super::schema::decisions;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{DecisionId, SiteId};

/// One answer to an offer.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable)]
#[diesel(table_name = decisions)]
pub struct DecisionRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// Who offered.
    pub member_id: Uuid,
    /// The event that followed, if one did.
    pub event_id: Option<Uuid>,
    /// The booking that followed, if one did.
    pub booking_id: Option<Uuid>,
    /// `put_in`, `tell` or `book`.
    pub deed: String,
    /// The domain's word for the outcome.
    pub outcome: String,
    /// When.
    pub decided_at: DateTime<Utc>,
    /// What was offered, in grams.
    pub offered_g: i64,
    /// What was allowed, in grams.
    pub allowed_g: i64,
    /// The decision as the domain wrote it.
    pub decision: serde_json::Value,
    /// What it was reckoned from.
    pub inputs: serde_json::Value,
}

/// Keeps a decision.
pub async fn insert(conn: &mut Conn, row: &DecisionRow) -> Result<(), StoreError> {
    diesel::insert_into(decisions::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// One decision of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: DecisionId,
) -> Result<Option<DecisionRow>, StoreError> {
    Ok(decisions::table
        .find((site.0, id.0))
        .select(DecisionRow::as_select())
        .first(conn)
        .await
        .optional()?)
}
