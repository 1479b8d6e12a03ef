//! A bin needs somebody who looks after it. What was found at one moment is told in one letter.

use super::bin_trouble_words::{Case, Troubles};
use super::receiver::Receiver;
use super::{Found, Reading};
use crate::desk::at_hand::{BinAtHand, Hold, SiteAtHand, read as read_value, unreadable};
use crate::desk::notices::{TROUBLE_STANDS, cause, is_heat_open};
use crate::desk::post::{For, Owing};
use crate::desk::{DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::notices::{self, NoticeRow};
use crate::store::{Conn, events};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::access::HOUSE;
use wormrota_domain::ids::{BinId, EventId, MemberId, NoticeId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::ailment::{ailments, gravity};
use wormrota_domain::living_bin::check::Check;
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::living_bin::outlook::Outlook;

#[derive(Serialize, Deserialize)]
struct Keys {
    notices: Vec<NoticeId>,
}

/// The letter to a keeper, or to the deputy, about notices of one moment; none without any.
pub(in crate::desk) fn of_troubles(
    site: SiteId,
    keeper: MemberId,
    notices: &[NoticeRow],
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Option<LetterRow> {
    let cause = cause(notices.first()?);
    let owing = Owing {
        kind: LetterKind::BinTrouble,
        purpose: format!("{cause}:{keeper}"),
        whom: For::Member(site, keeper),
        too_late_at,
        links_until: None,
    };
    let notices = notices.iter().map(|row| NoticeId(row.id)).collect();
    Some(owing.row(&Keys { notices }, wall))
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { notices } = at.keys()?;
    if !keepers::is_told(conn, receiver.site, receiver.member).await? {
        return Ok(Found::Settled);
    }
    let mut standing = Vec::new();
    for notice in notices {
        let row = notices::by_id(conn, receiver.site, notice).await?;
        let stands =
            |row: &NoticeRow| row.seen_at.is_none() && row.created_at > at.by.now - TROUBLE_STANDS;
        standing.extend(row.filter(stands));
    }
    let Some((bin, cases)) = cases(conn, at, receiver.site, &standing).await? else {
        return Ok(Found::Settled);
    };
    let names = keepers::names(conn, receiver.site, HOUSE, receiver.member).await?;
    let told = Troubles {
        name: receiver.name.as_deref(),
        site: &receiver.site_name,
        bin: &bin,
        cases: &cases,
        names,
        as_deputy: keepers::is_told_as_deputy(conn, receiver.site, receiver.member).await?,
    };
    let content = told.content();
    Ok(receiver.letter(content))
}

/// What a bin is called and the cases behind notices about it, the gravest first, without those
/// that are over; none where the bin was given up, or is well again.
async fn cases(
    conn: &mut Conn,
    at: &Reading,
    site: SiteId,
    notices: &[NoticeRow],
) -> Result<Option<(String, Vec<Case>)>, DeskError> {
    let Some(first) = notices.first() else {
        return Ok(None);
    };
    let site = SiteAtHand::load(conn, site).await?;
    let id = BinId(first.bin_id);
    let bin = match BinAtHand::load(conn, &at.by.model, &site, id, at.by.now, Hold::Look).await {
        Ok(bin) => bin,
        Err(DeskError::NotFound(_) | DeskError::NotStocked) => return Ok(None),
        Err(error) => return Err(error),
    };
    let mut cases: Vec<Case> = Vec::new();
    for notice in notices {
        cases.extend(case(conn, &site, &bin, notice).await?);
    }
    // What was seen is said once, where there is a word for it.
    if cases
        .iter()
        .any(|case| case.trouble == Trouble::TroubleSeen)
    {
        let others = cases.iter_mut();
        let others = others.filter(|case| case.trouble != Trouble::TroubleSeen);
        others.for_each(|case| case.seen = None);
    }
    cases.sort_by_key(|case| gravity(case.trouble));
    Ok((!cases.is_empty()).then_some((bin.row.name, cases)))
}

/// The case behind a notice, unless it is over.
async fn case(
    conn: &mut Conn,
    site: &SiteAtHand,
    bin: &BinAtHand,
    notice: &NoticeRow,
) -> Result<Option<Case>, DeskError> {
    let trouble = Trouble::from_code(&notice.kind).ok_or_else(|| unreadable("notices.kind"))?;
    let coming = site.days_soon(bin.now);
    let found = ailments(&bin.habitat, &bin.state, &coming);
    let ailment = found.into_iter().find(|one| one.trouble == trouble);
    let sign = match bin.state.gate {
        Gate::Held { sign, .. } => Some(sign),
        Gate::Open | Gate::Half { .. } => None,
    };
    let lasts = match trouble {
        // What somebody did or saw stands until it is ticked off.
        Trouble::OverLimit | Trouble::NeverFood | Trouble::TroubleSeen => true,
        Trouble::Rests => sign.is_some(),
        Trouble::TooHot => bin.state.vitals.too_hot || ailment.is_some(),
        Trouble::Hungry => {
            let standing = notices::since(conn, site.id, bin.now - TROUBLE_STANDS).await?;
            ailment.is_some() && !is_heat_open(&standing, bin.id)
        }
        Trouble::TooCold | Trouble::DryingOut | Trouble::TooWet | Trouble::NoWorms => {
            ailment.is_some()
        }
    };
    if !lasts {
        return Ok(None);
    }
    let seen = match notice.event_id {
        Some(event) => seen(conn, site.id, bin.id, EventId(event)).await?,
        None => None,
    };
    let bookings = bin.kept_bookings(site, None);
    let room = Outlook::cautious(&bin.habitat, &bin.state).room(&bookings);
    let since = ailment.map_or(notice.created_at, |ailment| ailment.since);
    Ok(Some(Case {
        trouble,
        since,
        is_ahead: since > bin.now,
        warning: ailment.and_then(|ailment| ailment.warning),
        sign,
        seen,
        room: room.amount,
    }))
}

async fn seen(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    event: EventId,
) -> Result<Option<Check>, DeskError> {
    let Some(row) = events::by_id(conn, site, bin, event).await? else {
        return Ok(None);
    };
    Ok(match read_value("bin_events.payload", row.payload)? {
        Event::Checked { check, .. } => Some(check),
        _ => None,
    })
}
