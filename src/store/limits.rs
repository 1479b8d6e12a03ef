//! What members cannot, like and would rather not, which bins they are trained for, and who
//! does not share a turn with whom.

use super::schema::{apart_pairs, member_bins, member_limits};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ApartPairId, BinId, MemberId, SiteId};

/// The limits of a member as they are stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = member_limits, treat_none_as_null = true)]
pub struct LimitsRow {
    /// The site.
    pub site_id: Uuid,
    /// The member.
    pub member_id: Uuid,
    /// Weekdays that do not work, 1 is Monday.
    pub cannot_weekdays: Vec<i16>,
    /// Weekdays that they like.
    pub likes_weekdays: Vec<i16>,
    /// Weekdays that they would rather not.
    pub rather_not_weekdays: Vec<i16>,
    /// Free days between two turns.
    pub rest_days: i16,
    /// The most turns in any 28 days in a row.
    pub most_in_28_days: Option<i16>,
    /// `full`, `half`, `household` or `none`; that of role and household without.
    pub share: Option<String>,
    /// Whether only the bins that they are trained for.
    pub only_trained_bins: bool,
    /// May stand beside somebody who is not to be alone.
    pub experienced: bool,
    /// Needs somebody experienced on the same turn.
    pub not_alone: bool,
    /// Grows with every change.
    pub revision: i64,
}

/// A bin that a member is trained for.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = member_bins)]
pub struct MemberBinRow {
    /// The site.
    pub site_id: Uuid,
    /// The member.
    pub member_id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
}

/// Two members who do not share a turn.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = apart_pairs)]
pub struct ApartRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The one with the smaller key.
    pub one_id: Uuid,
    /// The other.
    pub other_id: Uuid,
    /// Since when.
    pub created_at: DateTime<Utc>,
}

/// The limits of some members, of those who have any.
pub async fn of_members(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
) -> Result<Vec<LimitsRow>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    Ok(member_limits::table
        .filter(member_limits::site_id.eq(site.0))
        .filter(member_limits::member_id.eq_any(of))
        .select(LimitsRow::as_select())
        .order(member_limits::member_id)
        .load(conn)
        .await?)
}

/// The bins that some members are trained for.
pub async fn bins_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
) -> Result<Vec<(MemberId, BinId)>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    let rows: Vec<(Uuid, Uuid)> = member_bins::table
        .filter(member_bins::site_id.eq(site.0))
        .filter(member_bins::member_id.eq_any(of))
        .select((member_bins::member_id, member_bins::bin_id))
        .order((member_bins::member_id, member_bins::bin_id))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(member, bin)| (MemberId(member), BinId(bin)))
        .collect())
}

/// Writes the limits of a member, whether they had any or not.
pub async fn put(conn: &mut Conn, row: &LimitsRow) -> Result<(), StoreError> {
    diesel::insert_into(member_limits::table)
        .values(row)
        .on_conflict((member_limits::site_id, member_limits::member_id))
        .do_update()
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Puts the bins that a member is trained for in the place of those before.
pub async fn replace_bins(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    trained: &[BinId],
) -> Result<(), StoreError> {
    diesel::delete(
        member_bins::table
            .filter(member_bins::site_id.eq(site.0))
            .filter(member_bins::member_id.eq(member.0)),
    )
    .execute(conn)
    .await?;
    let rows: Vec<MemberBinRow> = trained
        .iter()
        .map(|bin| MemberBinRow {
            site_id: site.0,
            member_id: member.0,
            bin_id: bin.0,
        })
        .collect();
    diesel::insert_into(member_bins::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets the limits of a member, with the bins that they are trained for and the pairs that
/// they are one of.
pub async fn forget(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<(), StoreError> {
    replace_bins(conn, site, member, &[]).await?;
    diesel::delete(member_limits::table.find((site.0, member.0)))
        .execute(conn)
        .await?;
    diesel::delete(
        apart_pairs::table
            .filter(apart_pairs::site_id.eq(site.0))
            .filter(
                apart_pairs::one_id
                    .eq(member.0)
                    .or(apart_pairs::other_id.eq(member.0)),
            ),
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Adds a pair; a [`StoreError::Duplicate`] when the two are kept apart already.
pub async fn insert_pair(conn: &mut Conn, row: &ApartRow) -> Result<(), StoreError> {
    diesel::insert_into(apart_pairs::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Takes a pair away; says whether there was one.
pub async fn remove_pair(
    conn: &mut Conn,
    site: SiteId,
    pair: ApartPairId,
) -> Result<bool, StoreError> {
    let gone = diesel::delete(apart_pairs::table.find((site.0, pair.0)))
        .execute(conn)
        .await?;
    Ok(gone == 1)
}

/// Every pair of a site that is kept apart.
pub async fn apart(conn: &mut Conn, site: SiteId) -> Result<Vec<ApartRow>, StoreError> {
    Ok(apart_pairs::table
        .filter(apart_pairs::site_id.eq(site.0))
        .select(ApartRow::as_select())
        .order(apart_pairs::id)
        .load(conn)
        .await?)
}

/// The same in pages, in the order of their keys, after one.
pub async fn page_of_apart(
    conn: &mut Conn,
    site: SiteId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<ApartRow>, StoreError> {
    let mut query = apart_pairs::table
        .filter(apart_pairs::site_id.eq(site.0))
        .select(ApartRow::as_select())
        .order(apart_pairs::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(apart_pairs::id.gt(after));
    }
    Ok(query.load(conn).await?)
}

/// How many pairs a site has.
pub async fn count_apart(conn: &mut Conn, site: SiteId) -> Result<i64, StoreError> {
    Ok(apart_pairs::table
        .filter(apart_pairs::site_id.eq(site.0))
        .count()
        .get_result(conn)
        .await?)
}

/// Those with whom a member does not share a turn.
pub async fn apart_from(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Vec<MemberId>, StoreError> {
    let pairs: Vec<(Uuid, Uuid)> = apart_pairs::table
        .filter(apart_pairs::site_id.eq(site.0))
        .filter(
            apart_pairs::one_id
                .eq(member.0)
                .or(apart_pairs::other_id.eq(member.0)),
        )
        .select((apart_pairs::one_id, apart_pairs::other_id))
        .load(conn)
        .await?;
    Ok(pairs
        .into_iter()
        .map(|(one, other)| MemberId(if one == member.0 { other } else { one }))
        .collect())
}
