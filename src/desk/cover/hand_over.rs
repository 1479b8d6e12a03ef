//! What a call hears of its place: every giving of a place and every giving back passes here,
//! whoever does it and by which way.

use super::call_at_hand::{CallAtHand, refused};
use super::turn_calls::{of_settled_turn, tell_beside};
use crate::clock;
use crate::desk::DeskError;
use crate::desk::letters::{of_cover_found, of_cover_lost, of_covered_again};
use crate::store::places::{self, How};
use crate::store::{Conn, calls, letters, turns};
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::cover::event::Event;
use wormrota_domain::ids::{BinId, MemberId, PlaceId, SiteId, TurnId};

/// A place was given to a member, who holds it now: the call for it, if there is one, has found
/// somebody.
pub(in crate::desk) async fn given(
    conn: &mut Conn,
    (site, place): (SiteId, PlaceId),
    (to, how): (MemberId, How),
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let calls = CallAtHand::of_places(conn, site, &[place]).await?;
    if calls.is_empty() {
        look_at_others(conn, site, place, now).await?;
    }
    for call in calls {
        // Once it is too late to come, a call only waits for its end.
        if now < call.call.turn_at {
            covered(conn, call, (to, how), now).await?;
        }
    }
    Ok(())
}

/// Whoever comes to a turn that no call is about makes others of its bin matter less.
async fn look_at_others(
    conn: &mut Conn,
    site: SiteId,
    place: PlaceId,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let place = places::by_id(conn, site, place).await?;
    let turn = match place {
        Some(place) => turns::by_id(conn, site, TurnId(place.turn_id)).await?,
        None => None,
    };
    if let Some(turn) = turn {
        calls::look_at_bin(conn, site, BinId(turn.bin_id), now).await?;
    }
    Ok(())
}

/// A rota gave places to these members, or to nobody. A place that it gives somebody is theirs
/// like any other: nobody stands in for anybody there any more.
pub(in crate::desk) async fn put_up(
    conn: &mut Conn,
    site: SiteId,
    given: &[(PlaceId, Option<MemberId>)],
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let to: BTreeMap<PlaceId, Option<MemberId>> = given.iter().copied().collect();
    let places: Vec<PlaceId> = to.keys().copied().collect();
    let calls = CallAtHand::of_places(conn, site, &places).await?;
    for id in calls.iter().map(CallAtHand::id) {
        // As it is by now: what became of another call of its turn was told to it too.
        let mut call = CallAtHand::load(conn, site, id).await?;
        if now >= call.call.turn_at {
            continue;
        }
        match to.get(&PlaceId(call.row.place_id)).copied().flatten() {
            Some(to) => {
                call.row.closed_at = Some(now);
                covered(conn, call, (to, How::Rota), now).await?;
            }
            None => back(conn, call, now).await?,
        }
    }
    Ok(())
}

/// A member gave a place back, which is free now: whoever they stood in for needs somebody else.
/// Gives the call, if there is one.
pub(in crate::desk) async fn freed(
    conn: &mut Conn,
    site: SiteId,
    place: PlaceId,
    by: MemberId,
    now: DateTime<Utc>,
) -> Result<Option<CallAtHand>, DeskError> {
    let calls = CallAtHand::of_places(conn, site, &[place]).await?;
    let own = |call: &CallAtHand| call.call.helper == Some(by) && now < call.call.turn_at;
    let Some(call) = calls.into_iter().find(own) else {
        return Ok(None);
    };
    back(conn, call.clone(), now).await?;
    Ok(Some(CallAtHand::load(conn, site, call.id()).await?))
}

/// The helper is none any more.
async fn back(conn: &mut Conn, mut call: CallAtHand, now: DateTime<Utc>) -> Result<(), DeskError> {
    if call.call.state != CallState::Covered {
        return Ok(());
    }
    let by = call.call.helper;
    let lost = call.away().zip(by).filter(|(away, by)| away != by);
    let lost = lost.map(|whose| of_cover_lost(&call, whose, now, clock::wall()));
    letters::owe(conn, lost.as_slice()).await?;
    call.happen(&Event::HelperAway, now).map_err(refused)?;
    call.look_by_state(now);
    call.clone().save(conn, now).await?;
    let back = by.map(|by| Event::GivenBackElsewhere { by });
    tell_beside(conn, &call, back.as_ref(), now).await
}

/// Somebody comes.
async fn covered(
    conn: &mut Conn,
    mut call: CallAtHand,
    (to, how): (MemberId, How),
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let may_hold = true;
    let event = match how {
        _ if Some(to) == call.away() => Event::CameBack { may_hold },
        How::Taken => Event::Yes { by: to, may_hold },
        _ => Event::Assigned { to, may_hold },
    };
    let was_open = call.call.state.is_open();
    match call.call.state {
        CallState::Covered if call.call.helper == Some(to) => {
            return call.save(conn, now).await;
        }
        CallState::Covered => {
            call.happen(&Event::HelperAway, now).map_err(refused)?;
        }
        CallState::LeftEmpty if Some(to) != call.away() => {
            call.happen(&Event::NeededAgain, now).map_err(refused)?;
        }
        _ => {}
    }
    call.happen(&event, now).map_err(refused)?;
    call.look_by_state(now);
    let wall = clock::wall();
    let mut owed = of_settled_turn(conn, &call, now, wall).await?;
    if Some(to) != call.away() {
        owed.extend(of_cover_found(&call, to, now, wall));
    }
    if was_open {
        owed.extend(of_covered_again(conn, &call, Some(to), now, wall).await?);
    }
    letters::owe(conn, &owed).await?;
    call.clone().save(conn, now).await?;
    let comes = Event::ComesElsewhere {
        by: to,
        assigned: matches!(event, Event::Assigned { .. }),
    };
    tell_beside(conn, &call, Some(&comes), now).await
}
