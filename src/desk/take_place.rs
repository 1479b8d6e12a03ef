//! Taking a free place of a turn, or giving it to a member.

use super::book::usual_mix;
use super::bring::{Bringing, others_amount};
use super::held_place::Placed;
use super::membership::admit;
use super::place_at_hand::{
    Giving, OVERRULED, SiteDays, TurnAtHand, insist_on_own, insist_on_wishes, lock_members,
    rules_of,
};
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use super::{Desk, DeskError, Errand};
use crate::store::places::How;
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::units::Grams;

/// Who is to get a free place of a turn, and how.
#[derive(Debug, Clone, Copy, Default)]
pub struct Taking {
    /// Who; the caller without.
    pub member: Option<MemberId>,
    /// What the caller means to bring.
    pub amount: Option<Grams>,
    /// Whether the planner leaves the place alone: it does where somebody took it themselves,
    /// unless they say otherwise.
    pub kept: Option<bool>,
    /// Whether a member gets it on a weekday that they would rather not have.
    pub overrule: bool,
}

/// Takes a free place of a turn, or gives it to another member, which needs the right to assign
/// places. What rules of the rota forbid does not happen; a weekday that somebody would rather
/// not have never stops them from taking a place themselves.
///
/// # Errors
/// [`DeskError::TurnOver`], [`DeskError::HeldAlready`], [`DeskError::NoFreePlace`],
/// [`DeskError::RulesBroken`]; [`DeskError::Conflicting`] for a turn of a class, an amount where
/// none can be booked, and a wish that is not overruled; those of
/// [`book`](super::book::book).
pub async fn take_place(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    turn: TurnId,
    taking: Taking,
) -> Result<Placed, DeskError> {
    let offer = taking.amount.map(usual_mix).transpose()?;
    let model = desk.model();
    desk.write("take a place", errand, offer, move |conn, errand, offer| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::TakePlace).await?;
            let member = taking.member.unwrap_or(who.member);
            insist_on_own(&who, member)?;
            let own = member == who.member;
            if !own && taking.amount.is_some() {
                return Err(others_amount());
            }
            let days = SiteDays::load(conn, site, errand.now).await?;
            lock_members(conn, &who, &[], &[(member, "/member_id")]).await?;
            let mut turn = TurnAtHand::lock(conn, site, turn).await?;
            turn.insist_on_going(days.today)?;
            turn.insist_on_members("")?;
            if own {
                turn.insist_on_offer(&days)?;
            }
            turn.free_for(member)?;
            let rules = rules_of(conn, &who, &[&turn], &[member]).await?;
            rules.insist_on_coming(&who, (member, turn.id()))?;
            let overruled = !own
                && insist_on_wishes(conn, site, &[(member, &turn.row)], taking.overrule).await?;
            let booked = match (offer, taking.amount) {
                (Some(offer), Some(amount)) => {
                    let bringing = Bringing {
                        who: &who,
                        turn: &turn.row,
                        amount,
                        offer,
                        instead_of: None,
                    };
                    Some(bringing.book(conn, &model, errand.now).await?)
                }
                _ => None,
            };
            if let Some(booked) = booked.as_ref().filter(|booked| booked.booking.is_none()) {
                return Ok(Placed::Refused(Box::new(booked.clone())));
            }
            let row = turn.row.clone();
            let place = turn.free_for(member)?;
            let giving = Giving {
                to: member,
                how: if own { How::Taken } else { How::Assigned },
                kept: taking.kept,
                booking: booked.as_ref().and_then(|booked| booked.booking),
            };
            giving.write(conn, place, errand.now).await?;
            let mut news = TurnNews::of(&who);
            news.came(member, &row)?;
            news.owe(conn, row.id, errand.now).await?;
            let mut detail =
                json!({ "place_id": place.id, "member_id": member, "kept": place.kept });
            if overruled {
                detail["overruled"] = OVERRULED.into();
            }
            let deed = if own { "place_taken" } else { "place_assigned" };
            let subject = Subject::Turn(row.id);
            trail::leave(conn, &who, errand.now, deed, subject, detail).await?;
            Placed::held(&row, place, booked)
        }
        .boxed()
    })
    .await
}
