//! Members of a site: who they are to it, and (in a table of its own) what they are called.

use super::schema::{accounts, class_adults, member_names, member_roles, members, sites};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Text, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};
use wormrota_domain::letters::LetterGroup;

/// A person at a site.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = members, treat_none_as_null = true)]
pub struct MemberRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The account they sign in with, if any.
    pub account_id: Option<Uuid>,
    /// Since when.
    pub joined_at: DateTime<Utc>,
    /// Until when.
    pub left_at: Option<DateTime<Utc>>,
    /// With whom they share a fair share of turns.
    pub household_id: Option<Uuid>,
    /// The language that they are written to in, if not the site's.
    pub language: Option<String>,
    /// Since when they wait to be let in; they have no role until then.
    pub waiting_since: Option<DateTime<Utc>>,
    /// Since when fellow members may see their phone number for covering a turn.
    pub shares_phone_since: Option<DateTime<Utc>>,
    /// The same for their address.
    pub shares_email_since: Option<DateTime<Utc>>,
    /// Grows with every change.
    pub revision: i64,
}

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

/// A member with name and roles, for the list of people.
#[derive(Clone, PartialEq, Eq)]
pub struct Person {
    /// The membership.
    pub member: MemberRow,
    /// The name, unless it was erased.
    pub name: Option<MemberNameRow>,
    /// The roles.
    pub roles: Vec<Role>,
    /// The address of their account, if they have an account with one.
    pub account_email: Option<String>,
    /// Since when letters to their address come back.
    pub bounced_at: Option<DateTime<Utc>>,
    /// How they want to be written to.
    pub wishes: Wishes,
}

/// How a member wants to be written to. It is no part of [`MemberRow`], which others write
/// whole: a link in a letter changes it at any time.
#[derive(Debug, Clone, Default, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = members)]
pub struct Wishes {
    /// How many days before a turn they are reminded; as their site does without a list.
    pub reminder_days: Option<Vec<i16>>,
    /// The sorts of letters that they do without.
    pub letters_off: Option<Vec<String>>,
}

/// What is to change about somebody's wishes; what is none stays as it is.
#[derive(Debug, Clone, Default, PartialEq, Eq, AsChangeset)]
#[diesel(table_name = members)]
pub struct WishChange {
    /// Other days, or those of the site.
    pub reminder_days: Option<Option<Vec<i16>>>,
    /// Other sorts, in the place of all the old ones.
    pub letters_off: Option<Vec<String>>,
}

impl WishChange {
    /// Forgets all of them.
    #[must_use]
    pub const fn none() -> Self {
        Self {
            reminder_days: Some(None),
            letters_off: Some(Vec::new()),
        }
    }
}

/// Whose letters come back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bounced {
    /// A member's.
    Member(SiteId, MemberId),
    /// An account's, and so those of every member that it is.
    Account(AccountId),
}

type PersonRow = (
    MemberRow,
    Option<MemberNameRow>,
    Option<String>,
    Option<DateTime<Utc>>,
    Wishes,
);

/// Which people of a site are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// All who were let in.
    Members,
    /// Those let in who have one of these roles, and one more.
    InRoles(Vec<Role>, MemberId),
    /// Those who wait to be let in, since before an instant if one is given.
    Waiting(Option<DateTime<Utc>>),
    /// These, let in or waiting.
    These(Vec<Uuid>),
}

/// Adds a member with roles and a name.
pub async fn insert(
    conn: &mut Conn,
    member: &MemberRow,
    roles: &[Role],
    name: &MemberNameRow,
) -> Result<(), StoreError> {
    diesel::insert_into(members::table)
        .values(member)
        .execute(conn)
        .await?;
    insert_roles(conn, SiteId(member.site_id), MemberId(member.id), roles).await?;
    diesel::insert_into(member_names::table)
        .values(name)
        .execute(conn)
        .await?;
    Ok(())
}

/// The membership of an account at a site with its roles, if there is one today: one
/// statement, since it is asked on every request.
pub async fn of_account(
    conn: &mut Conn,
    site: SiteId,
    account: AccountId,
) -> Result<Option<(MemberId, Vec<Role>)>, StoreError> {
    let rows: Vec<(Uuid, String)> = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select((members::id, member_roles::role))
        .load(conn)
        .await?;
    let Some(member) = rows.as_slice().first().map(|(id, _)| MemberId(*id)) else {
        return Ok(None);
    };
    let mut roles = rows
        .iter()
        .map(|(_, code)| role(code))
        .collect::<Result<Vec<_>, _>>()?;
    roles.sort_unstable();
    Ok(Some((member, roles)))
}

