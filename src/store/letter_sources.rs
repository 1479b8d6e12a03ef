//! What a letter needs to know: whom it goes to, and whether it still says something.

use super::bookings::BookingState;
use super::schema::{
    account_links, accounts, bins, bookings, invitations, member_names, members, sites,
};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use std::collections::HashMap;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, BookingId, InvitationId, LinkId, MemberId, SiteId};

/// How a reader wants things said.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct Speech {
    /// Their own language.
    pub language: Option<String>,
    /// The language of the site.
    pub site_language: String,
    /// The units of the site.
    pub units: String,
    /// The zone of the site.
    pub zone: String,
}

/// A member who is written to. Its `Debug` output holds neither name nor address.
#[derive(Clone, PartialEq, Eq)]
pub struct Reader {
    /// What they are called; none once it was erased.
    pub name: Option<String>,
    /// The address of their account, or their own without one.
    pub email_lower: Option<String>,
    /// When they left.
    pub left_at: Option<DateTime<Utc>>,
    /// Since when letters to their address come back.
    pub bounced_at: Option<DateTime<Utc>>,
    /// The sorts of letters that they do without.
    pub letters_off: Vec<String>,
    /// What the site is called.
    pub site_name: String,
    /// How they want things said.
    pub speech: Speech,
}

impl fmt::Debug for Reader {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Reader({:?})", self.speech)
    }
}

/// An invitation.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct InvitationLetter {
    /// Until when it can be accepted.
    pub expires_at: DateTime<Utc>,
    /// When it was.
    pub accepted_at: Option<DateTime<Utc>>,
    /// When it was taken back.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// A booking with its bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookingLetter {
    /// What the bin is called.
    pub bin_name: String,
    /// The local day.
    pub on_date: NaiveDate,
    /// What was promised, in grams.
    pub promised_g: i64,
    /// Whether it still holds room.
    pub is_open: bool,
}

/// A link with the address of its account. Its `Debug` output holds no address.
#[derive(Clone, PartialEq, Eq, Queryable)]
pub struct LinkLetter {
    /// Whose it is.
    pub account_id: Uuid,
    /// `reset` or `sign_in`.
    pub kind: String,
    /// Until when it works.
    pub expires_at: DateTime<Utc>,
    /// When it was used.
    pub used_at: Option<DateTime<Utc>>,
    /// When it was taken back.
    pub revoked_at: Option<DateTime<Utc>>,
    /// The address.
    pub email_lower: Option<String>,
}

impl fmt::Debug for LinkLetter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "LinkLetter({}, {})", self.account_id, self.kind)
    }
}

/// Invitations by site and key; one that is not there is left out.
pub async fn invitations(
    conn: &mut Conn,
    which: &[(SiteId, InvitationId)],
) -> Result<HashMap<(SiteId, InvitationId), InvitationLetter>, StoreError> {
    if which.is_empty() {
        return Ok(HashMap::new());
    }
    let (of_sites, ids): (Vec<Uuid>, Vec<Uuid>) =
        which.iter().map(|(site, id)| (site.0, id.0)).unzip();
    let rows: Vec<((Uuid, Uuid), InvitationLetter)> = invitations::table
        // A key belongs to one invitation of one site.
        .filter(invitations::site_id.eq_any(of_sites))
        .filter(invitations::id.eq_any(ids))
        .select((
            (invitations::site_id, invitations::id),
            (
                invitations::expires_at,
                invitations::accepted_at,
                invitations::revoked_at,
            ),
        ))
        .load(conn)
        .await?;
    let keyed = |((site, id), letter)| ((SiteId(site), InvitationId(id)), letter);
    Ok(rows.into_iter().map(keyed).collect())
}

/// A booking of a site.
pub async fn booking(
    conn: &mut Conn,
    site: SiteId,
    id: BookingId,
) -> Result<Option<BookingLetter>, StoreError> {
    let row: Option<(String, NaiveDate, i64, String)> = bookings::table
        .inner_join(
            bins::table.on(bins::site_id
                .eq(bookings::site_id)
                .and(bins::id.eq(bookings::bin_id))),
        )
        .filter(bookings::site_id.eq(site.0))
        .filter(bookings::id.eq(id.0))
        .select((
            bins::name,
            bookings::on_date,
            bookings::promised_g,
            bookings::state,
        ))
        .first(conn)
        .await
        .optional()?;
    Ok(
        row.map(|(bin_name, on_date, promised_g, state)| BookingLetter {
            bin_name,
            on_date,
            promised_g,
            is_open: state == BookingState::Open.code(),
        }),
    )
}

/// Members as those who are written to, by site and member; whoever is not there is left out.
pub async fn readers(
    conn: &mut Conn,
    whom: &[(SiteId, MemberId)],
) -> Result<HashMap<(SiteId, MemberId), Reader>, StoreError> {
    type Row = (
        (Uuid, Uuid),
        Option<String>,
        Option<String>,
        Option<String>,
        Option<DateTime<Utc>>,
        String,
        (Option<String>, String, String, String),
        (Option<DateTime<Utc>>, Option<Vec<String>>),
    );
    let (in_sites, ids): (Vec<Uuid>, Vec<Uuid>) =
        whom.iter().map(|(site, member)| (site.0, member.0)).unzip();
    let rows: Vec<Row> = members::table
        .inner_join(sites::table)
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .left_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        // A key belongs to one member of one site.
        .filter(members::site_id.eq_any(in_sites))
        .filter(members::id.eq_any(ids))
        .select((
            (members::site_id, members::id),
            member_names::name.nullable(),
            accounts::email_lower.nullable(),
            member_names::email_lower.nullable(),
            members::left_at,
            sites::name,
            (
                members::language,
                sites::language,
                sites::units,
                sites::zone,
            ),
            (members::bounced_at, members::letters_off),
        ))
        .load(conn)
        .await?;
    let reader = |row: Row| {
        let ((site, member), name, of_account, own, left_at, site_name, speech, wishes) = row;
        let (language, site_language, units, zone) = speech;
        let (bounced_at, letters_off) = wishes;
        let reader = Reader {
            name,
            email_lower: of_account.or(own),
            left_at,
            bounced_at,
            letters_off: letters_off.unwrap_or_default(),
            site_name,
            speech: Speech {
                language,
                site_language,
                units,
                zone,
            },
        };
        ((SiteId(site), MemberId(member)), reader)
    };
    Ok(rows.into_iter().map(reader).collect())
}

/// A link of an account.
pub async fn link(conn: &mut Conn, id: LinkId) -> Result<Option<LinkLetter>, StoreError> {
    Ok(account_links::table
        .inner_join(accounts::table.on(account_links::account_id.eq(accounts::id.nullable())))
        .filter(account_links::id.eq(id.0))
        .select((
            accounts::id,
            account_links::kind,
            account_links::expires_at,
            account_links::used_at,
            account_links::revoked_at,
            accounts::email_lower,
        ))
        .first(conn)
        .await
        .optional()?)
}

/// How an account wants things said: as in its oldest membership.
pub async fn speech_of_account(
    conn: &mut Conn,
    account: AccountId,
) -> Result<Option<Speech>, StoreError> {
    Ok(members::table
        .inner_join(sites::table)
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select((
            members::language,
            sites::language,
            sites::units,
            sites::zone,
        ))
        .order(members::id)
        .first(conn)
        .await
        .optional()?)
}
