//! Slips: a printed code that signs in, once, somebody who has no address.

use super::credentials::CodeFor;
use super::leave::insist_on_keeper_of_classes;
use super::membership::{admit_to_change, lock_people};
use super::people::{language_of, let_in};
use super::sessions::{self, Begun, Session, Terms};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::Conn;
use crate::store::accounts::{self, AccountRow};
use crate::store::codes::{self, CodeRow};
use crate::store::members::{self, Person};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{AccountId, CodeId, MemberId, SiteId};
use wormrota_domain::site::Language;

const KIND: &str = CodeFor::Slip.code();

/// A slip that was just made. Its `Debug` output hides the code and for whom it is.
#[derive(Clone, PartialEq, Eq)]
pub struct Slip {
    /// The key within the site.
    pub id: CodeId,
    /// The code, which is kept nowhere.
    pub code: String,
    /// Until when it works.
    pub expires_at: DateTime<Utc>,
    /// What the member is called.
    pub name: Option<String>,
    /// The language that they are written to in, if not the site's.
    pub language: Option<Language>,
}

impl fmt::Debug for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Slip({}, until {})", self.id, self.expires_at)
    }
}

/// Makes a slip for a resident without an address; an earlier one dies.
///
/// # Errors
/// [`DeskError::NeedsNoSlip`] for anybody else: whoever printed it could act in their place.
pub async fn print_slip(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
) -> Result<Slip, DeskError> {
    let code = desk.credentials().codes.fresh(CodeFor::Slip);
    let id = CodeId(clock::fresh_id());
    let days = TimeDelta::days(desk.people().slip_days.into());
    let mac = code.mac;
    let (person, expires_at) = desk
        .store()
        .transact("print a slip", errand, move |conn, errand| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::PrintCodes).await?;
                let person = let_in(conn, site, member).await?;
                if !needs_slip(conn, site, &person).await? {
                    return Err(DeskError::NeedsNoSlip);
                }
                insist_on_keeper_of_classes(conn, &who, member).await?;
                let wall = clock::wall();
                codes::revoke_slips(conn, site, member, wall).await?;
                let row = CodeRow {
                    site_id: site.0,
                    id: id.0,
                    kind: KIND.to_owned(),
                    code_mac: mac.to_vec(),
                    member_id: Some(member.0),
                    bin_id: None,
                    made_by: who.member.0,
                    created_at: wall,
                    expires_at: Some(wall + days),
                    most_uses: Some(1),
                    uses: 0,
                    revoked_at: None,
                };
                codes::insert(conn, &row).await?;
                let detail = json!({ "member": member });
                let subject = Subject::Code(id.0);
                trail::leave(conn, &who, errand.now, "slip_made", subject, detail).await?;
                Ok((person, wall + days))
            }
            .boxed()
        })
        .await?;
    Ok(Slip {
        id,
        code: code.text,
        expires_at,
        language: language_of(&person.member)?,
        name: person.name.map(|name| name.name),
    })
}

/// Somebody who signed in with a slip.
#[derive(Debug)]
pub struct SlipUsed {
    /// The site.
    pub site: SiteId,
    /// Who they are there.
    pub member: MemberId,
    /// Their session.
    pub session: Session,
}

/// What the transaction gets.
struct Checked {
    terms: Terms,
    macs: Vec<[u8; 32]>,
    device: Option<String>,
    now: DateTime<Utc>,
}

/// Signs somebody in with a slip. A first slip makes an account without address and
/// password.
///
/// # Errors
/// [`DeskError::CodeRefused`] for every code that does not work, and for the second of two
/// who come at once.
pub async fn use_slip(
    desk: &Desk,
    code: &str,
    device: Option<String>,
) -> Result<SlipUsed, DeskError> {
    let checked = Checked {
        macs: desk.credentials().codes.macs(CodeFor::Slip, code),
        terms: desk.terms(),
        device: sessions::device(device.as_deref())?,
        now: desk.now().await?,
    };
    let (site, member, begun) = desk
        .store()
        .transact("use a slip", checked, |conn, checked| {
            sign_in(conn, checked).boxed()
        })
        .await?;
    Ok(SlipUsed {
        site,
        member,
        session: sessions::finish(desk, begun)?,
    })
}

async fn sign_in(
    conn: &mut Conn,
    checked: &Checked,
) -> Result<(SiteId, MemberId, Begun), DeskError> {
    let row = codes::by_mac(conn, KIND, &checked.macs).await?;
    let (Some(row), wall) = (row, clock::wall()) else {
        return Err(DeskError::CodeRefused);
    };
    let (site, id) = (SiteId(row.site_id), CodeId(row.id));
    let member = row.member_id.map(MemberId).ok_or(DeskError::CodeRefused)?;
    lock_people(conn, site).await?;
    if !codes::count_use(conn, site, id, wall).await? {
        return Err(DeskError::CodeRefused);
    }
    let person = members::person(conn, site, member)
        .await?
        .ok_or(DeskError::CodeRefused)?;
    // They may have got an address or a role since it was printed.
    if !needs_slip(conn, site, &person).await? {
        return Err(DeskError::CodeRefused);
    }
    let account = match person.member.account_id {
        Some(account) => AccountId(account),
        None => make_account(conn, person, wall).await?,
    };
    let detail = json!({ "member": member });
    let subject = Subject::Code(id.0);
    trail::leave_for(
        conn,
        site,
        Some(member),
        checked.now,
        "slip_used",
        subject,
        detail,
    )
    .await?;
    let device = checked.device.as_deref();
    let begun = sessions::begin(conn, checked.terms, account, "slip", device, wall).await?;
    Ok((site, member, begun))
}

async fn make_account(
    conn: &mut Conn,
    person: Person,
    wall: DateTime<Utc>,
) -> Result<AccountId, DeskError> {
    let account = AccountRow {
        id: clock::fresh_id(),
        email_lower: None,
        password_hash: None,
        is_educator: false,
        created_at: wall,
    };
    accounts::insert(conn, &account).await?;
    let mut row = person.member;
    row.account_id = Some(account.id);
    row.revision += 1;
    members::update(conn, &row).await?;
    Ok(AccountId(account.id))
}

/// Whether a slip lets nobody do more than the residents of this site may: no address, no
/// other role, no other site.
async fn needs_slip(conn: &mut Conn, site: SiteId, person: &Person) -> Result<bool, DeskError> {
    let address = person
        .name
        .as_ref()
        .and_then(|name| name.email_lower.as_ref());
    let waits = person.member.waiting_since.is_some();
    if person.roles != [Role::Resident] || address.is_some() || waits {
        return Ok(false);
    }
    let Some(account) = person.member.account_id.map(AccountId) else {
        return Ok(true);
    };
    let may_open_sites = accounts::is_educator(conn, account).await? == Some(true);
    Ok(person.account_email.is_none()
        && !may_open_sites
        && !members::belongs_elsewhere(conn, account, site).await?)
}
