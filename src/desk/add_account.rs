//! Adding an account, from the command line or the demo.

use super::fields::{Check, LONGEST_PERSON};
use super::new_password::{self, hash_new_password};
use super::{Desk, DeskError, Noun, households};
use crate::clock;
use crate::store::accounts::{self, AccountRow};
use crate::store::members::{self, MemberNameRow, MemberRow};
use crate::store::{Conn, sites};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};
use wormrota_domain::site::Language;

/// A new account. Its `Debug` output hides what is typed.
pub struct NewAccount {
    /// The address to sign in with.
    pub email: String,
    /// The password.
    pub password: String,
    /// Whether it may open sites.
    pub is_educator: bool,
    /// The site that it belongs to from the start, if any.
    pub member: Option<NewMember>,
}

impl fmt::Debug for NewAccount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("NewAccount(hidden)")
    }
}

/// A new member of a site. Its `Debug` output hides the name.
pub struct NewMember {
    /// The site.
    pub site: SiteId,
    /// The roles there; at least one.
    pub roles: Vec<Role>,
    /// What people call them.
    pub name: String,
    /// The flat, where there are flats.
    pub flat: Option<String>,
}

impl fmt::Debug for NewMember {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "NewMember({}, {:?})", self.site, self.roles)
    }
}

/// Adds an account, and a membership with it when one is wanted.
pub async fn add_account(
    desk: &Desk,
    new: NewAccount,
    now: DateTime<Utc>,
) -> Result<AccountId, DeskError> {
    let mut check = Check::default();
    let email = check.email(&new.email);
    if !new_password::is_long_enough(&new.password) {
        check.wrong("/password", new_password::LENGTH);
    }
    let member = new.member.map(|member| parse_member(&mut check, member));
    check.done()?;

    let hash = hash_new_password(desk, "/password", new.password, Some(&email)).await?;
    let row = AccountRow {
        id: clock::fresh_id(),
        email_lower: Some(email),
        password_hash: Some(hash),
        is_educator: new.is_educator,
        created_at: now,
    };
    desk.store()
        .transact(
            "add an account",
            (row, member),
            move |conn, (row, member)| {
                async move {
                    accounts::insert(conn, row).await.map_err(|error| {
                        DeskError::from(error)
                            .where_taken("accounts_email_unique", DeskError::AddressTaken)
                    })?;
                    if let Some(member) = member {
                        if sites::lock(conn, member.site).await?.is_none() {
                            return Err(DeskError::NotFound(Noun::Site));
                        }
                        join(conn, member, Some(AccountId(row.id)), now).await?;
                    }
                    Ok(AccountId(row.id))
                }
                .boxed()
            },
        )
        .await
}

/// A member whose fields were checked.
pub(super) struct ParsedMember {
    pub(super) site: SiteId,
    pub(super) id: MemberId,
    pub(super) roles: Vec<Role>,
    pub(super) name: String,
    pub(super) flat: Option<String>,
    /// The address of somebody without an account.
    pub(super) email: Option<String>,
    /// The language that they want to be written to in.
    pub(super) language: Option<Language>,
}

pub(super) fn parse_member(check: &mut Check, new: NewMember) -> ParsedMember {
    ParsedMember {
        site: new.site,
        id: MemberId(clock::fresh_id()),
        roles: check.roles(new.roles),
        name: check.name("/name", &new.name, LONGEST_PERSON),
        flat: new.flat.map(|flat| check.flat(&flat)),
        email: None,
        language: None,
    }
}

/// Makes somebody a member. The caller holds the site's lock.
pub(super) async fn join(
    conn: &mut Conn,
    member: &ParsedMember,
    account: Option<AccountId>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let site: Uuid = member.site.0;
    let flat = member.flat.as_deref();
    let household = households::home_of(conn, member.site, &member.roles, flat, now).await?;
    let row = MemberRow {
        site_id: site,
        id: member.id.0,
        account_id: account.map(|account| account.0),
        joined_at: now,
        left_at: None,
        household_id: household.map(|household| household.0),
        language: member.language.map(|language| language.code().to_owned()),
        waiting_since: None,
        shares_phone_since: None,
        shares_email_since: None,
        revision: 1,
    };
    let name = MemberNameRow {
        site_id: site,
        member_id: member.id.0,
        name: member.name.clone(),
        flat: member.flat.clone(),
        email_lower: member.email.clone(),
        phone: None,
    };
    Ok(members::insert(conn, &row, &member.roles, &name).await?)
}
