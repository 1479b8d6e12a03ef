//! What people are called. A name stands in one table, so that it can be erased.

use crate::store::schema::member_names;
use crate::store::{Conn, StoreError};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};

/// What a person is called at a site. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = member_names, treat_none_as_null = true)]
pub struct MemberNameRow {
    /// The site.
    pub site_id: Uuid,
    /// The member.
    pub member_id: Uuid,
    /// The name.
    pub name: String,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// The address of somebody without an account.
    pub email_lower: Option<String>,
    /// A phone number.
    pub phone: Option<String>,
}

impl std::fmt::Debug for MemberNameRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "MemberNameRow({})", self.member_id)
    }
}

/// Writes what a person is called.
pub async fn update_name(conn: &mut Conn, row: &MemberNameRow) -> Result<(), StoreError> {
    diesel::update(member_names::table.find((row.site_id, row.member_id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets what a person is called, with flat, address and phone number.
pub async fn forget_name(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(), StoreError> {
    diesel::delete(member_names::table.find((site.0, member.0)))
        .execute(conn)
        .await?;
    Ok(())
}

/// What some members are called, those whose names were erased left out.
pub async fn names_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
) -> Result<Vec<(MemberId, String)>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    let rows: Vec<(Uuid, String)> = member_names::table
        .filter(member_names::site_id.eq(site.0))
        .filter(member_names::member_id.eq_any(of))
        .select((member_names::member_id, member_names::name))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(id, name)| (MemberId(id), name))
        .collect())
}
