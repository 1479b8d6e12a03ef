//! Places that their holder cannot come to: they are free from now on, and for each there is a
//! call.

use super::bin_course::{BinCourse, KeptNeed, turn_span};
use super::call_at_hand::{CallAtHand, refused};
use super::hand_over::freed;
use crate::desk::DeskError;
use crate::desk::at_hand::{DAYS_AHEAD, SiteAtHand, write};
use crate::desk::place_at_hand::{SiteDays, TurnAtHand, end_booking};
use crate::desk::turn_news::TurnNews;
use crate::store::Conn;
use crate::store::calls::{self, CallRow};
use crate::store::places::{self, PlaceRow};
use crate::store::turns::TurnRow;
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use wormrota_domain::cover::call::{Call, CallState};
use wormrota_domain::cover::event::Event;
use wormrota_domain::cover::need::Verdict;
use wormrota_domain::ids::{AbsenceId, BinId, CallId, MemberId, PlaceId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// A place that was given up or that nobody ever held, and what follows for its bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GivenUp {
    /// The call.
    pub call: CallId,
    /// The turn.
    pub turn: TurnId,
    /// The place.
    pub place: PlaceId,
    /// The bin.
    pub bin: BinId,
    /// Where the search is: open, or left empty where the bin can do without.
    pub state: CallState,
    /// From then on it is too late to come.
    pub turn_at: DateTime<Utc>,
    /// Whether the bin needs the turn; none while it is too far ahead to tell.
    pub need: Option<KeptNeed>,
}

/// A call that begins.
struct Begun {
    call: CallAtHand,
    bin: BinId,
    /// Its turn was called off; it can be on again.
    is_off: bool,
}

/// Who gives up places, and why.
#[derive(Debug, Clone, Copy)]
pub(in crate::desk) struct GivingUp {
    pub away: MemberId,
    /// The absence that it is for.
    pub absence: Option<AbsenceId>,
    pub excused: bool,
    pub now: DateTime<Utc>,
}

/// Frees the places that the member holds of these turns, which are locked, as far as it is not
/// too late to come, and begins a call for each. Whoever only helped out on one has its call
/// looking for somebody again. What is news to the member is gathered.
pub(in crate::desk) async fn give_up(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    giving_up: GivingUp,
    (turns, news): (&[TurnAtHand], &mut TurnNews),
) -> Result<Vec<GivenUp>, DeskError> {
    let GivingUp { away, now, .. } = giving_up;
    let mut looked_for = Vec::new();
    let mut found = Vec::new();
    for turn in turns {
        let (_, turn_at) = turn_span(&turn.row, site.zone)?;
        let own = turn.places.iter().find(|row| row.member_id == Some(away.0));
        let Some(own) = own.filter(|_| turn_at > now) else {
            continue;
        };
        let mut place = own.clone();
        let booking = place.clear();
        let given_back = end_booking(conn, site.id, booking).await?;
        places::update(conn, &place).await?;
        news.went(away, &turn.row, given_back)?;
        if let Some(call) = freed(conn, site.id, PlaceId(place.id), away, now).await? {
            found.push(told(&call, BinId(turn.row.bin_id), None));
        } else {
            looked_for.push((&turn.row, own));
        }
    }
    found.extend(look_for_others(conn, model, site, giving_up, &looked_for).await?);
    // Empty turns add up.
    let bins: BTreeSet<BinId> = found.iter().map(|one| one.bin).collect();
    for bin in bins {
        calls::look_at_bin(conn, site.id, bin, now).await?;
    }
    found.sort_by_key(|one| (one.turn_at, one.turn));
    Ok(found)
}