/// One membership of an account, with the site's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MembershipOfAccount {
    /// The membership.
    pub member: MemberRow,
    /// What the site is called.
    pub site_name: String,
    /// The roles there; none while waiting to be let in.
    pub roles: Vec<Role>,
}

/// Where an account belongs today, in the order in which it joined.
pub async fn of_account_everywhere(
    conn: &mut Conn,
    account: AccountId,
) -> Result<Vec<MembershipOfAccount>, StoreError> {
    let rows: Vec<(MemberRow, String)> = members::table
        .inner_join(sites::table)
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select((MemberRow::as_select(), sites::name))
        .order((members::joined_at, members::site_id))
        .load(conn)
        .await?;
    let codes: Vec<(Uuid, Uuid, String)> = member_roles::table
        .inner_join(
            members::table.on(members::site_id
                .eq(member_roles::site_id)
                .and(members::id.eq(member_roles::member_id))),
        )
        .filter(members::account_id.eq(account.0))
        .select((
            member_roles::site_id,
            member_roles::member_id,
            member_roles::role,
        ))
        .order(member_roles::role)
        .load(conn)
        .await?;
    let of = |row: (MemberRow, String)| {
        let (member, site_name) = row;
        let roles = codes
            .iter()
            .filter(|(site, id, _)| (*site, *id) == (member.site_id, member.id))
            .map(|(_, _, code)| role(code))
            .collect::<Result<_, _>>()?;
        Ok(MembershipOfAccount {
            member,
            site_name,
            roles,
        })
    };
    rows.into_iter().map(of).collect()
}

