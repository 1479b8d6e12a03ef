//! Probes, and every value that they and people measured.

use super::schema::{probes, readings};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, ProbeId, SiteId};

/// Something that measures a bin by itself.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = probes)]
pub struct ProbeRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// What people call it.
    pub name: String,
    /// SHA-256 of its key.
    pub key_hash: Vec<u8>,
    /// When it was added.
    pub created_at: DateTime<Utc>,
    /// When its key stopped working.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// One value as it came.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable)]
#[diesel(table_name = readings)]
pub struct ReadingRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// The probe that measured it, or
    pub probe_id: Option<Uuid>,
    /// who did.
    pub member_id: Option<Uuid>,
    /// When it was measured.
    pub measured_at: DateTime<Utc>,
    /// When the service heard of it.
    pub recorded_at: DateTime<Utc>,
    /// The domain's word for what was measured.
    pub quantity: String,
    /// How much.
    pub value: f64,
    /// Why it counts for nothing, if it does.
    pub set_aside: Option<String>,
}

/// Adds a probe.
pub async fn insert_probe(conn: &mut Conn, row: &ProbeRow) -> Result<(), StoreError> {
    diesel::insert_into(probes::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// The probe with this key, unless the key was revoked.
pub async fn probe_by_key(
    conn: &mut Conn,
    key_hash: &[u8],
) -> Result<Option<ProbeRow>, StoreError> {
    Ok(probes::table
        .filter(probes::key_hash.eq(key_hash))
        .filter(probes::revoked_at.is_null())
        .select(ProbeRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The probes of a bin, in the order of their making.
pub async fn probes_of_bin(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
) -> Result<Vec<ProbeRow>, StoreError> {
    Ok(probes::table
        .filter(probes::site_id.eq(site.0))
        .filter(probes::bin_id.eq(bin.0))
        .select(ProbeRow::as_select())
        .order(probes::id)
        .load(conn)
        .await?)
}

/// Stops a probe's key; false when there is no such probe or it is stopped already.
pub async fn revoke_probe(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    probe: ProbeId,
    at: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let changed = diesel::update(
        probes::table
            .find((site.0, probe.0))
            .filter(probes::bin_id.eq(bin.0))
            .filter(probes::revoked_at.is_null()),
    )
    .set(probes::revoked_at.eq(at))
    .execute(conn)
    .await?;
    Ok(changed == 1)
}

/// Keeps values, leaving out those that are there already; gives back the keys of the new
/// ones.
pub async fn insert_new(conn: &mut Conn, rows: &[ReadingRow]) -> Result<Vec<Uuid>, StoreError> {
    Ok(diesel::insert_into(readings::table)
        .values(rows)
        .on_conflict_do_nothing()
        .returning(readings::id)
        .get_results(conn)
        .await?)
}

/// A page of a bin's values, newest first, before a moment.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    before: Option<(DateTime<Utc>, Uuid)>,
    limit: i64,
) -> Result<Vec<ReadingRow>, StoreError> {
    let mut query = readings::table
        .filter(readings::site_id.eq(site.0))
        .filter(readings::bin_id.eq(bin.0))
        .select(ReadingRow::as_select())
        .order((readings::measured_at.desc(), readings::id.desc()))
        .limit(limit)
        .into_boxed();
    if let Some((at, id)) = before {
        query = query.filter(
            readings::measured_at
                .lt(at)
                .or(readings::measured_at.eq(at).and(readings::id.lt(id))),
        );
    }
    Ok(query.load(conn).await?)
}
