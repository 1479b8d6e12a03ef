//! Whoever looks after sites, and the figures that they are told once a week.

use super::schema::{member_roles, members};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Timestamptz, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::access::KEEPERS;
use wormrota_domain::ids::{AccountId, SiteId};

/// A membership of somebody who looks after a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Queryable)]
pub struct KeeperRow {
    /// The site.
    pub site_id: Uuid,
    /// Who.
    pub member_id: Uuid,
    /// The account they sign in with, if any.
    pub account_id: Option<Uuid>,
    /// Since when they belong.
    pub joined_at: DateTime<Utc>,
}

/// Whose memberships are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// Of everybody who looks after this site.
    Site(SiteId),
    /// Of these accounts, at every site that they look after.
    Accounts(Vec<AccountId>),
}

/// Memberships today of those who look after sites, each once.
pub async fn memberships(conn: &mut Conn, whose: Whose) -> Result<Vec<KeeperRow>, StoreError> {
    let codes: Vec<&str> = KEEPERS.iter().map(|role| role.code()).collect();
    let query = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .filter(member_roles::role.eq_any(codes))
        .select((
            members::site_id,
            members::id,
            members::account_id,
            members::joined_at,
        ))
        .distinct()
        .into_boxed();
    let query = match whose {
        Whose::Site(site) => query.filter(members::site_id.eq(site.0)),
        Whose::Accounts(accounts) => {
            let accounts: Vec<Uuid> = accounts.iter().map(|account| account.0).collect();
            query.filter(members::account_id.eq_any(accounts))
        }
    };
    Ok(query.load(conn).await?)
}

/// What is left undone at a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, QueryableByName)]
pub struct LeftUndone {
    /// Newcomers who wait to be let in.
    #[diesel(sql_type = BigInt)]
    pub waiting: i64,
    /// Members whose letters come back.
    #[diesel(sql_type = BigInt)]
    pub come_back: i64,
    /// Letters that were refused or could not be written.
    #[diesel(sql_type = BigInt)]
    pub failed: i64,
    /// Notices that nobody has ticked off.
    #[diesel(sql_type = BigInt)]
    pub notices: i64,
}

const LEFT_UNDONE: &str = "
SELECT
    (SELECT count(*) FROM members
     WHERE site_id = $1 AND left_at IS NULL AND waiting_since IS NOT NULL) AS waiting,
    (SELECT count(*) FROM members
     WHERE site_id = $1 AND left_at IS NULL AND bounced_at IS NOT NULL) AS come_back,
    (SELECT count(*) FROM letters
     WHERE site_id = $1 AND state IN ('refused', 'given_up') AND closed_at >= $2) AS failed,
    (SELECT count(*) FROM notices WHERE site_id = $1 AND seen_at IS NULL) AS notices";

/// What is left undone at a site, with letters that failed since an instant.
pub async fn left_undone(
    conn: &mut Conn,
    site: SiteId,
    failed_since: DateTime<Utc>,
) -> Result<LeftUndone, StoreError> {
    Ok(sql_query(LEFT_UNDONE)
        .bind::<SqlUuid, _>(site.0)
        .bind::<Timestamptz, _>(failed_since)
        .get_result(conn)
        .await?)
}

/// A feeding: only where, when and how much.
#[derive(Debug, Clone, Copy, PartialEq, Eq, QueryableByName)]
pub struct FedRow {
    /// The bin.
    #[diesel(sql_type = SqlUuid)]
    pub bin_id: Uuid,
    /// When it went in.
    #[diesel(sql_type = Timestamptz)]
    pub occurred_at: DateTime<Utc>,
    /// All foods together, in grams.
    #[diesel(sql_type = BigInt)]
    pub grams: i64,
}

const FED: &str = "
SELECT bin_id, occurred_at, (
    SELECT coalesce(sum((line ->> 'amount')::bigint), 0)::bigint
    FROM jsonb_array_elements(payload -> 'lines') AS line
) AS grams
FROM bin_events AS fed
WHERE site_id = $1 AND kind = 'fed' AND occurred_at >= $2 AND occurred_at < $3
    AND NOT EXISTS (
        SELECT 1 FROM bin_events AS correction
        WHERE correction.site_id = fed.site_id AND correction.supersedes = fed.id
    )";

/// What went into the bins of a site from an instant to before another, without what was taken
/// back or corrected.
pub async fn fed(
    conn: &mut Conn,
    site: SiteId,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
) -> Result<Vec<FedRow>, StoreError> {
    Ok(sql_query(FED)
        .bind::<SqlUuid, _>(site.0)
        .bind::<Timestamptz, _>(from)
        .bind::<Timestamptz, _>(to)
        .load(conn)
        .await?)
}
