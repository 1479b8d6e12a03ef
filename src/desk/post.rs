//! Owing letters: a letter is owed in the transaction of its cause, and sent by whichever copy
//! leases it.

use crate::clock;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use wormrota_domain::ids::{AccountId, BookingId, InvitationId, LinkId, MemberId, SiteId};
use wormrota_domain::letters::{LetterKind, LetterState};
use wormrota_domain::units::Grams;

/// Whom a letter is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum For {
    /// Somebody at a site.
    Member(SiteId, MemberId),
    /// An account; none when an address has none, and then nobody gets it.
    Account(Option<AccountId>),
}

/// The letter of an invitation.
pub(super) fn of_invitation(
    site: SiteId,
    member: MemberId,
    id: InvitationId,
    expires_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let payload = json!({ "invitation": id });
    let whom = For::Member(site, member);
    let kind = LetterKind::Invitation;
    row(kind, id.to_string(), whom, payload, expires_at, wall)
}

/// The letter of a link. For an address that has no account a row is written that nobody sends,
/// so that asking takes as long.
pub(super) fn of_link(
    kind: LetterKind,
    account: Option<AccountId>,
    id: LinkId,
    expires_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let payload = json!({ "link": id });
    let whom = For::Account(account);
    row(kind, id.to_string(), whom, payload, expires_at, wall)
}

/// The letter of a booking of which only `kept` is left; one for each amount.
pub(super) fn of_shrunk_booking(
    site: SiteId,
    member: MemberId,
    id: BookingId,
    kept: Grams,
    day_over_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let purpose = format!("{id}:{}", kept.0);
    let payload = json!({ "booking_id": id, "kept_g": kept.0 });
    let whom = For::Member(site, member);
    let kind = LetterKind::BookingShrunk;
    row(kind, purpose, whom, payload, day_over_at, wall)
}

fn row(
    kind: LetterKind,
    purpose: String,
    whom: For,
    payload: Value,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let (site, member, account) = match whom {
        For::Member(site, member) => (Some(site.0), Some(member.0), None),
        For::Account(account) => (None, None, account.map(|account| account.0)),
    };
    let nobodys = whom == For::Account(None);
    let state = if nobodys {
        LetterState::NotWanted
    } else {
        LetterState::Owed
    };
    LetterRow {
        id: clock::fresh_id(),
        site_id: site,
        kind: kind.code().to_owned(),
        purpose,
        account_id: account,
        member_id: member,
        payload,
        goes_first: kind.goes_first(),
        state: state.code().to_owned(),
        due_at: wall,
        too_late_at,
        attempts: 0,
        leased_until: None,
        reason: None,
        created_at: wall,
        closed_at: nobodys.then_some(wall),
    }
}
