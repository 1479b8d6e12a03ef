//! Changing a place that is held: another amount, kept or not, or another holder.

use super::book::usual_mix;
use super::bring::{Bringing, others_amount};
use super::change::Change;
use super::held_place::Placed;
use super::holders::holder_of;
use super::membership::{Membership, admit};
use super::pass_on::PassingOn;
use super::place_at_hand::{
    SiteDays, TurnAtHand, end_booking, insist_on_own, insist_on_wishes, lock_members, rules_of,
};
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use super::{Desk, DeskError, Errand};
use crate::store::Conn;
use crate::store::places;
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BookingId, MemberId, PlaceId, SiteId, TurnId};
use wormrota_domain::units::Grams;

/// What is to change about a place that somebody holds.
#[derive(Debug, Clone, Copy, Default)]
pub struct PlaceChange {
    /// Another amount, or none any more; only its holder says so.
    pub amount: Change<Grams>,
    /// Whether the planner leaves the place alone.
    pub kept: Option<bool>,
    /// Who is to hold it.
    pub to: Option<MemberId>,
    /// Who holds it as far as the caller knows.
    pub holder: Option<MemberId>,
    /// Whether a member gets it on a weekday that they would rather not have.
    pub overrule: bool,
}

/// Changes a place that is held. Its holder may say another amount; the rest needs the right to
/// assign places.
///
/// # Errors
/// [`DeskError::NotTheHolder`] when nobody holds it, or not `holder`; and those of
/// [`take_place`](super::take_place::take_place).
pub async fn change_place(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    turn: TurnId,
    place: PlaceId,
    change: PlaceChange,
) -> Result<Placed, DeskError> {
    let offer = match change.amount {
        Change::To(amount) => Some(usual_mix(amount)?),
        Change::Keep | Change::Clear => None,
    };
    let model = desk.model();
    desk.write(
        "change a place",
        errand,
        offer,
        move |conn, errand, offer| {
            let model = model.clone();
            async move {
                let who = admit(conn, errand, site, Deed::TakePlace).await?;
                let (turn, holder) = holder_of(conn, site, turn, place).await?;
                insist_on_right(&who, holder, &change)?;
                let days = SiteDays::load(conn, site, errand.now).await?;
                let getting = change.to.map(|to| (to, "/member_id"));
                lock_members(conn, &who, &[holder], getting.as_slice()).await?;
                let mut turn = TurnAtHand::lock(conn, site, turn).await?;
                turn.held_by(place, holder)?;
                turn.insist_on_going(days.today)?;
                if let Some(to) = change.to {
                    return move_to(conn, &who, errand, turn, (place, holder), to, &change).await;
                }
                let row = turn.row.clone();
                let place = turn.held_by(place, holder)?;
                let mut booked = None;
                match (change.amount, offer) {
                    (Change::To(amount), Some(offer)) => {
                        let bringing = Bringing {
                            who: &who,
                            turn: &row,
                            amount,
                            offer,
                            instead_of: place.booking_id,
                        };
                        let found = bringing.book(conn, &model, errand.now).await?;
                        let Some(booking) = found.booking else {
                            return Ok(Placed::Refused(Box::new(found)));
                        };
                        place.booking_id = Some(booking.0);
                        booked = Some(found);
                    }
                    (Change::Clear, _) => {
                        let before = place.booking_id.take().map(BookingId);
                        end_booking(conn, site, before).await?;
                    }
                    _ => {}
                }
                let other = change.kept.filter(|kept| *kept != place.kept);
                if let Some(kept) = other {
                    place.kept = kept;
                    let detail = json!({ "place_id": place.id, "kept": kept });
                    let subject = Subject::Turn(row.id);
                    trail::leave(conn, &who, errand.now, "place_kept", subject, detail).await?;
                }
                places::update(conn, place).await?;
                Placed::held(&row, place, booked)
            }
            .boxed()
        },
    )
    .await
}

/// Who may change what: the amount is its holder's to say, the rest that of whoever assigns
/// places.
fn insist_on_right(
    who: &Membership,
    holder: MemberId,
    change: &PlaceChange,
) -> Result<(), DeskError> {
    insist_on_own(who, holder)?;
    if (change.kept.is_some() || change.to.is_some()) && !who.may(Deed::AssignPlaces) {
        return Err(DeskError::Forbidden(Deed::AssignPlaces));
    }
    if change.amount.is_one() && (change.to.is_some() || holder != who.member) {
        return Err(others_amount());
    }
    if change.holder.is_some_and(|known| known != holder) {
        return Err(DeskError::NotTheHolder);
    }
    Ok(())
}

/// The place goes from its holder to somebody else, and the room that was booked with it.
async fn move_to(
    conn: &mut Conn,
    who: &Membership,
    errand: &Errand,
    mut turn: TurnAtHand,
    (place, from): (PlaceId, MemberId),
    to: MemberId,
    change: &PlaceChange,
) -> Result<Placed, DeskError> {
    turn.insist_on_members("/member_id")?;
    if turn.has(to) {
        return Err(DeskError::HeldAlready);
    }
    let rules = rules_of(conn, who, &[&turn], &[to]).await?;
    rules.insist_on_following(who, (from, turn.id()), to)?;
    let overruled = to != who.member
        && insist_on_wishes(conn, who.site, &[(to, &turn.row)], change.overrule).await?;
    let passing = PassingOn {
        place,
        from,
        to,
        kept: change.kept.unwrap_or(false),
        overruled,
        deed: "place_moved",
    };
    let mut news = TurnNews::of(who);
    let held = passing.write(conn, who, (&mut turn, &mut news), errand.now);
    let held = held.await?;
    news.owe(conn, turn.row.id, errand.now).await?;
    Ok(Placed::Held(Box::new(held), None))
}
