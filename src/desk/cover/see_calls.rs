//! Reading calls: whoever keeps the rota sees them all, others those that they are in.

use super::bin_course::{BinCourse, KeptNeed};
use super::call_at_hand::CallAtHand;
use super::give_up::far_ahead;
use crate::desk::at_hand::{SiteAtHand, read};
use crate::desk::membership::{Membership, admit};
use crate::desk::{Desk, DeskError, Errand, Noun, Page};
use crate::store::turns::TurnRow;
use crate::store::{Conn, calls, turns};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::cover::answer::Answer;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{BinId, CallId, MemberId, PlaceId, SiteId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// A call as far as the reader may see it.
#[derive(Debug, Clone, PartialEq)]
pub struct CallSeen {
    /// The key within the site.
    pub id: CallId,
    /// The turn.
    pub turn: TurnId,
    /// The place.
    pub place: PlaceId,
    /// The bin.
    pub bin: BinId,
    /// The local day.
    pub on_date: NaiveDate,
    /// Where the search is.
    pub state: CallState,
    /// Who cannot come, where somebody held the place and the reader may know it.
    pub away: Option<MemberId>,
    /// Who comes, where the reader may know it.
    pub helper: Option<MemberId>,
    /// Whether the bin needs the turn: as things stand while its place is free, else as it was
    /// reckoned last; none while it is too far ahead to tell.
    pub need: Option<KeptNeed>,
    /// From then on it is too late to come.
    pub turn_at: DateTime<Utc>,
    /// Until when a helper can give the place back.
    pub settled_at: DateTime<Utc>,
    /// What the reader was asked and said.
    pub own: Option<(MemberId, Answer)>,
    /// Who was asked and what they said, for whoever keeps the rota.
    pub answers: Option<BTreeMap<MemberId, Answer>>,
    /// Since when there is it.
    pub created_at: DateTime<Utc>,
    /// Since when it is over.
    pub closed_at: Option<DateTime<Utc>>,
}

/// Calls, the newest first, before one.
pub async fn list_calls(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    before: Option<Uuid>,
    limit: u16,
) -> Result<Page<CallSeen>, DeskError> {
    let model = desk.model();
    desk.store()
        .read("list calls", errand, move |conn, errand| {
            let model = Arc::clone(&model);
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let about = (!who.may(Deed::AssignPlaces)).then_some(who.member);
                let wanted = i64::from(limit) + 1;
                let rows = calls::page(conn, site, about, before, wanted).await?;
                let found = CallAtHand::with_answers(conn, site, rows).await?;
                let found = seen(conn, &who, found, (&model, errand.now)).await?;
                Ok(Page::cut(found, limit))
            }
            .boxed()
        })
        .await
}

/// One call.
pub async fn see_call(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: CallId,
) -> Result<CallSeen, DeskError> {
    let model = desk.model();
    desk.store()
        .read("see a call", errand, move |conn, errand| {
            let model = Arc::clone(&model);
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let call = CallAtHand::load(conn, site, id).await?;
                if !is_shown(&call, &who) {
                    return Err(DeskError::NotFound(Noun::Call));
                }
                let found = seen(conn, &who, vec![call], (&model, errand.now)).await?;
                found
                    .into_iter()
                    .next()
                    .ok_or(DeskError::NotFound(Noun::Call))
            }
            .boxed()
        })
        .await
}

/// Whether there is such a call for somebody: they are in it, or keep the rota.
pub(super) fn is_shown(call: &CallAtHand, who: &Membership) -> bool {
    call.away() == Some(who.member)
        || call.call.helper == Some(who.member)
        || call.call.answers.contains_key(&who.member)
        || who.may(Deed::AssignPlaces)
}

async fn seen(
    conn: &mut Conn,
    who: &Membership,
    found: Vec<CallAtHand>,
    by: (&ModelSettings, DateTime<Utc>),
) -> Result<Vec<CallSeen>, DeskError> {
    let keeps = who.may(Deed::AssignPlaces);
    let mut rows: BTreeMap<Uuid, TurnRow> = BTreeMap::new();
    for call in &found {
        if !rows.contains_key(&call.row.turn_id) {
            let row = turns::by_id(conn, who.site, call.turn()).await?;
            rows.extend(row.map(|row| (row.id, row)));
        }
    }
    let mut needs = needs_now(conn, who.site, (&found, &rows), by).await?;
    let one = |(call, turn): (CallAtHand, &TurnRow)| {
        let kept = call.row.need.clone();
        let kept = || kept.map(|need| read("calls.need", need)).transpose();
        Ok(CallSeen {
            id: call.id(),
            turn: call.turn(),
            place: PlaceId(call.row.place_id),
            bin: BinId(turn.bin_id),
            on_date: turn.on_date,
            state: call.call.state,
            away: who.sees(call.row.away_id),
            helper: who.sees(call.row.helper_id),
            need: needs
                .remove(&call.id())
                .map_or_else(kept, |need| Ok(Some(need)))?,
            turn_at: call.call.turn_at,
            settled_at: call.call.settled_at,
            own: (call.call.answers.get(&who.member)).map(|answer| (who.member, *answer)),
            answers: keeps.then_some(call.call.answers),
            created_at: call.row.created_at,
            closed_at: call.row.closed_at,
        })
    };
    let with_turn = |call: CallAtHand| {
        let turn = rows.get(&call.row.turn_id)?;
        Some((call, turn))
    };
    found.into_iter().filter_map(with_turn).map(one).collect()
}

/// Whether their bins need the turns of calls whose places are free, as of an instant.
async fn needs_now(
    conn: &mut Conn,
    site: SiteId,
    (calls, turns): (&[CallAtHand], &BTreeMap<Uuid, TurnRow>),
    (model, now): (&ModelSettings, DateTime<Utc>),
) -> Result<BTreeMap<CallId, KeptNeed>, DeskError> {
    let at_hand = SiteAtHand::load(conn, site).await?;
    let is_free = |call: &&CallAtHand| {
        let state = call.call.state;
        (state.is_open() || state == CallState::LeftEmpty)
            && call.row.closed_at.is_none()
            && call.call.turn_at > now
            && far_ahead(call.call.turn_at, now).is_none()
    };
    let mut courses: BTreeMap<Uuid, Option<BinCourse>> = BTreeMap::new();
    let mut found = BTreeMap::new();
    for call in calls.iter().filter(is_free) {
        let Some(turn) = turns.get(&call.row.turn_id) else {
            continue;
        };
        let course = match courses.entry(turn.bin_id) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => {
                let bin = BinId(turn.bin_id);
                new.insert(BinCourse::load(conn, model, &at_hand, bin, now).await?)
            }
        };
        let need = course.as_ref().and_then(|course| course.need(call.turn()));
        found.extend(need.map(|need| (call.id(), need)));
    }
    Ok(found)
}
