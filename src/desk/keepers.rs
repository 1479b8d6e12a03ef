//! Who is told what needs looking after: caretakers and teachers at once, the deputy when they
//! left it for long. Educators look after many sites, and get the week in one letter instead.

use super::DeskError;
use crate::store::members::{self, Which};
use crate::store::{Conn, StoreError, sites};
use wormrota_domain::access::{HOUSE, Role};
use wormrota_domain::ids::{MemberId, SiteId};

/// More names help nobody who looks for one person to ask.
const MOST_NAMES: usize = 3;

/// Who hears of what somebody said by a link, who was told that it is heard: caretakers and
/// teachers, and where a site has neither, its educators.
pub(super) async fn hearing(conn: &mut Conn, site: SiteId) -> Result<Vec<MemberId>, StoreError> {
    let told = told(conn, site, None).await?;
    if told.is_empty() {
        return members::in_roles(conn, site, &[Role::Educator]).await;
    }
    Ok(told)
}

/// Who is told at once, but whoever told it themselves.
pub(super) async fn told(
    conn: &mut Conn,
    site: SiteId,
    but: Option<MemberId>,
) -> Result<Vec<MemberId>, StoreError> {
    let mut told = members::in_roles(conn, site, HOUSE).await?;
    told.retain(|member| Some(*member) != but);
    Ok(told)
}

/// Whether somebody may still read what they were to be told: roles change before letters go.
pub(super) async fn is_told(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<bool, DeskError> {
    if told(conn, site, None).await?.contains(&member) {
        return Ok(true);
    }
    let row = sites::by_id(conn, site).await?;
    Ok(row.is_some_and(|row| row.deputy_id == Some(member.0)))
}

/// Whether somebody is told only as the deputy: others had it to see to, and left it.
pub(super) async fn is_told_as_deputy(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<bool, DeskError> {
    let keepers = members::in_roles(conn, site, HOUSE).await?;
    Ok(!keepers.contains(&member) && is_told(conn, site, member).await?)
}

/// What others with one of these roles are called, for asking one of them.
pub(super) async fn names(
    conn: &mut Conn,
    site: SiteId,
    roles: &[Role],
    but: MemberId,
) -> Result<Vec<String>, DeskError> {
    let which = Which::InRoles(roles.to_vec(), but);
    let most = i64::try_from(MOST_NAMES).unwrap_or(i64::MAX) + 1;
    let people = members::people(conn, site, which, None, most).await?;
    let others = people.into_iter().filter(|one| one.member.id != but.0);
    let names = others.filter_map(|one| Some(one.name?.name));
    Ok(names.take(MOST_NAMES).collect())
}
