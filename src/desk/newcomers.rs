//! The waiting list: newcomers who came with a joining sheet, let in or refused.

use super::deputy::{Reach, admit_or_deputy, left_since};
use super::fields::Check;
use super::households::home_of;
use super::invitations::owe_invitation;
use super::leave::codes_of;
use super::letters::of_let_in;
use super::membership::Membership;
use super::membership::lock_people;
use super::people::language_of;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::members::{self, Which};
use crate::store::{Conn, StoreError, letters};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role, may_grant};
use wormrota_domain::ids::{InvitationId, MemberId, SiteId};
use wormrota_domain::site::Language;

/// Somebody who waits to be let in. Its `Debug` output hides who.
#[derive(Clone, PartialEq, Eq)]
pub struct Newcomer {
    /// The key within the site.
    pub id: MemberId,
    /// What people call them.
    pub name: Option<String>,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// The address, if they have one.
    pub email: Option<String>,
    /// The language that they want to be written to in, if not the site's.
    pub language: Option<Language>,
    /// Whether they can sign in.
    pub has_account: bool,
    /// Since when they wait.
    pub waiting_since: DateTime<Utc>,
}

impl fmt::Debug for Newcomer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Newcomer({}, {})", self.id, self.waiting_since)
    }
}

/// How somebody is let in.
#[derive(Clone)]
pub struct Confirmation {
    /// What they will be; at least one.
    pub roles: Vec<Role>,
    /// Another flat than they gave.
    pub flat: Option<String>,
}

impl fmt::Debug for Confirmation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Confirmation({:?})", self.roles)
    }
}

/// Somebody who was let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct LetIn {
    /// Their key as a member.
    pub member: MemberId,
    /// Whether they can sign in at once.
    pub has_account: bool,
    /// The invitation to their address, if they have one and no account.
    pub invitation: Option<InvitationId>,
}

/// Who waits to be let in, those who came first first. The deputy sees who has waited long.
pub async fn list_newcomers(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Newcomer>, DeskError> {
    let left = left_since(desk, errand.now);
    desk.store()
        .read("list newcomers", errand, move |conn, errand| {
            async move {
                let (_, reach) =
                    admit_or_deputy(conn, errand, site, Deed::LetPeopleIn, left).await?;
                let which = Which::Waiting(reach.left_since());
                let wanted = i64::from(limit) + 1;
                let rows = members::people(conn, site, which, after, wanted).await?;
                let newcomers: Vec<Option<Newcomer>> = rows
                    .into_iter()
                    .map(newcomer)
                    .collect::<Result<_, StoreError>>()?;
                Ok(Page::cut(newcomers.into_iter().flatten().collect(), limit))
            }
            .boxed()
        })
        .await
}

/// Lets somebody in. Whoever has an account is in at once, and is told so; to an address an
/// invitation is owed that says the same; for anybody else a slip can be printed. A deputy lets
/// residents in.
///
/// # Errors
/// [`DeskError::Forbidden`] for roles that are not the caller's to hand out.
pub async fn let_newcomer_in(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: MemberId,
    confirmation: Confirmation,
) -> Result<LetIn, DeskError> {
    let mut check = Check::default();
    let confirmation = Confirmation {
        roles: check.roles(confirmation.roles),
        flat: confirmation.flat.map(|flat| check.flat(&flat)),
    };
    check.done()?;
    let left = left_since(desk, errand.now);
    let people = desk.people();
    desk.write(
        "let a newcomer in",
        errand,
        confirmation,
        move |conn, errand, confirmation| {
            async move {
                let (who, person) = waiting(conn, errand, site, id, left).await?;
                let deputy = !who.may(Deed::LetPeopleIn);
                let fine = |role: &Role| {
                    may_grant(&who.roles, *role) || (deputy && *role == Role::Resident)
                };
                if !confirmation.roles.iter().all(fine) {
                    return Err(DeskError::Forbidden(Deed::ChangeRoles));
                }
                let now = errand.now;
                let mut row = person.member;
                let mut address = None;
                if let Some(mut name) = person.name {
                    if confirmation.flat.is_some() {
                        name.flat.clone_from(&confirmation.flat);
                        members::update_name(conn, &name).await?;
                    }
                    let roles = &confirmation.roles;
                    let home = home_of(conn, site, roles, name.flat.as_deref(), now).await?;
                    row.household_id = home.map(|home| home.0);
                    address = name.email_lower;
                }
                row.waiting_since = None;
                row.joined_at = now;
                row.revision += 1;
                members::update(conn, &row).await?;
                members::replace_roles(conn, site, id, &confirmation.roles).await?;
                let detail = json!({ "roles": codes_of(&confirmation.roles) });
                let subject = Subject::Member(id.0);
                trail::leave(conn, &who, now, "newcomer_let_in", subject, detail).await?;
                let has_account = row.account_id.is_some();
                let mut invitation = None;
                if has_account {
                    let letter = of_let_in(site, id, clock::wall());
                    letters::owe(conn, &[letter]).await?;
                } else if address.is_some() {
                    let made = owe_invitation(conn, &who, (id, true), people, now).await?;
                    invitation = Some(made);
                }
                Ok(LetIn {
                    member: id,
                    has_account,
                    invitation,
                })
            }
            .boxed()
        },
    )
    .await
}

/// Refuses somebody: nothing is left of them but a line of the trail without a name.
pub async fn refuse_newcomer(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: MemberId,
) -> Result<(), DeskError> {
    let left = left_since(desk, errand.now);
    desk.write("refuse a newcomer", errand, (), move |conn, errand, ()| {
        async move {
            let (who, _) = waiting(conn, errand, site, id, left).await?;
            members::remove_newcomer(conn, site, id).await?;
            let subject = Subject::Member(id.0);
            trail::leave(
                conn,
                &who,
                errand.now,
                "newcomer_refused",
                subject,
                json!({}),
            )
            .await
        }
        .boxed()
    })
    .await
}

/// Somebody who waits, and who answers them, with the site locked.
async fn waiting(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    id: MemberId,
    left: DateTime<Utc>,
) -> Result<(Membership, members::Person), DeskError> {
    // Before the lock, so that a stranger takes none, and behind it, where it counts.
    admit_or_deputy(conn, errand, site, Deed::LetPeopleIn, left).await?;
    lock_people(conn, site).await?;
    let (who, reach) = admit_or_deputy(conn, errand, site, Deed::LetPeopleIn, left).await?;
    let in_reach = |since: DateTime<Utc>| match reach {
        Reach::All => true,
        Reach::LeftSince(left) => since <= left,
    };
    let person = members::person(conn, site, id)
        .await?
        .filter(|person| person.member.waiting_since.is_some_and(in_reach))
        .ok_or(DeskError::NotFound(Noun::Newcomer))?;
    Ok((who, person))
}

fn newcomer(row: members::Person) -> Result<Option<Newcomer>, StoreError> {
    let Some(waiting_since) = row.member.waiting_since else {
        return Ok(None);
    };
    let language = language_of(&row.member)?;
    let (name, flat, email) = row.name.map_or((None, None, None), |name| {
        (Some(name.name), name.flat, name.email_lower)
    });
    Ok(Some(Newcomer {
        id: MemberId(row.member.id),
        name,
        flat,
        email: row.account_email.or(email),
        language,
        has_account: row.member.account_id.is_some(),
        waiting_since,
    }))
}
