//! Accepting an invitation: the link shows that its address is one's own.

use super::credentials::LinkFor;
use super::fields::{Check, LONGEST_PERSON};
use super::membership::lock_people;
use super::new_password::{self, hash_new_password};
use super::sessions::{self, Begun, Session, Terms};
use super::trail::{self, Subject};
use super::{Desk, DeskError};
use crate::clock;
use crate::store::accounts::{self, AccountRow};
use crate::store::invitations;
use crate::store::members::{self, MemberNameRow, MemberRow};
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, InvitationId, MemberId, SiteId};

/// What somebody sends with the link. Its `Debug` output hides it.
#[derive(Clone)]
pub struct Acceptance {
    /// The secret of the link.
    pub token: String,
    /// The password of the account that is made, for those who want one.
    pub password: Option<String>,
    /// What they want to be called instead.
    pub name: Option<String>,
    /// What they call their device.
    pub device: Option<String>,
    /// Whether they want to be signed in, where the account is made by joining.
    pub wants_session: bool,
}

impl fmt::Debug for Acceptance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Acceptance(hidden)")
    }
}

/// Somebody who joined.
#[derive(Debug)]
pub struct Joined {
    /// The site.
    pub site: SiteId,
    /// Who they are there.
    pub member: MemberId,
    /// Their session, where they wanted one and the account was made by joining. Whoever has one signs in as ever:
    /// a letter that is passed on by hand must not open what they have elsewhere.
    pub session: Option<Session>,
}

/// An acceptance as the transaction gets it.
struct Checked {
    terms: Terms,
    link: Uuid,
    signed_in: Option<AccountId>,
    name: Option<String>,
    device: Option<String>,
    wants_session: bool,
    password_hash: Option<String>,
    now: DateTime<Utc>,
}

/// Joins the account with the invited address, or a new one, to the member who was invited.
///
/// # Errors
/// [`DeskError::LinkRefused`] for every link that does not work, and for the second of two
/// who come at once; [`DeskError::InvitationForAnother`] when somebody else is signed in;
/// [`DeskError::Conflicting`] for a password where there is an account already.
pub async fn accept_invitation(
    desk: &Desk,
    signed_in: Option<AccountId>,
    sent: Acceptance,
) -> Result<Joined, DeskError> {
    let mut check = Check::default();
    let name = sent
        .name
        .map(|name| check.name("/name", &name, LONGEST_PERSON));
    if let Some(password) = &sent.password
        && !new_password::is_long_enough(password)
    {
        check.wrong("/password", new_password::LENGTH);
    }
    check.done()?;
    let device = sessions::device(sent.device.as_deref())?;
    let link = desk
        .credentials()
        .links
        .verify(LinkFor::Invitation, &sent.token)
        .ok_or(DeskError::LinkRefused)?;
    let password_hash = match sent.password {
        Some(password) => {
            let email = address_of(desk, link).await?;
            Some(hash_new_password(desk, "/password", password, Some(&email)).await?)
        }
        None => None,
    };
    let checked = Checked {
        terms: desk.terms(),
        link,
        signed_in,
        name,
        device,
        wants_session: sent.wants_session,
        password_hash,
        now: desk.now().await?,
    };
    let (site, member, begun) = desk
        .store()
        .transact("accept an invitation", checked, |conn, checked| {
            accept(conn, checked).boxed()
        })
        .await?;
    Ok(Joined {
        site,
        member,
        session: begun
            .map(|begun| sessions::finish(desk, begun))
            .transpose()?,
    })
}

/// The address that was invited, while the link works: a password is looked at only then.
async fn address_of(desk: &Desk, link: Uuid) -> Result<String, DeskError> {
    desk.store()
        .read("look at an invitation", link, |conn, link| {
            async move {
                let wall = clock::wall();
                let row = invitations::by_link(conn, *link)
                    .await?
                    .filter(|row| row.is_open_at(wall))
                    .ok_or(DeskError::LinkRefused)?;
                let (site, member) = (SiteId(row.site_id), MemberId(row.member_id));
                let (_, name) = invited(conn, site, member).await?;
                name.email_lower.ok_or(DeskError::LinkRefused)
            }
            .boxed()
        })
        .await
}

