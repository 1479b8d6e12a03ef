//! Saying yes or no to a call, and giving a place back that was taken in somebody's stead.

use super::call_at_hand::{CallAtHand, refused};
use super::hand_over::freed;
use super::see_calls::is_shown;
use super::turn_calls::{answered_call, beside};
use crate::clock;
use crate::desk::held_place::Held;
use crate::desk::letters::of_cover_taken;
use crate::desk::membership::{Membership, admit};
use crate::desk::place_at_hand::{
    Giving, SiteDays, TurnAtHand, end_booking, lock_members, rules_of,
};
use crate::desk::trail::{self, Subject};
use crate::desk::turn_news::TurnNews;
use crate::desk::{Desk, DeskError, Errand, Noun};
use crate::store::places::How;
use crate::store::{Conn, calls, letters, places};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::cover::event::{CallRefusal, Event};
use wormrota_domain::ids::{CallId, PlaceId, SiteId, TurnId};

/// Says yes, and then the place is the caller's, or no, which is remembered: nobody is asked
/// twice. Saying the same again changes nothing.
///
/// # Errors
/// [`DeskError::NoFreePlace`] when somebody else was quicker; [`DeskError::EndedAlready`];
/// [`DeskError::RulesBroken`]; [`DeskError::TurnOver`]; a no of somebody who was not asked is
/// [`DeskError::NotFound`].
pub async fn answer_call(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    call: CallId,
    yes: bool,
) -> Result<Option<Held>, DeskError> {
    desk.write("answer a call", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit(conn, errand, site, Deed::TakePlace).await?;
            if yes {
                let said = say_yes(conn, &who, call, errand.now).await;
                return match said {
                    Err(refusal) if is_about_call(&refusal) => {
                        Err(as_seen(conn, &who, call, refusal).await?)
                    }
                    said => said.map(Some),
                };
            }
            say_no(conn, &who, call, errand.now).await?;
            Ok(None)
        }
        .boxed()
    })
    .await
}

/// Whether a refusal says something about a call or its turn.
const fn is_about_call(refusal: &DeskError) -> bool {
    matches!(
        refusal,
        DeskError::NoFreePlace
            | DeskError::EndedAlready
            | DeskError::HeldAlready
            | DeskError::RulesBroken(_)
            | DeskError::TurnOver
    )
}

/// What somebody hears whose yes was refused: for whoever is not in the call there is none.
async fn as_seen(
    conn: &mut Conn,
    who: &Membership,
    call: CallId,
    refusal: DeskError,
) -> Result<DeskError, DeskError> {
    let call = CallAtHand::load(conn, who.site, call).await?;
    Ok(if is_shown(&call, who) {
        refusal
    } else {
        DeskError::NotFound(Noun::Call)
    })
}

/// Somebody comes. Nothing is written where they cannot.
pub(in crate::desk) async fn say_yes(
    conn: &mut Conn,
    who: &Membership,
    call: CallId,
    now: DateTime<Utc>,
) -> Result<Held, DeskError> {
    let site = who.site;
    let seen = calls::by_id(conn, site, call).await?;
    let seen = seen.ok_or(DeskError::NotFound(Noun::Call))?;
    let others = |helper| helper != who.member.0;
    let id = TurnId(seen.turn_id);
    if seen.closed_at.is_none() && now < seen.turn_at && seen.helper_id.is_some_and(others) {
        // Whoever comes after the first of a crowd need not wait for the crowd's locks, unless
        // another place of the turn is free.
        let free = |row: &calls::CallRow| row.helper_id.is_none_or(|helper| !others(helper));
        if !calls::of_turns(conn, site, &[id]).await?.iter().any(free) {
            return Err(DeskError::NoFreePlace);
        }
    }
    let days = SiteDays::load(conn, site, now).await?;
    lock_members(conn, who, &[], &[(who.member, "")]).await?;
    let mut turn = TurnAtHand::lock(conn, site, id).await?;
    let call = CallAtHand::load(conn, site, call).await?;
    let call = answered_call(conn, call, who.member).await?;
    let row = turn.row.clone();
    let place = |row: &&mut places::PlaceRow| row.id == call.row.place_id;
    if call.call.helper == Some(who.member) {
        let own = turn.places.iter_mut().find(place);
        return Held::of(&row, own.ok_or(DeskError::NotTheHolder)?);
    }
    // Whether somebody was quicker is told before what the rules say.
    let yes = Event::Yes {
        by: who.member,
        may_hold: true,
    };
    match call.call.after(&yes, now) {
        // Left empty, it can be taken all the same.
        Err(CallRefusal::Over) if call.row.closed_at.is_none() && now < call.call.turn_at => {}
        Err(refusal) => return Err(refused(refusal)),
        Ok(_) => {}
    }
    turn.insist_on_going(days.today)?;
    turn.insist_on_offer(&days)?;
    if turn.has(who.member) {
        return Err(DeskError::HeldAlready);
    }
    let rules = rules_of(conn, who, &[&turn], &[who.member]).await?;
    rules.insist_on_coming(who, (who.member, id))?;
    let free = turn.places.iter_mut().find(place);
    let place = free
        .filter(|row| row.holder().is_none())
        .ok_or(DeskError::NoFreePlace)?;
    let giving = Giving {
        to: who.member,
        how: How::Taken,
        kept: None,
        booking: None,
    };
    giving.write(conn, place, now).await?;
    letters::owe(
        conn,
        &[of_cover_taken(&call, who.member, now, clock::wall())],
    )
    .await?;
    let detail = json!({
        "place_id": place.id, "member_id": who.member, "kept": place.kept, "call_id": call.id(),
    });
    let subject = Subject::Turn(row.id);
    trail::leave(conn, who, now, "place_taken", subject, detail).await?;
    Held::of(&row, place)
}

