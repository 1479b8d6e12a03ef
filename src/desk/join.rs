//! Asking to join with the code of a joining sheet: it puts somebody on the waiting list.

use super::credentials::CodeFor;
use super::fields::{Check, LONGEST_PERSON};
use super::keepers;
use super::letters::{NEWCOMER_WAITS, of_newcomer};
use super::membership::lock_people;
use super::trail::{self, Subject};
use super::{Desk, DeskError};
use crate::clock;
use crate::store::letters::{self, LetterRow};
use crate::store::members::{self, MemberNameRow, MemberRow};
use crate::store::{Conn, accounts, codes};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use wormrota_domain::ids::{AccountId, CodeId, MemberId, SiteId};
use wormrota_domain::site::Language;

/// Somebody who wants to join. Its `Debug` output hides what is typed.
#[derive(Clone)]
pub struct Joining {
    /// The code of the sheet.
    pub code: String,
    /// What people call them.
    pub name: String,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// The address, for those who have one and are not signed in.
    pub email: Option<String>,
    /// The language that they want to be written to in.
    pub language: Option<Language>,
}

impl fmt::Debug for Joining {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Joining(hidden)")
    }
}

/// A joining as the transaction gets it.
struct Checked {
    macs: Vec<[u8; 32]>,
    account: Option<AccountId>,
    name: String,
    flat: Option<String>,
    email: Option<String>,
    language: Option<Language>,
    now: DateTime<Utc>,
}

/// Puts somebody on the waiting list. Who is a member or waits already changes nothing by
/// asking again, and hears the same.
///
/// # Errors
/// [`DeskError::CodeRefused`] for every code that does not work.
pub async fn ask_to_join(
    desk: &Desk,
    account: Option<AccountId>,
    joining: Joining,
) -> Result<(), DeskError> {
    let mut check = Check::default();
    let checked = Checked {
        macs: desk
            .credentials()
            .codes
            .macs(CodeFor::Joining, &joining.code),
        account,
        name: check.name("/name", &joining.name, LONGEST_PERSON),
        flat: joining.flat.map(|flat| check.flat(&flat)),
        email: joining.email.map(|email| check.email(&email)),
        language: joining.language,
        now: desk.now().await?,
    };
    if account.is_some() && checked.email.is_some() {
        check.conflict(
            "/email",
            "must not be given when you are signed in: your account has yours",
        );
    }
    check.done()?;
    desk.store()
        .transact("ask to join", checked, |conn, checked| {
            wait(conn, checked).boxed()
        })
        .await
}

async fn wait(conn: &mut Conn, checked: &Checked) -> Result<(), DeskError> {
    let kind = CodeFor::Joining.code();
    let row = codes::by_mac(conn, kind, &checked.macs)
        .await?
        .ok_or(DeskError::CodeRefused)?;
    let (site, code) = (SiteId(row.site_id), CodeId(row.id));
    lock_people(conn, site).await?;
    let wall = clock::wall();
    let works = codes::lock(conn, site, kind, code)
        .await?
        .is_some_and(|row| row.works_at(wall));
    if !works {
        return Err(DeskError::CodeRefused);
    }
    // Asking again uses up nobody else's place.
    if is_known(conn, site, checked).await? {
        return Ok(());
    }
    if !codes::count_use(conn, site, code, wall).await? {
        return Err(DeskError::CodeRefused);
    }
    let id = MemberId(clock::fresh_id());
    let member = MemberRow {
        site_id: site.0,
        id: id.0,
        account_id: checked.account.map(|account| account.0),
        joined_at: checked.now,
        left_at: None,
        household_id: None,
        language: checked.language.map(|language| language.code().to_owned()),
        waiting_since: Some(checked.now),
        shares_phone_since: None,
        shares_email_since: None,
        revision: 1,
    };
    let name = MemberNameRow {
        site_id: site.0,
        member_id: id.0,
        name: checked.name.clone(),
        flat: checked.flat.clone(),
        email_lower: checked.email.clone(),
        phone: None,
    };
    members::insert(conn, &member, &[], &name).await?;
    let detail = json!({ "code": code });
    let subject = Subject::Member(id.0);
    trail::leave_for(
        conn,
        site,
        None,
        checked.now,
        "newcomer_waits",
        subject,
        detail,
    )
    .await?;
    let until = wall + NEWCOMER_WAITS;
    let owed: Vec<LetterRow> = keepers::told(conn, site, None)
        .await?
        .into_iter()
        .map(|keeper| of_newcomer(site, keeper, id, until, wall))
        .collect();
    Ok(letters::owe(conn, &owed).await?)
}

/// Whether whoever asks belongs to the site or waits there.
async fn is_known(conn: &mut Conn, site: SiteId, checked: &Checked) -> Result<bool, DeskError> {
    let mut email = checked.email.clone();
    if let Some(account) = checked.account {
        if members::anyhow_of_account(conn, site, account)
            .await?
            .is_some()
        {
            return Ok(true);
        }
        let row = accounts::by_id(conn, account).await?;
        email = row.and_then(|row| row.email_lower);
    }
    match email {
        Some(email) => Ok(members::with_address(conn, site, &email).await?.is_some()),
        None => Ok(false),
    }
}
