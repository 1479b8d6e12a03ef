//! What members cannot, like and would rather not, which bins they are trained for, and who
//! does not share a turn with whom.

use super::schema::{apart_pairs, member_bins, member_limits};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, MemberId, SiteId};

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

/// Every pair of a site that is kept apart.
pub async fn apart(conn: &mut Conn, site: SiteId) -> Result<Vec<ApartRow>, StoreError> {
    Ok(apart_pairs::table
        .filter(apart_pairs::site_id.eq(site.0))
        .select(ApartRow::as_select())
        .order(apart_pairs::id)
        .load(conn)
        .await?)
}
