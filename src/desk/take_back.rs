//! Taking an entry back: it never happened. What came after it is reckoned anew; the entry
//! itself stays on the spine beside the one that corrects it.

use super::at_hand::{BinAtHand, Hold, SiteAtHand, read};
use super::membership::admit;
use super::spine::Entry;
use super::{Desk, DeskError, Errand, Noun};
use crate::store::Conn;
use crate::store::events::{self, EventRow};
use chrono::TimeDelta;
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::event::Event;

/// How old an entry may be that is taken back.
const OLDEST: TimeDelta = TimeDelta::days(60);

/// Takes an entry back. Its author may, and so may whoever looks after the bins.
///
/// # Errors
/// [`DeskError::EntryStands`] for a stocking, for an entry that is too old, and for one
/// that was taken back already.
pub async fn take_back(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    entry: EventId,
) -> Result<(), DeskError> {
    let model = desk.model();
    desk.write("take an entry back", errand, (), move |conn, errand, ()| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::CorrectOwnEntry).await?;
            let site = SiteAtHand::load(conn, site).await?;
            let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await?;
            let old = events::by_id(conn, site.id, bin.id, entry).await?;
            let old = old.ok_or(DeskError::NotFound(Noun::Event))?;
            if old.member_id != Some(who.member.0) && !who.may(Deed::CorrectAnyEntry) {
                return Err(DeskError::Forbidden(Deed::CorrectAnyEntry));
            }
            let event: Event = read("bin_events.payload", old.payload.clone())?;
            let fixed = matches!(event, Event::Stocked { .. } | Event::Withdrawn);
            if fixed || old.occurred_at < bin.now - OLDEST {
                return Err(DeskError::EntryStands);
            }
            let found = match event {
                Event::Checked { .. } => found_by(conn, &site, &bin, &old).await?,
                _ => None,
            };
            let corrections: Vec<Entry> = [Some(old), found]
                .into_iter()
                .flatten()
                .map(|old| Entry {
                    event: Event::Withdrawn,
                    occurred_at: old.occurred_at,
                    member: Some(who.member),
                    supersedes: Some(EventId(old.id)),
                })
                .collect();
            bin.append(conn, &site, &corrections)
                .await
                .map_err(|error| {
                    error.where_taken("bin_events_superseded_once", DeskError::EntryStands)
                })?;
            Ok(())
        }
        .boxed()
    })
    .await
}

/// The food that a check found: without the check nobody saw it. It was written right after
/// the check.
async fn found_by(
    conn: &mut Conn,
    site: &SiteAtHand,
    bin: &BinAtHand,
    check: &EventRow,
) -> Result<Option<EventRow>, DeskError> {
    let next = events::standing(conn, site.id, bin.id, check.seq + 1).await?;
    let Some(next) = next.filter(|next| next.occurred_at == check.occurred_at) else {
        return Ok(None);
    };
    let event: Event = read("bin_events.payload", next.payload.clone())?;
    Ok(matches!(event, Event::Found { .. }).then_some(next))
}
