//! Erasing one's account: everything that says who somebody is goes, at every site; what they
//! did stays without their name, so that bins, reports and shares still add up.

use super::credentials::Bearer;
use super::leave::{codes_of, end_membership};
use super::membership::lock_people;
use super::people_rules::insist_on_successor;
use super::trail::{self, Subject};
use super::{Desk, DeskError, throttle};
use crate::store::{Conn, StoreError, accounts, members, personal};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};

/// Erases the account of whoever asks, with the password where there is one.
///
/// # Errors
/// [`DeskError::Conflicting`] when the password is another, or is missing;
/// [`DeskError::LastKeeper`] where a site would be left without somebody to look after the
/// people who stay.
pub async fn erase_account(
    desk: &Desk,
    who: Bearer,
    password: Option<String>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let hash = desk
        .store()
        .read("look at a password", who.account, |conn, id| {
            async move { Ok::<_, DeskError>(accounts::by_id(conn, *id).await?) }.boxed()
        })
        .await?
        .ok_or(DeskError::SessionEnded)?
        .password_hash;
    let counted = match (hash, password) {
        (None, _) => None,
        (Some(_), None) => {
            let detail = "must be given, since there is a password";
            return Err(DeskError::conflict("/password", detail));
        }
        (Some(hash), Some(typed)) => {
            let counted = throttle::current_password(desk, who.account).await?;
            if !desk
                .credentials()
                .passwords
                .matches(typed, Some(hash))
                .await?
            {
                tracing::info!(account = %who.account, "account not erased");
                let detail = "must be the password that you have";
                return Err(DeskError::conflict("/password", detail));
            }
            Some(counted)
        }
    };
    desk.store()
        .transact("erase an account", counted, move |conn, counted| {
            async move {
                // In the order of their keys, as everybody does who locks several.
                for (site, member, holds) in personal::memberships(conn, who.account).await? {
                    if holds {
                        end(conn, site, member, now).await?;
                    }
                }
                if let Some(counted) = counted {
                    counted.give_back(conn).await?;
                }
                forget(conn, who.account, now).await
            }
            .boxed()
        })
        .await?;
    // Whoever restores a backup finds here what has to be erased again.
    tracing::info!(account = %who.account, "account erased");
    Ok(())
}

async fn end(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    lock_people(conn, site).await?;
    let roles = members::person(conn, site, member)
        .await?
        .map(|person| person.roles)
        .unwrap_or_default();
    // Where nobody else can sign in, nobody can take over: the right to go weighs more.
    let can_sign_in = members::who_can_sign_in(conn, site).await?;
    if can_sign_in.iter().any(|(other, _)| *other != member) {
        insist_on_successor(conn, site, member, &[], None).await?;
    }
    end_membership(conn, site, member, now, true).await?;
    let detail = json!({ "roles": codes_of(&roles) });
    let subject = Subject::Member(member.0);
    trail::leave_for(
        conn,
        site,
        Some(member),
        now,
        "member_erased",
        subject,
        detail,
    )
    .await
}

async fn forget(conn: &mut Conn, account: AccountId, now: DateTime<Utc>) -> Result<(), DeskError> {
    let held = accounts::hold_to_change(conn, account).await?;
    let email = held.ok_or(DeskError::SessionEnded)?.email_lower;
    // An invitation may have been accepted since the memberships were looked at.
    let memberships = personal::memberships(conn, account).await?;
    if memberships.iter().any(|(_, _, holds)| *holds) {
        return Err(DeskError::Store(StoreError::Contended));
    }
    if let Some(email) = email {
        for (site, member) in personal::invited_elsewhere(conn, &email).await? {
            end_membership(conn, site, member, now, true).await?;
        }
    }
    Ok(personal::forget(conn, account).await?)
}
