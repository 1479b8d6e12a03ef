//! Inviting somebody by e-mail, and taking that back.

use super::add_account::{ParsedMember, join};
use super::fields::{Check, LONGEST_PERSON};
use super::leave::codes_of;
use super::letters::of_invitation;
use super::membership::{Membership, admit, admit_to_change};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::settings::People;
use crate::store::invitations::{self, InvitationRow};
use crate::store::letters;
use crate::store::members::{self, Which};
use crate::store::{Conn, StoreError};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role, may_grant, may_manage};
use wormrota_domain::ids::{InvitationId, MemberId, SiteId};
use wormrota_domain::site::Language;

/// Somebody to be invited. Its `Debug` output hides who.
pub struct NewInvitation {
    /// The address.
    pub email: String,
    /// What people call them.
    pub name: String,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// What they will be; at least one.
    pub roles: Vec<Role>,
    /// The language that they want to be written to in.
    pub language: Option<Language>,
}

impl fmt::Debug for NewInvitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "NewInvitation({:?})", self.roles)
    }
}

/// What has become of an invitation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InvitationState {
    /// The link works.
    Open,
    /// Nobody used the link in time.
    Expired,
    /// They joined.
    Accepted,
    /// It was taken back, or another took its place.
    Revoked,
}

/// An invitation. Its `Debug` output hides for whom.
#[derive(Clone, PartialEq, Eq)]
pub struct Invitation {
    /// The key within the site.
    pub id: InvitationId,
    /// Who is invited.
    pub member: MemberId,
    /// What they are called, while they belong to the site.
    pub name: Option<String>,
    /// The address, while they belong to the site.
    pub email: Option<String>,
    /// What they are or will be.
    pub roles: Vec<Role>,
    /// What has become of it.
    pub state: InvitationState,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Until when the link works.
    pub expires_at: DateTime<Utc>,
}

impl fmt::Debug for Invitation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Invitation({}, {:?})", self.id, self.state)
    }
}

/// Makes somebody a member who cannot sign in yet, and owes them the letter with the link.
///
/// # Errors
/// [`DeskError::Conflicting`] when the address belongs to somebody at the site already;
/// [`DeskError::Forbidden`] for roles that are not the caller's to hand out.
pub async fn invite(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewInvitation,
) -> Result<InvitationId, DeskError> {
    let mut check = Check::default();
    let member = ParsedMember {
        site,
        id: MemberId(clock::fresh_id()),
        name: check.name("/name", &new.name, LONGEST_PERSON),
        email: Some(check.email(&new.email)),
        flat: new.flat.map(|flat| check.flat(&flat)),
        roles: check.roles(new.roles),
        language: new.language,
    };
    check.done()?;
    let people = desk.people();
    desk.write(
        "invite somebody",
        errand,
        member,
        move |conn, errand, member| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::InvitePeople).await?;
                if !member.roles.iter().all(|role| may_grant(&who.roles, *role)) {
                    return Err(DeskError::Forbidden(Deed::ChangeRoles));
                }
                let email = member.email.as_deref().unwrap_or_default();
                if members::with_address(conn, site, email).await?.is_some() {
                    return Err(DeskError::conflict(
                        "/email",
                        "must not be the address of somebody at this site already",
                    ));
                }
                join(conn, member, None, errand.now).await?;
                let detail = json!({ "roles": codes_of(&member.roles) });
                let subject = Subject::Member(member.id.0);
                trail::leave(conn, &who, errand.now, "member_added", subject, detail).await?;
                owe_invitation(conn, &who, (member.id, false), people, errand.now).await
            }
            .boxed()
        },
    )
    .await
}

/// Invites a member who has an address and no account, and no open invitation. The letter also
/// says that they were let in, if they were waiting for that.
pub(super) async fn owe_invitation(
    conn: &mut Conn,
    who: &Membership,
    (member, was_let_in): (MemberId, bool),
    people: People,
    now: DateTime<Utc>,
) -> Result<InvitationId, DeskError> {
    let site = who.site;
    let id = InvitationId(clock::fresh_id());
    let wall = clock::wall();
    let row = InvitationRow {
        site_id: site.0,
        id: id.0,
        member_id: member.0,
        invited_by: who.member.0,
        created_at: wall,
        expires_at: wall + TimeDelta::days(people.invitation_days.into()),
        accepted_at: None,
        revoked_at: None,
    };
    invitations::insert(conn, &row).await?;
    // Letters go by the machine's clock, which the demo does not move.
    let letter = of_invitation((site, member), id, was_let_in, row.expires_at, wall);
    letters::owe(conn, &[letter]).await?;
    let detail = json!({ "member": member });
    let subject = Subject::Invitation(id.0);
    trail::leave(conn, who, now, "invitation_made", subject, detail).await?;
    Ok(id)
}

