//! What is not covered: places that nobody holds of the turns of the coming days, and what
//! becomes of the bins.

use super::bin_course::{BinCourse, KeptNeed, turn_span};
use super::look::ALONE_DAYS;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::membership::admit;
use crate::desk::{Desk, DeskError, Errand};
use crate::store::calls::CallRow;
use crate::store::turns::TurnRow;
use crate::store::{Conn, calls, places, turns};
use chrono::{DateTime, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::cover::recheck::Alone;
use wormrota_domain::ids::{BinId, CallId, SiteId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// The most days that are looked ahead.
pub const MOST_DAYS: u16 = 28;
/// Turns that are looked at in one go, the earliest first: each costs a forecast or two.
const MOST_TURNS: usize = 100;

/// A turn that has a free place.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncovered {
    /// The turn.
    pub turn: TurnId,
    /// The bin.
    pub bin: BinId,
    /// The local day.
    pub on_date: NaiveDate,
    /// How many places are free.
    pub free_places: usize,
    /// From then on it is too late to come.
    pub turn_at: DateTime<Utc>,
    /// Whether the bin needs one more person; none where there is no forecast.
    pub need: Option<KeptNeed>,
    /// How the bin is some days after the turn if nobody comes any more.
    pub alone: Vec<Alone>,
    /// Where somebody is looked for, or it was decided to leave a place empty.
    pub calls: Vec<(CallId, CallState)>,
}

/// Turns of so many days from today on that have a free place for members, the earliest first.
pub async fn list_uncovered(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    days: u16,
) -> Result<Vec<Uncovered>, DeskError> {
    let model = desk.model();
    let days = days.clamp(1, MOST_DAYS);
    desk.store()
        .read("list what is not covered", errand, move |conn, errand| {
            let model = Arc::clone(&model);
            async move {
                admit(conn, errand, site, Deed::AssignPlaces).await?;
                let at_hand = SiteAtHand::load(conn, site).await?;
                uncovered(conn, &model, &at_hand, errand.now, days).await
            }
            .boxed()
        })
        .await
}

async fn uncovered(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    now: DateTime<Utc>,
    days: u16,
) -> Result<Vec<Uncovered>, DeskError> {
    let today = site.day(now);
    let last = today.checked_add_days(Days::new(u64::from(days) - 1));
    let rows = turns::of_days(conn, site.id, None, today, last.unwrap_or(today)).await?;
    let offered: Vec<TurnRow> = rows
        .into_iter()
        .filter(|row| row.called_off.is_none() && row.class_id.is_none() && !row.off_pattern)
        .collect();
    let ids: Vec<TurnId> = offered.iter().map(|row| TurnId(row.id)).collect();
    let mut free: BTreeMap<Uuid, usize> = BTreeMap::new();
    for place in places::of_turns(conn, site.id, &ids).await? {
        if place.holder().is_none() {
            *free.entry(place.turn_id).or_default() += 1;
        }
    }
    let calls = calls::of_turns(conn, site.id, &ids).await?;
    let mut courses: BTreeMap<Uuid, Option<BinCourse>> = BTreeMap::new();
    let mut found = Vec::new();
    for row in offered {
        let Some(free_places) = free.get(&row.id).copied() else {
            continue;
        };
        let (_, turn_at) = turn_span(&row, site.zone)?;
        if turn_at <= now {
            continue;
        }
        if found.len() == MOST_TURNS {
            break;
        }
        let bin = BinId(row.bin_id);
        let course = match courses.entry(bin.0) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(new) => new.insert(BinCourse::load(conn, model, site, bin, now).await?),
        };
        let course = course.as_ref();
        let turn = TurnId(row.id);
        let need = course.and_then(|course| course.need(turn));
        let must = need.as_ref().and_then(KeptNeed::last_moment).is_some();
        let alone = course.filter(|_| must);
        found.push(Uncovered {
            turn,
            bin,
            on_date: row.on_date,
            free_places,
            turn_at,
            need,
            alone: alone.map_or_else(Vec::new, |course| course.left_alone(turn, &ALONE_DAYS)),
            calls: (calls.iter().filter(|call| call.turn_id == turn.0))
                .filter_map(state_of)
                .collect(),
        });
    }
    found.sort_by_key(|one| (one.turn_at, one.turn));
    Ok(found)
}

fn state_of(row: &CallRow) -> Option<(CallId, CallState)> {
    let state = CallState::from_code(&row.state)?;
    let free = state.is_open() || state == CallState::LeftEmpty;
    free.then_some((CallId(row.id), state))
}