/// People of a site who have not left, in the order of their keys, after one.
pub async fn people(
    conn: &mut Conn,
    site: SiteId,
    which: Which,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<Person>, StoreError> {
    let mut query = members::table
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .left_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .select((
            MemberRow::as_select(),
            Option::<MemberNameRow>::as_select(),
            accounts::email_lower.nullable(),
            members::bounced_at,
            Wishes::as_select(),
        ))
        .order(members::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(members::id.gt(after));
    }
    query = match which {
        Which::Members => query.filter(members::waiting_since.is_null()),
        Which::InRoles(roles, or) => {
            let codes: Vec<&str> = roles.into_iter().map(Role::code).collect();
            let holders = member_roles::table
                .filter(member_roles::site_id.eq(site.0))
                .filter(member_roles::role.eq_any(codes))
                .select(member_roles::member_id);
            query
                .filter(members::waiting_since.is_null())
                .filter(members::id.eq_any(holders).or(members::id.eq(or.0)))
        }
        Which::Waiting(None) => query.filter(members::waiting_since.is_not_null()),
        Which::Waiting(Some(until)) => query.filter(members::waiting_since.le(until)),
        Which::These(these) => query.filter(members::id.eq_any(these)),
    };
    let rows: Vec<PersonRow> = query.load(conn).await?;
    let ids: Vec<Uuid> = rows.iter().map(|(member, ..)| member.id).collect();
    let mut roles = roles_of(conn, site, ids).await?;
    Ok(rows
        .into_iter()
        .map(|(member, name, account_email, bounced_at, wishes)| Person {
            roles: roles.remove(&member.id).unwrap_or_default(),
            member,
            name,
            account_email,
            bounced_at,
            wishes,
        })
        .collect())
}

/// Notes since when letters to somebody come back, or that they do not, for several at once.
/// What is noted already stays; says whose letters begin to come back.
pub async fn note_bounces(
    conn: &mut Conn,
    all: &[(Bounced, Option<DateTime<Utc>>)],
) -> Result<Vec<(SiteId, MemberId)>, StoreError> {
    let mut news = Vec::new();
    let (mut sites, mut ids, mut accounts) = (Vec::new(), Vec::new(), Vec::new());
    for (whose, since) in all {
        match (*whose, *since) {
            (whose, Some(since)) => news.extend(note_bounce(conn, whose, since).await?),
            (Bounced::Member(site, member), None) => {
                sites.push(site.0);
                ids.push(member.0);
            }
            (Bounced::Account(account), None) => accounts.push(account.0),
        }
    }
    let over = || members::bounced_at.eq(None::<DateTime<Utc>>);
    let noted = || members::table.filter(members::bounced_at.is_not_null());
    if !ids.is_empty() {
        // A key belongs to one member of one site.
        let whose = noted()
            .filter(members::site_id.eq_any(sites))
            .filter(members::id.eq_any(ids));
        diesel::update(whose).set(over()).execute(conn).await?;
    }
    if !accounts.is_empty() {
        let whose = noted().filter(members::account_id.eq_any(accounts));
        diesel::update(whose).set(over()).execute(conn).await?;
    }
    Ok(news)
}

async fn note_bounce(
    conn: &mut Conn,
    whose: Bounced,
    since: DateTime<Utc>,
) -> Result<Vec<(SiteId, MemberId)>, StoreError> {
    let query = diesel::update(members::table)
        .set(members::bounced_at.eq(since))
        .filter(members::bounced_at.is_null())
        .into_boxed();
    let query = match whose {
        Bounced::Member(site, member) => query
            .filter(members::site_id.eq(site.0))
            .filter(members::id.eq(member.0)),
        Bounced::Account(account) => query.filter(members::account_id.eq(account.0)),
    };
    let news: Vec<(Uuid, Uuid)> = query
        .returning((members::site_id, members::id))
        .get_results(conn)
        .await?;
    Ok(news
        .into_iter()
        .map(|(site, member)| (SiteId(site), MemberId(member)))
        .collect())
}

/// Changes how a member wants to be written to.
pub async fn change_wishes(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    change: &WishChange,
) -> Result<(), StoreError> {
    if *change == WishChange::default() {
        return Ok(());
    }
    diesel::update(members::table.find((site.0, member.0)))
        .set(change)
        .execute(conn)
        .await?;
    Ok(())
}

/// Ends letters of a sort to a member; says whether they were on.
pub async fn turn_letters_off(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    group: LetterGroup,
) -> Result<bool, StoreError> {
    let off = sql_query(
        "UPDATE members SET letters_off = array_append(letters_off, $3), revision = revision + 1
         WHERE site_id = $1 AND id = $2 AND NOT coalesce($3 = ANY (letters_off), false)",
    );
    let changed = off
        .bind::<SqlUuid, _>(site.0)
        .bind::<SqlUuid, _>(member.0)
        .bind::<Text, _>(group.code())
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Lets letters of a sort go to a member again; says whether they were off.
pub async fn turn_letters_on(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    group: LetterGroup,
) -> Result<bool, StoreError> {
    let on = sql_query(
        "UPDATE members SET letters_off = array_remove(letters_off, $3), revision = revision + 1
         WHERE site_id = $1 AND id = $2 AND $3 = ANY (letters_off)",
    );
    let changed = on
        .bind::<SqlUuid, _>(site.0)
        .bind::<SqlUuid, _>(member.0)
        .bind::<Text, _>(group.code())
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// The members of a site today who have one of these roles, in the order of their keys.
pub async fn in_roles(
    conn: &mut Conn,
    site: SiteId,
    roles: &[Role],
) -> Result<Vec<MemberId>, StoreError> {
    let codes: Vec<&str> = roles.iter().map(|role| role.code()).collect();
    let ids: Vec<Uuid> = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .filter(member_roles::role.eq_any(codes))
        .select(members::id)
        .distinct()
        .order(members::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(MemberId).collect())
}

/// Somebody at a site, let in or waiting, unless they have left.
pub async fn person(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Option<Person>, StoreError> {
    let found = people(conn, site, Which::These(vec![member.0]), None, 1).await?;
    Ok(found.into_iter().next())
}

/// The membership of an account at a site today, let in or waiting.
pub async fn anyhow_of_account(
    conn: &mut Conn,
    site: SiteId,
    account: AccountId,
) -> Result<Option<MemberId>, StoreError> {
    let id: Option<Uuid> = members::table
        .filter(members::site_id.eq(site.0))
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select(members::id)
        .first(conn)
        .await
        .optional()?;
    Ok(id.map(MemberId))
}

/// Who has an address at a site today, let in or waiting: as that of their account, or as
/// their own without one.
pub async fn with_address(
    conn: &mut Conn,
    site: SiteId,
    email_lower: &str,
) -> Result<Option<MemberId>, StoreError> {
    let id: Option<Uuid> = members::table
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .left_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(
            member_names::email_lower
                .eq(email_lower)
                .or(accounts::email_lower.eq(email_lower)),
        )
        .select(members::id)
        .order(members::id)
        .first(conn)
        .await
        .optional()?;
    Ok(id.map(MemberId))
}

/// The members of a site who can sign in and were let in, with their roles.
pub async fn who_can_sign_in(
    conn: &mut Conn,
    site: SiteId,
) -> Result<Vec<(MemberId, Vec<Role>)>, StoreError> {
    let rows: Vec<(Uuid, String)> = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .inner_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        // A slip opens once: whoever has no address may be shut out any day.
        .filter(accounts::email_lower.is_not_null())
        .select((members::id, member_roles::role))
        .load(conn)
        .await?;
    Ok(grouped(rows)?
        .into_iter()
        .map(|(id, roles)| (MemberId(id), roles))
        .collect())
}

/// Whether an account belongs to any other site today, or waits there.
pub async fn belongs_elsewhere(
    conn: &mut Conn,
    account: AccountId,
    site: SiteId,
) -> Result<bool, StoreError> {
    let others = members::table
        .filter(members::account_id.eq(account.0))
        .filter(members::site_id.ne(site.0))
        .filter(members::left_at.is_null());
    Ok(diesel::select(diesel::dsl::exists(others))
        .get_result(conn)
        .await?)
}

/// Writes every column of a membership but its key; a [`StoreError::Duplicate`] when the
/// account belongs to the site already.
pub async fn update(conn: &mut Conn, row: &MemberRow) -> Result<(), StoreError> {
    diesel::update(members::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Counts a change of somebody whose row stays as it is.
pub async fn touch(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<(), StoreError> {
    diesel::update(members::table.find((site.0, member.0)))
        .set(members::revision.eq(members::revision + 1))
        .execute(conn)
        .await?;
    Ok(())
}

/// Writes what a person is called.
pub async fn update_name(conn: &mut Conn, row: &MemberNameRow) -> Result<(), StoreError> {
    diesel::update(member_names::table.find((row.site_id, row.member_id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Gives somebody these roles in the place of those they had.
pub async fn replace_roles(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    roles: &[Role],
) -> Result<(), StoreError> {
    diesel::delete(
        member_roles::table
            .filter(member_roles::site_id.eq(site.0))
            .filter(member_roles::member_id.eq(member.0)),
    )
    .execute(conn)
    .await?;
    insert_roles(conn, site, member, roles).await
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

/// Takes somebody away who was never let in, and so has no history.
pub async fn remove_newcomer(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(), StoreError> {
    forget_name(conn, site, member).await?;
    diesel::delete(members::table.find((site.0, member.0)))
        .execute(conn)
        .await?;
    Ok(())
}

/// Takes somebody out of the classes that they teach or help with.
pub async fn leave_classes(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(), StoreError> {
    diesel::delete(
        class_adults::table
            .filter(class_adults::site_id.eq(site.0))
            .filter(class_adults::member_id.eq(member.0)),
    )
    .execute(conn)
    .await?;
    Ok(())
}

async fn insert_roles(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    roles: &[Role],
) -> Result<(), StoreError> {
    let roles: Vec<_> = roles
        .iter()
        .map(|role| {
            (
                member_roles::site_id.eq(site.0),
                member_roles::member_id.eq(member.0),
                member_roles::role.eq(role.code()),
            )
        })
        .collect();
    diesel::insert_into(member_roles::table)
        .values(roles)
        .execute(conn)
        .await?;
    Ok(())
}

async fn roles_of(
    conn: &mut Conn,
    site: SiteId,
    ids: Vec<Uuid>,
) -> Result<BTreeMap<Uuid, Vec<Role>>, StoreError> {
    let rows: Vec<(Uuid, String)> = member_roles::table
        .filter(member_roles::site_id.eq(site.0))
        .filter(member_roles::member_id.eq_any(ids))
        .select((member_roles::member_id, member_roles::role))
        .load(conn)
        .await?;
    grouped(rows)
}

/// The roles of each, in the order of the roles.
fn grouped(rows: Vec<(Uuid, String)>) -> Result<BTreeMap<Uuid, Vec<Role>>, StoreError> {
    let mut grouped: BTreeMap<Uuid, Vec<Role>> = BTreeMap::new();
    for (id, code) in rows {
        grouped.entry(id).or_default().push(role(&code)?);
    }
    for roles in grouped.values_mut() {
        roles.sort_unstable();
    }
    Ok(grouped)
}

fn role(code: &str) -> Result<Role, StoreError> {
    Role::from_code(code).ok_or(StoreError::Unreadable {
        what: "member_roles.role",
    })
}

/// Locks members until the transaction ends, always in the same order, and says which of them
/// have not left. Whoever gives somebody a place holds their lock, and takes it before that of
/// any turn.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
) -> Result<Vec<MemberId>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    let found: Vec<Uuid> = members::table
        .filter(members::site_id.eq(site.0))
        .filter(members::id.eq_any(of))
        .filter(members::left_at.is_null())
        .select(members::id)
        .order(members::id)
        .for_no_key_update()
        .load(conn)
        .await?;
    Ok(found.into_iter().map(MemberId).collect())
}
