//! The week, on the morning of its Monday.

use super::DueAt;
use crate::desk::DeskError;
use crate::desk::letters::of_week;
use crate::store::Conn;
use crate::store::keepers::{KeeperRow, Whose, memberships};
use crate::store::letters::LetterRow;
use wormrota_domain::ids::{AccountId, MemberId};
use wormrota_domain::letters::Week;

/// The letters of this week to those who look after the site, and who look after no other one
/// for longer: one letter tells of all.
pub(super) async fn due(conn: &mut Conn, at: &DueAt) -> Result<Vec<LetterRow>, DeskError> {
    let Some(week) = Week::due(at.by.now, at.site.zone, at.site.quiet) else {
        return Ok(Vec::new());
    };
    let here = memberships(conn, Whose::Site(at.site.id)).await?;
    let accounts = here.iter().filter_map(|row| row.account_id);
    let accounts: Vec<AccountId> = accounts.map(AccountId).collect();
    let everywhere = memberships(conn, Whose::Accounts(accounts)).await?;
    let told_here = here.iter().filter(|row| {
        // Whoever came since has not missed anything.
        row.joined_at <= week.due_at && is_first(row, &everywhere)
    });
    Ok(told_here
        .map(|row| {
            let (member, account) = (MemberId(row.member_id), row.account_id.map(AccountId));
            let too_late_at = at.by.on_the_wall(week.too_late_at);
            of_week(
                at.site.id,
                member,
                account,
                week.monday,
                too_late_at,
                at.by.wall,
            )
        })
        .collect())
}

/// Whether this is the account's oldest such membership. Without an account it is the only one.
fn is_first(row: &KeeperRow, everywhere: &[KeeperRow]) -> bool {
    let age = |row: &KeeperRow| (row.joined_at, row.site_id);
    row.account_id.is_none()
        || everywhere
            .iter()
            .filter(|other| other.account_id == row.account_id)
            .all(|other| age(row) <= age(other))
}
