//! Members of a site: who they are to it, and (in tables of their own) what they are called and
//! which roles they have.

mod bounces;
mod names;
mod of_accounts;
mod people;
mod roles;
mod wishes;

pub use bounces::{Bounced, note_bounces};
pub use names::{MemberNameRow, forget_name, names_of, update_name};
pub use of_accounts::{
    MembershipOfAccount, anyhow_of_account, belongs_elsewhere, of_account, of_account_everywhere,
    with_address,
};
pub use people::{Person, Which, insert, people, person, remove_newcomer};
pub use roles::{in_roles, replace_roles, roles_today, who_can_sign_in};
pub use wishes::{WishChange, Wishes, change_wishes, turn_letters};

use super::schema::members;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};

/// A person at a site.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = members, treat_none_as_null = true)]
pub struct MemberRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The account they sign in with, if any.
    pub account_id: Option<Uuid>,
    /// Since when.
    pub joined_at: DateTime<Utc>,
    /// Until when.
    pub left_at: Option<DateTime<Utc>>,
    /// With whom they share a fair share of turns.
    pub household_id: Option<Uuid>,
    /// The language that they are written to in, if not the site's.
    pub language: Option<String>,
    /// Since when they wait to be let in; they have no role until then.
    pub waiting_since: Option<DateTime<Utc>>,
    /// Since when fellow members may see their phone number for covering a turn.
    pub shares_phone_since: Option<DateTime<Utc>>,
    /// The same for their address.
    pub shares_email_since: Option<DateTime<Utc>>,
    /// Grows with every change.
    pub revision: i64,
}

/// Writes every column of a membership but its key; a [`StoreError::Duplicate`] when the
/// account belongs to the site already.
pub async fn update(conn: &mut Conn, row: &MemberRow) -> Result<(), StoreError> {
    diesel::update(members::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Counts a change of somebody whose row stays as it is.
pub async fn touch(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<(), StoreError> {
    diesel::update(members::table.find((site.0, member.0)))
        .set(members::revision.eq(members::revision + 1))
        .execute(conn)
        .await?;
    Ok(())
}

/// Locks members until the transaction ends, always in the same order, and says which of them
/// have not left. Whoever gives somebody a place holds their lock, and takes it before that of
/// any turn.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
) -> Result<Vec<MemberId>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    let found: Vec<Uuid> = members::table
        .filter(members::site_id.eq(site.0))
        .filter(members::id.eq_any(of))
        .filter(members::left_at.is_null())
        .select(members::id)
        .order(members::id)
        .for_no_key_update()
        .load(conn)
        .await?;
    Ok(found.into_iter().map(MemberId).collect())
}