/// Invitations of a site, newest first.
pub async fn list_invitations(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    before: Option<Uuid>,
    limit: u16,
) -> Result<Page<Invitation>, DeskError> {
    desk.store()
        .read("list invitations", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::InvitePeople).await?;
                let rows = invitations::page(conn, site, before, i64::from(limit) + 1).await?;
                Ok(Page::cut(with_people(conn, site, rows).await?, limit))
            }
            .boxed()
        })
        .await
}

/// One invitation.
pub async fn see_invitation(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: InvitationId,
) -> Result<Invitation, DeskError> {
    desk.store()
        .read("see an invitation", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::InvitePeople).await?;
                let row = invitations::by_id(conn, site, id).await?;
                let found = with_people(conn, site, row.into_iter().collect()).await?;
                found
                    .into_iter()
                    .next()
                    .ok_or(DeskError::NotFound(Noun::Invitation))
            }
            .boxed()
        })
        .await
}

/// Takes an invitation back: its link dies. The member stays without an account.
///
/// # Errors
/// [`DeskError::EndedAlready`] when it was accepted or taken back before.
pub async fn take_back_invitation(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: InvitationId,
) -> Result<(), DeskError> {
    desk.write(
        "take an invitation back",
        errand,
        (),
        move |conn, errand, ()| {
            async move {
                let (who, row) = to_change(conn, errand, site, id).await?;
                let member = MemberId(row.member_id);
                let revoked = invitations::revoke_of(conn, site, member, clock::wall()).await?;
                if revoked != Some(id) {
                    return Err(DeskError::EndedAlready);
                }
                let subject = Subject::Invitation(id.0);
                trail::leave(
                    conn,
                    &who,
                    errand.now,
                    "invitation_taken_back",
                    subject,
                    json!({}),
                )
                .await
            }
            .boxed()
        },
    )
    .await
}

/// Puts a new link in the place of an old one, which dies if it was not dead already.
///
/// # Errors
/// [`DeskError::EndedAlready`] when the member can sign in, has left or has no address, or
/// when a newer invitation stands.
pub async fn replace_invitation(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: InvitationId,
) -> Result<InvitationId, DeskError> {
    let people = desk.people();
    desk.write(
        "replace an invitation",
        errand,
        (),
        move |conn, errand, ()| {
            async move {
                let (who, row) = to_change(conn, errand, site, id).await?;
                let member = MemberId(row.member_id);
                let invited = members::person(conn, site, member).await?;
                let still_wanted = invited.is_some_and(|person| {
                    let address = person.name.and_then(|name| name.email_lower);
                    person.member.account_id.is_none() && address.is_some()
                });
                let revoked = invitations::revoke_of(conn, site, member, clock::wall()).await?;
                if !still_wanted || revoked.is_some_and(|other| other != id) {
                    return Err(DeskError::EndedAlready);
                }
                owe_invitation(conn, &who, (member, false), people, errand.now).await
            }
            .boxed()
        },
    )
    .await
}

/// An invitation that the caller may change, with the site locked.
async fn to_change(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    id: InvitationId,
) -> Result<(Membership, InvitationRow), DeskError> {
    let who = admit_to_change(conn, errand, site, Deed::InvitePeople).await?;
    let row = invitations::by_id(conn, site, id)
        .await?
        .ok_or(DeskError::NotFound(Noun::Invitation))?;
    let invited = members::person(conn, site, MemberId(row.member_id)).await?;
    let roles = invited.map(|person| person.roles).unwrap_or_default();
    if may_manage(&who.roles, &roles) {
        Ok((who, row))
    } else {
        Err(DeskError::Forbidden(Deed::ChangeRoles))
    }
}

async fn with_people(
    conn: &mut Conn,
    site: SiteId,
    rows: Vec<InvitationRow>,
) -> Result<Vec<Invitation>, StoreError> {
    let ids: Vec<Uuid> = rows.iter().map(|row| row.member_id).collect();
    let most = i64::try_from(ids.len()).unwrap_or(i64::MAX);
    let people = members::people(conn, site, Which::These(ids), None, most).await?;
    let wall = clock::wall();
    Ok(rows
        .into_iter()
        .map(|row| {
            let person = people.iter().find(|one| one.member.id == row.member_id);
            let name = person.and_then(|person| person.name.as_ref());
            let account = person.and_then(|person| person.account_email.clone());
            Invitation {
                id: InvitationId(row.id),
                member: MemberId(row.member_id),
                name: name.map(|name| name.name.clone()),
                email: account.or_else(|| name.and_then(|name| name.email_lower.clone())),
                roles: person
                    .map(|person| person.roles.clone())
                    .unwrap_or_default(),
                state: state(&row, wall),
                created_at: row.created_at,
                expires_at: row.expires_at,
            }
        })
        .collect())
}

fn state(row: &InvitationRow, wall: DateTime<Utc>) -> InvitationState {
    if row.accepted_at.is_some() {
        InvitationState::Accepted
    } else if row.revoked_at.is_some() {
        InvitationState::Revoked
    } else if row.expires_at <= wall {
        InvitationState::Expired
    } else {
        InvitationState::Open
    }
}