/// Begins a call for each of these places, which the member held as they say here and which are
/// free by now. For those that it is too late to come to there is none.
pub(in crate::desk) async fn look_for_others(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    giving_up: GivingUp,
    held: &[(&TurnRow, &PlaceRow)],
) -> Result<Vec<GivenUp>, DeskError> {
    let now = giving_up.now;
    let days = SiteDays::load(conn, site.id, now).await?;
    let mut begun: Vec<Begun> = Vec::new();
    for (turn, place) in held {
        let (_, turn_at) = turn_span(turn, site.zone)?;
        if turn_at > now {
            begun.push(Begun {
                call: giving_up.call(place, Call::begin(turn_at, days.settled_at(turn))),
                bin: BinId(turn.bin_id),
                is_off: turn.called_off.is_some(),
            });
        }
    }
    let mut found = Vec::new();
    let needs = needs_of(conn, model, site, &begun, now).await?;
    let mut rows = Vec::with_capacity(begun.len());
    for Begun {
        mut call,
        bin,
        is_off,
    } in begun
    {
        let need = needs.get(&call.turn()).cloned();
        if is_off {
            let need = Verdict::NotNeeded;
            call.happen(&Event::LeftEmpty { need }, now)
                .map_err(refused)?;
            call.look_by_state(now);
        } else {
            call.reckoned(need.as_ref(), now)?;
        }
        found.push(told(&call, bin, need));
        call.written(now);
        rows.push(call.row);
    }
    if !rows.is_empty() {
        calls::insert(conn, &rows).await?;
    }
    Ok(found)
}

impl GivingUp {
    /// A call for a place that the member held.
    fn call(&self, held: &PlaceRow, call: Call) -> CallAtHand {
        let row = CallRow {
            away_id: Some(self.away.0),
            absence_id: self.absence.map(|absence| absence.0),
            held_since: Some(held.held_since.unwrap_or(self.now)),
            excused: self.excused,
            held_how: held.how.clone(),
            held_kept: Some(held.kept),
            ..CallAtHand::row_of(held, &call, self.now)
        };
        CallAtHand::begun(row, call)
    }
}

impl CallAtHand {
    /// Takes up what was reckoned about its turn. A turn that the bin can do without is left
    /// empty at once, so that nobody is bothered, unless somebody wants it taken.
    pub(super) fn reckoned(
        &mut self,
        need: Option<&KeptNeed>,
        now: DateTime<Utc>,
    ) -> Result<(), DeskError> {
        self.row.need = need.map(write).transpose()?;
        self.row.deadline_at = need.and_then(KeptNeed::last_moment);
        let event = match (need.map(|need| need.verdict), self.call.state) {
            (Some(need @ Verdict::NotNeeded), CallState::Open | CallState::Nobody)
                if !self.row.wanted =>
            {
                Event::LeftEmpty { need }
            }
            (Some(Verdict::Needed), CallState::LeftEmpty) => Event::NeededAgain,
            _ => {
                if let Some(far) = far_ahead(self.call.turn_at, now) {
                    self.row.look_at = Some(far);
                }
                return Ok(());
            }
        };
        self.happen(&event, now).map_err(refused)?;
        self.look_by_state(now);
        Ok(())
    }
}

/// From when on there is a forecast for a turn, if it lies too far ahead for one: nobody is
/// asked before. Whoever wants to may take the place all the same.
pub(super) fn far_ahead(turn_at: DateTime<Utc>, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let from = turn_at - TimeDelta::days(i64::try_from(DAYS_AHEAD).unwrap_or(0));
    (from > now).then_some(from)
}

/// Whether their bins need the turns of these calls.
async fn needs_of(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    begun: &[Begun],
    now: DateTime<Utc>,
) -> Result<BTreeMap<TurnId, KeptNeed>, DeskError> {
    let mut of_bins: BTreeMap<BinId, Vec<TurnId>> = BTreeMap::new();
    for Begun { call, bin, is_off } in begun {
        if !is_off && far_ahead(call.call.turn_at, now).is_none() {
            of_bins.entry(*bin).or_default().push(call.turn());
        }
    }
    let mut found = BTreeMap::new();
    for (bin, turns) in of_bins {
        if let Some(course) = BinCourse::load(conn, model, site, bin, now).await? {
            found.extend(course.given_up(&turns));
        }
    }
    Ok(found)
}

pub(super) fn told(call: &CallAtHand, bin: BinId, need: Option<KeptNeed>) -> GivenUp {
    GivenUp {
        call: call.id(),
        turn: call.turn(),
        place: PlaceId(call.row.place_id),
        bin,
        state: call.call.state,
        turn_at: call.call.turn_at,
        need,
    }
}