/// Somebody does not.
pub(in crate::desk) async fn say_no(
    conn: &mut Conn,
    who: &Membership,
    call: CallId,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let turn = turn_of(conn, who.site, call).await?;
    TurnAtHand::lock(conn, who.site, turn).await?;
    let mut call = CallAtHand::load(conn, who.site, call).await?;
    call.happen(&Event::No { by: who.member }, now)
        .map_err(refused)?;
    // The next need not wait for the rest of the time, in whichever call of the turn.
    let others = beside(conn, &call).await?;
    for mut other in others {
        if other.call.state.is_open() {
            other.look_by_state(now);
            other.save(conn, now).await?;
        }
    }
    if call.call.state.is_open() {
        call.look_by_state(now);
    }
    call.save(conn, now).await
}

/// The helper gives the place back, while there is time to find somebody else.
pub(in crate::desk) async fn give_back(
    conn: &mut Conn,
    who: &Membership,
    call: CallId,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let site = who.site;
    let turn = turn_of(conn, site, call).await?;
    let days = SiteDays::load(conn, site, now).await?;
    lock_members(conn, who, &[who.member], &[]).await?;
    let mut turn = TurnAtHand::lock(conn, site, turn).await?;
    let call = CallAtHand::load(conn, site, call).await?;
    if call.call.helper != Some(who.member) {
        return Err(DeskError::NotTheHolder);
    }
    match call.call.after(&Event::GivenBack, now) {
        Ok(_) => {}
        Err(CallRefusal::TooLate) => {
            return Err(DeskError::TooLate {
                // The moment itself is none of them.
                last_day: days.day(call.call.settled_at - TimeDelta::microseconds(1)),
            });
        }
        Err(refusal) => return Err(refused(refusal)),
    }
    let id = turn.id();
    let row = turn.row.clone();
    let place = turn.held_by(PlaceId(call.row.place_id), who.member)?;
    let booking = place.clear();
    let given_back = end_booking(conn, site, booking).await?;
    places::update(conn, place).await?;
    let place = PlaceId(place.id);
    freed(conn, site, place, who.member, now).await?;
    let mut news = TurnNews::of(who);
    news.went(who.member, &row, given_back)?;
    news.owe(conn, id.0, now).await?;
    let detail = json!({ "place_id": place, "member_id": who.member });
    let subject = Subject::Turn(id.0);
    trail::leave(conn, who, now, "place_given_back", subject, detail).await
}

/// The turn of a call as it is before any lock: it never changes.
pub(super) async fn turn_of(
    conn: &mut Conn,
    site: SiteId,
    call: CallId,
) -> Result<TurnId, DeskError> {
    let row = calls::by_id(conn, site, call).await?;
    row.map(|row| TurnId(row.turn_id))
        .ok_or(DeskError::NotFound(Noun::Call))
}
