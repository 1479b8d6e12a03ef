//! Everything that is kept about one person, table by table: for handing it over, and for
//! forgetting it.
//!
//! [`KEPT`] names every column that points at an account or a member; a test compares it with
//! the foreign keys of the database, so that a new table cannot be left out.

use super::schema::{accounts, idempotency_keys, member_names, members};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Jsonb, Text, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};

/// What a row is found by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// Columns that hold the account's key.
    Account(&'static [&'static str]),
    /// Columns that hold the key of one of its members.
    Member(&'static [&'static str]),
    /// Either: the columns that hold the account's key, and those of its members.
    Either(&'static [&'static str], &'static [&'static str]),
    /// The session that it belongs to.
    Session,
}

/// A table that holds something about people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept {
    /// Its name.
    pub table: &'static str,
    /// How the rows of a person are found.
    pub by: By,
    /// Columns that are not handed over: they are what lets people in.
    pub withheld: &'static [&'static str],
}

/// Every table that holds something about people.
pub const KEPT: &[Kept] = &[
    kept("accounts", By::Account(&["id"]), &["password_hash"]),
    kept("sessions", By::Account(&["account_id"]), &[]),
    kept("refresh_tokens", By::Session, &["token_hash"]),
    kept("account_links", By::Account(&["account_id"]), &[]),
    kept(
        "familiar_addresses",
        By::Account(&["account_id"]),
        &["address_mac"],
    ),
    kept(
        "idempotency_keys",
        By::Account(&["account_id"]),
        &["request_hash"],
    ),
    kept("members", By::Member(&["id"]), &[]),
    kept("member_names", By::Member(&["member_id"]), &[]),
    kept("member_roles", By::Member(&["member_id"]), &[]),
    kept("class_adults", By::Member(&["member_id"]), &[]),
    kept("invitations", By::Member(&["member_id", "invited_by"]), &[]),
    kept(
        "codes",
        By::Member(&["member_id", "made_by"]),
        &["code_mac"],
    ),
    kept("bookings", By::Member(&["member_id"]), &[]),
    kept("bin_events", By::Member(&["member_id"]), &[]),
    kept("decisions", By::Member(&["member_id"]), &[]),
    kept("readings", By::Member(&["member_id"]), &[]),
    kept("notices", By::Member(&["seen_by"]), &[]),
    kept("letters", By::Either(&["account_id"], &["member_id"]), &[]),
    kept("calls", By::Member(&["away_id", "helper_id"]), &[]),
    kept("call_answers", By::Member(&["member_id"]), &[]),
    kept("calendar_addresses", By::Member(&["member_id"]), &[]),
    kept("audit", By::Member(&["member_id", "subject_id"]), &[]),
    kept("sites", By::Member(&["deputy_id"]), &[]),
    kept("places", By::Member(&["member_id"]), &[]),
    kept("member_limits", By::Member(&["member_id"]), &[]),
    kept("member_bins", By::Member(&["member_id"]), &[]),
    kept("absences", By::Member(&["member_id", "reported_by"]), &[]),
    // What a rota was reckoned from is about everybody at once.
    kept(
        "rotas",
        By::Member(&["made_by", "put_up_by"]),
        &["asked", "found"],
    ),
    kept("rota_shares", By::Member(&["member_id"]), &[]),
];

/// Columns that point at members and are handed to nobody: that two do not share a turn is
/// about the other one too, and harms whoever asked for it when it is told.
pub const NOT_HANDED_OVER: &[(&str, &str)] =
    &[("apart_pairs", "one_id"), ("apart_pairs", "other_id")];

const fn kept(table: &'static str, by: By, withheld: &'static [&'static str]) -> Kept {
    Kept {
        table,
        by,
        withheld,
    }
}

#[derive(QueryableByName)]
struct Found {
    #[diesel(sql_type = Jsonb)]
    rows: serde_json::Value,
}

/// The rows of one table that are about an account or its members, as they are kept.
pub async fn rows_of(
    conn: &mut Conn,
    kept: &Kept,
    account: AccountId,
) -> Result<serde_json::Value, StoreError> {
    let table = kept.table;
    let of_account = |columns: &[&str]| format!("$1 IN (t.{})", columns.join(", t."));
    let of_member = |columns: &[&str]| {
        let site = if table == "sites" { "id" } else { "site_id" };
        format!(
            "EXISTS (SELECT FROM members AS m WHERE m.account_id = $1
                AND m.site_id = t.{site} AND m.id IN (t.{}))",
            columns.join(", t.")
        )
    };
    let is_about = match kept.by {
        By::Account(columns) => of_account(columns),
        By::Member(columns) => of_member(columns),
        By::Either(account, member) => {
            format!("({} OR {})", of_account(account), of_member(member))
        }
        By::Session => "t.session_id IN (SELECT id FROM sessions WHERE account_id = $1)".to_owned(),
    };
    let query = format!(
        "SELECT coalesce(jsonb_agg(to_jsonb(t) - string_to_array($2, ',')), '[]') AS rows
         FROM {table} AS t WHERE {is_about}"
    );
    let found: Found = sql_query(query)
        .bind::<SqlUuid, _>(account.0)
        .bind::<Text, _>(kept.withheld.join(","))
        .get_result(conn)
        .await?;
    Ok(found.rows)
}

/// Every membership of an account, those that ended among them, with whether it still holds.
pub async fn memberships(
    conn: &mut Conn,
    account: AccountId,
) -> Result<Vec<(SiteId, MemberId, bool)>, StoreError> {
    let rows: Vec<(uuid::Uuid, uuid::Uuid, Option<DateTime<Utc>>)> = members::table
        .filter(members::account_id.eq(account.0))
        .select((members::site_id, members::id, members::left_at))
        .order((members::site_id, members::id))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(site, member, left)| (SiteId(site), MemberId(member), left.is_none()))
        .collect())
}

/// Members without an account, at any site, who stand there with an address: invited, or
/// waiting to be let in.
pub async fn invited_elsewhere(
    conn: &mut Conn,
    email_lower: &str,
) -> Result<Vec<(SiteId, MemberId)>, StoreError> {
    let rows: Vec<(uuid::Uuid, uuid::Uuid)> = members::table
        .inner_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .filter(member_names::email_lower.eq(email_lower))
        .filter(members::account_id.is_null())
        .filter(members::left_at.is_null())
        .select((members::site_id, members::id))
        .order((members::site_id, members::id))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(site, member)| (SiteId(site), MemberId(member)))
        .collect())
}

/// Forgets an account: its members stay without name and without it, everything that let it
/// in goes.
pub async fn forget(conn: &mut Conn, account: AccountId) -> Result<(), StoreError> {
    for (site, member, _) in memberships(conn, account).await? {
        diesel::delete(member_names::table.find((site.0, member.0)))
            .execute(conn)
            .await?;
    }
    diesel::update(members::table.filter(members::account_id.eq(account.0)))
        .set((
            members::account_id.eq(None::<uuid::Uuid>),
            members::language.eq(None::<String>),
            members::household_id.eq(None::<uuid::Uuid>),
            members::bounced_at.eq(None::<DateTime<Utc>>),
            members::reminder_days.eq(None::<Vec<i16>>),
            members::letters_off.eq(None::<Vec<String>>),
        ))
        .execute(conn)
        .await?;
    diesel::delete(idempotency_keys::table.filter(idempotency_keys::account_id.eq(account.0)))
        .execute(conn)
        .await?;
    // Sessions, their tokens and links go with it.
    diesel::delete(accounts::table.find(account.0))
        .execute(conn)
        .await?;
    Ok(())
}
