//! What a caretaker has to know, and ticking it off.

use super::at_hand::BinAtHand;
use super::deputy::{Reach, admit_or_deputy, left_since};
use super::keepers;
use super::letters::of_troubles;
use super::membership::Membership;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::Conn;
use crate::store::letters::{self, LetterRow};
use crate::store::notices::{self, NoticeRow};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{BinId, EventId, MemberId, NoticeId, SiteId};
use wormrota_domain::living_bin::aftermath::Trouble;

/// So long a letter about a notice helps, and so long the same trouble of a bin is not told
/// again while it lasts (our suggestion).
pub(super) const TROUBLE_STANDS: TimeDelta = TimeDelta::days(7);

/// A notice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// The key within the site.
    pub id: NoticeId,
    /// The bin it is about.
    pub bin: BinId,
    /// The event that caused it.
    pub event: Option<EventId>,
    /// What it says, as a code.
    pub kind: String,
    /// Since when it stands.
    pub created_at: DateTime<Utc>,
    /// When it was ticked off and by whom.
    pub seen: Option<(DateTime<Utc>, MemberId)>,
}

/// Notices of a site, newest first. The deputy gets those that nobody has ticked off for
/// long.
pub async fn list_notices(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    before: Option<Uuid>,
    limit: u16,
) -> Result<Page<Notice>, DeskError> {
    let left = left_since(desk, errand.now);
    desk.store()
        .read("list notices", errand, move |conn, errand| {
            async move {
                let (_, reach) =
                    admit_or_deputy(conn, errand, site, Deed::SeeNotices, left).await?;
                let wanted = i64::from(limit) + 1;
                let rows = notices::page(conn, site, reach.left_since(), before, wanted).await?;
                Ok(Page::cut(rows.into_iter().map(notice).collect(), limit))
            }
            .boxed()
        })
        .await
}

/// Ticks a notice off; when somebody did already, theirs stays.
pub async fn tick_off(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: NoticeId,
) -> Result<Notice, DeskError> {
    let left = left_since(desk, errand.now);
    desk.store()
        .transact("tick off a notice", errand, move |conn, errand| {
            async move {
                let (by, reach) =
                    admit_or_deputy(conn, errand, site, Deed::SeeNotices, left).await?;
                let found = notices::by_id(conn, site, id).await?;
                let found = found.ok_or(DeskError::NotFound(Noun::Notice))?;
                if !in_reach(&found, &by, reach) {
                    return Err(DeskError::NotFound(Noun::Notice));
                }
                notices::tick_off(conn, site, id, by.member, errand.now).await?;
                notices::by_id(conn, site, id)
                    .await?
                    .map(notice)
                    .ok_or(DeskError::NotFound(Noun::Notice))
            }
            .boxed()
        })
        .await
}

/// Whether a notice is one that somebody gets, or ticked off themselves.
fn in_reach(row: &NoticeRow, who: &Membership, reach: Reach) -> bool {
    match reach {
        Reach::All => true,
        Reach::LeftSince(left) => {
            let left_undone = row.seen_at.is_none() && row.created_at <= left;
            left_undone || row.seen_by == Some(who.member.0)
        }
    }
}

fn notice(row: NoticeRow) -> Notice {
    Notice {
        id: NoticeId(row.id),
        bin: BinId(row.bin_id),
        event: row.event_id.map(EventId),
        kind: row.kind,
        created_at: row.created_at,
        seen: row.seen_at.zip(row.seen_by.map(MemberId)),
    }
}

/// What notices of one moment have in common, and no others: what caused them, or the bin and
/// the instant at which somebody looked at its state.
pub(super) fn cause(row: &NoticeRow) -> String {
    match row.event_id {
        Some(event) => event.to_string(),
        None => format!("{}:{}", row.bin_id, row.created_at.timestamp_micros()),
    }
}

/// Whether somebody is told by one of these notices that a bin is too hot, and has not ticked it
/// off: until then nobody is told to feed it.
pub(super) fn is_heat_open(standing: &[NoticeRow], bin: BinId) -> bool {
    let heat = |row: &NoticeRow| row.bin_id == bin.0 && row.kind == Trouble::TooHot.code();
    standing
        .iter()
        .any(|row| heat(row) && row.seen_at.is_none())
}

/// Puts up a notice of each of an event's troubles for whoever keeps the bins, who are told by
/// one letter too. A caretaker who saw it themselves needs none.
pub(super) async fn put_up(
    conn: &mut Conn,
    bin: &BinAtHand,
    who: Option<&Membership>,
    event: EventId,
    troubles: &[Trouble],
) -> Result<(), DeskError> {
    if who.is_some_and(|who| who.roles.contains(&Role::Caretaker)) {
        return Ok(());
    }
    let site = SiteId(bin.row.site_id);
    let rows = fresh(site, bin.id, Some(event), troubles, bin.now);
    put_up_for(conn, site, &rows, who.map(|who| who.member)).await
}

/// Puts up notices of what nobody told: the bin's state says so.
pub(super) async fn put_up_unasked(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    troubles: &[Trouble],
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let rows = fresh(site, bin, None, troubles, now);
    put_up_for(conn, site, &rows, None).await
}

async fn put_up_for(
    conn: &mut Conn,
    site: SiteId,
    rows: &[NoticeRow],
    told_by: Option<MemberId>,
) -> Result<(), DeskError> {
    if rows.is_empty() {
        return Ok(());
    }
    notices::insert(conn, rows).await?;
    // Letters go by the machine's clock, which the demo does not move.
    let wall = clock::wall();
    let until = wall + TROUBLE_STANDS;
    let owed: Vec<LetterRow> = keepers::told(conn, site, told_by)
        .await?
        .into_iter()
        .filter_map(|keeper| of_troubles(site, keeper, rows, until, wall))
        .collect();
    Ok(letters::owe(conn, &owed).await?)
}

fn fresh(
    site: SiteId,
    bin: BinId,
    event: Option<EventId>,
    troubles: &[Trouble],
    now: DateTime<Utc>,
) -> Vec<NoticeRow> {
    let row = |trouble: &Trouble| NoticeRow {
        site_id: site.0,
        id: clock::fresh_id(),
        bin_id: bin.0,
        event_id: event.map(|event| event.0),
        kind: trouble.code().to_owned(),
        created_at: now,
        seen_at: None,
        seen_by: None,
    };
    troubles.iter().map(row).collect()
}
