//! Free places that nobody gave up, as in a rota that left them empty: whoever looks after the site
//! can have somebody looked for, and where a bin needs somebody the service does so by itself. See
//! [`wormrota_domain::cover::unheld`].

use super::bin_course::{BinCourse, KeptNeed, turn_span};
use super::call_at_hand::{CallAtHand, refused};
use super::give_up::{GivenUp, far_ahead, told};
use crate::desk::at_hand::SiteAtHand;
use crate::desk::hourly::looked_this_hour;
use crate::desk::membership::Membership;
use crate::desk::place_at_hand::{SiteDays, TurnAtHand};
use crate::desk::trail::{self, Subject};
use crate::desk::{Desk, DeskError, Noun};
use crate::store::calls::CallRow;
use crate::store::{Conn, bins, calls, jobs, sites as site_rows};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeSet;
use std::sync::Arc;
use wormrota_domain::cover::call::{Call, CallState};
use wormrota_domain::cover::event::Event;
use wormrota_domain::cover::manner::Manner;
use wormrota_domain::ids::{BinId, PlaceId, SiteId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// The kind of the rows that say in which hour somebody looked.
const KIND: &str = "unheld_places";

/// Begins a call for each free place that somebody must be looked for by now, once an hour. Each
/// bin has a transaction of its own: one bin's trouble stops no other.
pub(super) async fn look_for_unheld(
    desk: &Desk,
    site: SiteId,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Result<(), DeskError> {
    let bins = desk
        .store()
        .transact("list bins for their free places", (), move |conn, ()| {
            async move {
                if jobs::owe(conn, &looked_this_hour(KIND, site, now, wall)).await? {
                    return Ok::<_, DeskError>(bins::stocked(conn, site).await?);
                }
                Ok(Vec::new())
            }
            .boxed()
        })
        .await?;
    for bin in bins {
        if let Err(error) = look_at_bin(desk, site, bin, now).await {
            tracing::warn!(%site, %bin, code = error.code(), "free places are left for later");
        }
    }
    Ok(())
}

async fn look_at_bin(
    desk: &Desk,
    site: SiteId,
    bin: BinId,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let model = desk.model();
    desk.store()
        .transact("look for free places", model, move |conn, model| {
            let model = Arc::clone(model);
            async move {
                site_rows::lock(conn, site).await?;
                let at_hand = SiteAtHand::load(conn, site).await?;
                let course = BinCourse::load(conn, &model, &at_hand, bin, now).await?;
                match course {
                    Some(course) => begin_due(conn, &at_hand, &course, now).await,
                    None => Ok(()),
                }
            }
            .boxed()
        })
        .await
}

async fn begin_due(
    conn: &mut Conn,
    site: &SiteAtHand,
    course: &BinCourse,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let known = calls::of_turns(conn, site.id, course.turns()).await?;
    let in_state = |is: fn(CallState) -> bool| -> BTreeSet<TurnId> {
        let state = |row: &CallRow| CallState::from_code(&row.state).is_some_and(is);
        let rows = known.iter().filter(|row| state(row));
        rows.map(|row| TurnId(row.turn_id)).collect()
    };
    let looked_for = in_state(CallState::is_open);
    let decided = in_state(|state| state == CallState::LeftEmpty);
    let found = course.unheld(&Manner::default(), (&looked_for, &decided));
    let ids: Vec<TurnId> = found.iter().map(|(turn, _)| *turn).collect();
    if ids.is_empty() {
        return Ok(());
    }
    let days = SiteDays::load(conn, site.id, now).await?;
    let mut rows = Vec::new();
    for turn in TurnAtHand::lock_all(conn, site.id, &ids).await? {
        let (_, turn_at) = turn_span(&turn.row, site.zone)?;
        // Behind the lock: somebody may have taken it meanwhile.
        let free = (turn.places.iter()).find(|place| place.holder().is_none());
        let need = found.iter().find(|(id, _)| *id == turn.id());
        let (Some(place), Some((_, need))) = (free.filter(|_| turn_at > now), need) else {
            continue;
        };
        let call = Call::begin(turn_at, days.settled_at(&turn.row));
        let row = CallAtHand::row_of(place, &call, now);
        let mut call = CallAtHand::begun(row, call);
        call.reckoned(Some(need), now)?;
        rows.push(call.row);
    }
    Ok(calls::insert(conn, &rows).await?)
}

/// Has somebody looked for on a free place, whether the bin needs it or not. Where somebody is
/// looked for already, or the place was to stay empty, that call goes on.
///
/// # Errors
/// [`DeskError::NotTheHolder`] when somebody holds it by now; [`DeskError::TurnOver`]; a conflict
/// where a class takes the turn.
pub(super) async fn look_for_one(
    conn: &mut Conn,
    model: &ModelSettings,
    who: &Membership,
    (turn, place): (TurnId, PlaceId),
    now: DateTime<Utc>,
) -> Result<GivenUp, DeskError> {
    let site = who.site;
    let days = SiteDays::load(conn, site, now).await?;
    let turn = TurnAtHand::lock(conn, site, turn).await?;
    turn.insist_on_members("")?;
    turn.insist_on_going(days.today)?;
    turn.insist_on_offer(&days)?;
    let free = turn.places.iter().find(|row| row.id == place.0);
    let free = free.ok_or(DeskError::NotFound(Noun::Place))?;
    if free.holder().is_some() {
        return Err(DeskError::NotTheHolder);
    }
    let at_hand = SiteAtHand::load(conn, site).await?;
    let (_, turn_at) = turn_span(&turn.row, at_hand.zone)?;
    if turn_at <= now {
        return Err(DeskError::TurnOver);
    }
    let bin = BinId(turn.row.bin_id);
    let need = need_of(conn, model, &at_hand, (bin, turn.id()), turn_at, now).await?;
    let known = CallAtHand::of_places(conn, site, &[place]).await?;
    let known = known.into_iter().next();
    let begins = known.is_none();
    let mut call = known.unwrap_or_else(|| {
        let call = Call::begin(turn_at, days.settled_at(&turn.row));
        CallAtHand::begun(CallAtHand::row_of(free, &call, now), call)
    });
    call.row.wanted = true;
    if call.call.state == CallState::LeftEmpty {
        call.happen(&Event::NeededAgain, now).map_err(refused)?;
    }
    call.look_by_state(now);
    call.reckoned(need.as_ref(), now)?;
    let detail = json!({ "place_id": place, "call_id": call.id() });
    let subject = Subject::Turn(turn.row.id);
    trail::leave(conn, who, now, "somebody_looked_for", subject, detail).await?;
    let given_up = told(&call, bin, need);
    if begins {
        call.written(now);
        calls::insert(conn, &[call.row]).await?;
    } else {
        call.save(conn, now).await?;
    }
    Ok(given_up)
}

async fn need_of(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    (bin, turn): (BinId, TurnId),
    turn_at: DateTime<Utc>,
    now: DateTime<Utc>,
) -> Result<Option<KeptNeed>, DeskError> {
    if far_ahead(turn_at, now).is_some() {
        return Ok(None);
    }
    let course = BinCourse::load(conn, model, site, bin, now).await?;
    Ok(course.and_then(|course| course.need(turn)))
}
