//! What whoever keeps the rota can do about a call: give the place to somebody, leave it empty,
//! or look for somebody all the same.

use super::answer_call::turn_of;
use super::bin_course::{BinCourse, KeptNeed};
use super::call_at_hand::{CallAtHand, refused};
use super::turn_calls::of_settled_turn;
use crate::clock;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::held_place::Held;
use crate::desk::letters::of_covered_again;
use crate::desk::membership::{Membership, admit};
use crate::desk::place_at_hand::{
    Giving, OVERRULED, SiteDays, TurnAtHand, insist_on_wishes, lock_members, rules_of,
};
use crate::desk::trail::{self, Subject};
use crate::desk::turn_news::TurnNews;
use crate::desk::{Desk, DeskError, Errand};
use crate::store::places::How;
use crate::store::{Conn, calls, letters};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::cover::event::Event;
use wormrota_domain::cover::need::Verdict;
use wormrota_domain::ids::{BinId, CallId, MemberId, SiteId};

/// Gives the place of a call to a member.
///
/// # Errors
/// Those of [`take_place`](crate::desk::take_place::take_place).
pub async fn assign_call(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    call: CallId,
    (to, overrule): (MemberId, bool),
) -> Result<Held, DeskError> {
    desk.write(
        "assign a call's place",
        errand,
        (),
        move |conn, errand, ()| {
            async move {
                let who = admit(conn, errand, site, Deed::AssignPlaces).await?;
                let id = turn_of(conn, site, call).await?;
                let days = SiteDays::load(conn, site, errand.now).await?;
                lock_members(conn, &who, &[], &[(to, "/member_id")]).await?;
                let mut turn = TurnAtHand::lock(conn, site, id).await?;
                let call = CallAtHand::load(conn, site, call).await?;
                turn.insist_on_going(days.today)?;
                if turn.has(to) {
                    return Err(DeskError::HeldAlready);
                }
                let rules = rules_of(conn, &who, &[&turn], &[to]).await?;
                rules.insist_on_coming(&who, (to, id))?;
                let overruled = to != who.member
                    && insist_on_wishes(conn, site, &[(to, &turn.row)], overrule).await?;
                let row = turn.row.clone();
                let place = (turn.places.iter_mut())
                    .find(|row| row.id == call.row.place_id && row.holder().is_none())
                    .ok_or(DeskError::NoFreePlace)?;
                let giving = Giving {
                    to,
                    how: How::Assigned,
                    kept: None,
                    booking: None,
                };
                giving.write(conn, place, errand.now).await?;
                let mut news = TurnNews::of(&who);
                news.came(to, &row)?;
                news.owe(conn, row.id, errand.now).await?;
                let mut detail = json!({
                    "place_id": place.id, "member_id": to, "kept": place.kept, "call_id": call.id(),
                });
                if overruled {
                    detail["overruled"] = OVERRULED.into();
                }
                let subject = Subject::Turn(row.id);
                trail::leave(conn, &who, errand.now, "place_assigned", subject, detail).await?;
                Held::of(&row, place)
            }
            .boxed()
        },
    )
    .await
}

/// Leaves the place of a call empty. The other empty turns of the bin are asked about again,
/// since empty turns add up.
///
/// # Errors
/// [`DeskError::PlaceNeeded`]; [`DeskError::NoFreePlace`] when somebody comes;
/// [`DeskError::EndedAlready`].
pub async fn leave_empty(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    call: CallId,
) -> Result<(), DeskError> {
    let model = desk.model();
    desk.write(
        "leave a place empty",
        errand,
        model,
        move |conn, errand, model| {
            async move {
                let (who, turn, mut call) = at_call(conn, errand, site, call).await?;
                let now = errand.now;
                let at_hand = SiteAtHand::load(conn, site).await?;
                let bin = BinId(turn.row.bin_id);
                let course = BinCourse::load(conn, model, &at_hand, bin, now).await?;
                let need = course.and_then(|course| course.need(turn.id()));
                // Without a forecast whoever is there knows best.
                let verdict = need.as_ref().map_or(Verdict::Helpful, |need| need.verdict);
                let left = Event::LeftEmpty { need: verdict };
                call.happen(&left, now).map_err(refused)?;
                call.row.wanted = false;
                call.row.need = need.as_ref().map(crate::desk::at_hand::write).transpose()?;
                call.row.deadline_at = need.as_ref().and_then(KeptNeed::last_moment);
                call.look_by_state(now);
                let wall = clock::wall();
                let mut owed = of_settled_turn(conn, &call, now, wall).await?;
                owed.extend(of_covered_again(conn, &call, Some(who.member), now, wall).await?);
                letters::owe(conn, &owed).await?;
                told(conn, &who, errand, &call, "place_left_empty").await?;
                call.save(conn, now).await?;
                Ok(calls::look_at_bin(conn, site, bin, now).await?)
            }
            .boxed()
        },
    )
    .await
}

/// Looks for somebody though the bin could do without.
///
/// # Errors
/// [`DeskError::NoFreePlace`] when somebody comes already; [`DeskError::EndedAlready`].
pub async fn look_all_the_same(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    call: CallId,
) -> Result<(), DeskError> {
    desk.write("look for somebody", errand, (), move |conn, errand, ()| {
        async move {
            let (who, _, mut call) = at_call(conn, errand, site, call).await?;
            match call.call.state {
                CallState::LeftEmpty => {
                    call.happen(&Event::NeededAgain, errand.now)
                        .map_err(refused)?;
                }
                CallState::Open | CallState::Nobody => {}
                CallState::Covered => return Err(DeskError::NoFreePlace),
                CallState::Withdrawn | CallState::Missed => return Err(DeskError::EndedAlready),
            }
            call.row.wanted = true;
            call.look_by_state(errand.now);
            told(conn, &who, errand, &call, "somebody_looked_for").await?;
            call.save(conn, errand.now).await
        }
        .boxed()
    })
    .await
}

/// A call that goes on, behind the lock of its turn, for whoever keeps calls.
async fn at_call(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    call: CallId,
) -> Result<(Membership, TurnAtHand, CallAtHand), DeskError> {
    let who = admit(conn, errand, site, Deed::AssignPlaces).await?;
    let turn = turn_of(conn, site, call).await?;
    let turn = TurnAtHand::lock(conn, site, turn).await?;
    let call = CallAtHand::load(conn, site, call).await?;
    if call.row.closed_at.is_some() {
        return Err(DeskError::EndedAlready);
    }
    Ok((who, turn, call))
}

async fn told(
    conn: &mut Conn,
    who: &Membership,
    errand: &Errand,
    call: &CallAtHand,
    deed: &'static str,
) -> Result<(), DeskError> {
    let detail = json!({ "place_id": call.row.place_id, "call_id": call.id() });
    let subject = Subject::Turn(call.row.turn_id);
    trail::leave(conn, who, errand.now, deed, subject, detail).await
}
