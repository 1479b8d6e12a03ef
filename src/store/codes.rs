//! Printed codes: how to join, slips that sign somebody in once, lids of bins. Only
//! signatures of them are kept.

use super::schema::codes;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, CodeId, MemberId, SiteId};

/// A code as it is stored. Its `Debug` output holds no signature.
#[derive(Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = codes)]
pub struct CodeRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// `joining`, `slip` or `lid`.
    pub kind: String,
    /// The signature of the code.
    pub code_mac: Vec<u8>,
    /// Whom a slip signs in.
    pub member_id: Option<Uuid>,
    /// Which lid it is on.
    pub bin_id: Option<Uuid>,
    /// Who printed it.
    pub made_by: Uuid,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Until when it works.
    pub expires_at: Option<DateTime<Utc>>,
    /// How often it works.
    pub most_uses: Option<i32>,
    /// How often it was used.
    pub uses: i32,
    /// When it was taken back.
    pub revoked_at: Option<DateTime<Utc>>,
}

impl std::fmt::Debug for CodeRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "CodeRow({}, {})", self.kind, self.id)
    }
}

impl CodeRow {
    /// Whether it works at an instant.
    #[must_use]
    pub fn works_at(&self, now: DateTime<Utc>) -> bool {
        self.revoked_at.is_none()
            && self.expires_at.is_none_or(|end| end > now)
            && self.most_uses.is_none_or(|most| self.uses < most)
    }
}

/// Adds a code.
pub async fn insert(conn: &mut Conn, row: &CodeRow) -> Result<(), StoreError> {
    diesel::insert_into(codes::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// The code of a kind that has one of these signatures, whatever became of it.
pub async fn by_mac(
    conn: &mut Conn,
    kind: &str,
    macs: &[[u8; 32]],
) -> Result<Option<CodeRow>, StoreError> {
    let macs: Vec<Vec<u8>> = macs.iter().map(|mac| mac.to_vec()).collect();
    Ok(codes::table
        .filter(codes::code_mac.eq_any(macs))
        .filter(codes::kind.eq(kind))
        .select(CodeRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// A code of a kind at a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    kind: &str,
    id: CodeId,
) -> Result<Option<CodeRow>, StoreError> {
    Ok(codes::table
        .find((site.0, id.0))
        .filter(codes::kind.eq(kind))
        .select(CodeRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// A code of a kind at a site, locked against others who want to change it.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    kind: &str,
    id: CodeId,
) -> Result<Option<CodeRow>, StoreError> {
    Ok(codes::table
        .find((site.0, id.0))
        .filter(codes::kind.eq(kind))
        .select(CodeRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// Uses a code once, if it still works at `now`; false when it does not. Of many who come
/// at once only as many get through as there are uses left.
pub async fn count_use(
    conn: &mut Conn,
    site: SiteId,
    id: CodeId,
    now: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let working = codes::table
        .find((site.0, id.0))
        .filter(codes::revoked_at.is_null())
        .filter(codes::expires_at.is_null().or(codes::expires_at.gt(now)))
        .filter(
            codes::most_uses
                .is_null()
                .or(codes::uses.nullable().lt(codes::most_uses)),
        );
    let changed = diesel::update(working)
        .set(codes::uses.eq(codes::uses + 1))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Joining codes of a site, newest first, before one.
pub async fn joining_page(
    conn: &mut Conn,
    site: SiteId,
    before: Option<Uuid>,
    limit: i64,
) -> Result<Vec<CodeRow>, StoreError> {
    let mut query = codes::table
        .filter(codes::site_id.eq(site.0))
        .filter(codes::kind.eq("joining"))
        .select(CodeRow::as_select())
        .order(codes::id.desc())
        .limit(limit)
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(codes::id.lt(before));
    }
    Ok(query.load(conn).await?)
}

/// Takes one code back, unless that was done before.
pub async fn revoke(
    conn: &mut Conn,
    site: SiteId,
    id: CodeId,
    at: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let standing = codes::table
        .find((site.0, id.0))
        .filter(codes::revoked_at.is_null());
    let changed = diesel::update(standing)
        .set(codes::revoked_at.eq(at))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Takes back the slips of a member that were not used.
pub async fn revoke_slips(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(
        codes::table
            .filter(codes::site_id.eq(site.0))
            .filter(codes::kind.eq("slip"))
            .filter(codes::member_id.eq(member.0))
            .filter(codes::revoked_at.is_null())
            .filter(codes::uses.eq(0)),
    )
    .set(codes::revoked_at.eq(at))
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes back the slips that a member printed and nobody used, and their joining sheets.
pub async fn revoke_made_by(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    let unused_slip = codes::kind.eq("slip").and(codes::uses.eq(0));
    diesel::update(
        codes::table
            .filter(codes::site_id.eq(site.0))
            .filter(codes::made_by.eq(member.0))
            .filter(codes::revoked_at.is_null())
            .filter(codes::kind.eq("joining").or(unused_slip)),
    )
    .set(codes::revoked_at.eq(at))
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes back the code of a bin's lid.
pub async fn revoke_lid(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(
        codes::table
            .filter(codes::site_id.eq(site.0))
            .filter(codes::kind.eq("lid"))
            .filter(codes::bin_id.eq(bin.0))
            .filter(codes::revoked_at.is_null()),
    )
    .set(codes::revoked_at.eq(at))
    .execute(conn)
    .await?;
    Ok(())
}