async fn accept(
    conn: &mut Conn,
    checked: &Checked,
) -> Result<(SiteId, MemberId, Option<Begun>), DeskError> {
    let wall = clock::wall();
    let row = invitations::by_link(conn, checked.link)
        .await?
        .ok_or(DeskError::LinkRefused)?;
    let (site, id) = (SiteId(row.site_id), InvitationId(row.id));
    let member = MemberId(row.member_id);
    lock_people(conn, site).await?;
    if !invitations::accept(conn, site, id, wall).await? {
        return Err(DeskError::LinkRefused);
    }
    let (invited, name) = invited(conn, site, member).await?;
    let email = name.email_lower.clone().ok_or(DeskError::LinkRefused)?;
    let (account, is_new) = account_for(conn, checked, email, wall).await?;
    enter(conn, invited, name, account, checked.name.as_deref()).await?;
    let detail = json!({ "member": member });
    let subject = Subject::Invitation(id.0);
    trail::leave_for(
        conn,
        site,
        Some(member),
        checked.now,
        "invitation_accepted",
        subject,
        detail,
    )
    .await?;
    if !is_new || !checked.wants_session {
        return Ok((site, member, None));
    }
    let device = checked.device.as_deref();
    let begun = sessions::begin(conn, checked.terms, account, "invitation", device, wall).await?;
    Ok((site, member, Some(begun)))
}

/// Whoever was invited, while they still belong to the site and cannot sign in.
async fn invited(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(MemberRow, MemberNameRow), DeskError> {
    members::person(conn, site, member)
        .await?
        .filter(|person| person.member.account_id.is_none())
        .and_then(|person| Some((person.member, person.name?)))
        .ok_or(DeskError::LinkRefused)
}

/// The account with the invited address, made if there is none, and whether it was made.
async fn account_for(
    conn: &mut Conn,
    checked: &Checked,
    email: String,
    wall: DateTime<Utc>,
) -> Result<(AccountId, bool), DeskError> {
    let existing = accounts::by_email(conn, &email).await?.map(|row| row.id);
    if checked.signed_in.is_some() && checked.signed_in.map(|account| account.0) != existing {
        return Err(DeskError::InvitationForAnother);
    }
    if let Some(id) = existing {
        if checked.password_hash.is_some() {
            return Err(DeskError::conflict(
                "/password",
                "must not be given: there is an account with this address already",
            ));
        }
        return Ok((AccountId(id), false));
    }
    let row = AccountRow {
        id: clock::fresh_id(),
        email_lower: Some(email),
        password_hash: checked.password_hash.clone(),
        is_educator: false,
        created_at: wall,
    };
    accounts::insert(conn, &row).await.map_err(|error| {
        // Somebody made one since it was looked for: begin again.
        let again = DeskError::Store(StoreError::Contended);
        DeskError::from(error).where_taken("accounts_email_unique", again)
    })?;
    Ok((AccountId(row.id), true))
}

/// Ties a member to their account. The address stands with the account from now on.
async fn enter(
    conn: &mut Conn,
    mut member: MemberRow,
    mut name: MemberNameRow,
    account: AccountId,
    new_name: Option<&str>,
) -> Result<(), DeskError> {
    member.account_id = Some(account.0);
    member.revision += 1;
    members::update(conn, &member).await.map_err(|error| {
        let twice = DeskError::conflict(
            "/token",
            "must be of an invitation to a site that you do not belong to already",
        );
        DeskError::from(error).where_taken("members_account_once", twice)
    })?;
    name.email_lower = None;
    if let Some(new) = new_name {
        new.clone_into(&mut name.name);
    }
    Ok(members::update_name(conn, &name).await?)
}
