//! Giving a place back: it is free for anybody again, and where the bin needs somebody, somebody
//! else is looked for.

use super::at_hand::SiteAtHand;
use super::cover::{self, GivingUp, look_for_others};
use super::holders::holder_of;
use super::membership::admit;
use super::place_at_hand::{SiteDays, TurnAtHand, end_booking, insist_on_own, lock_members};
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use super::{Desk, DeskError, Errand};
use crate::store::places::PlaceRow;
use crate::store::{Conn, calls, members, places};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, MemberId, PlaceId, SiteId, TurnId};

/// Gives a place back, and the room that was booked for it. Its holder may until the site's
/// deadline; whoever may assign places may for anybody, as long as the day has not passed. Unlike
/// whoever cannot come, its holder owes in the next rota what they gave back.
///
/// # Errors
/// [`DeskError::NotTheHolder`] when nobody holds it, or somebody else by now;
/// [`DeskError::TooLate`]; [`DeskError::TurnOver`].
pub async fn give_place_back(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    turn: TurnId,
    place: PlaceId,
) -> Result<(), DeskError> {
    let model = desk.model();
    desk.write(
        "give a place back",
        errand,
        model,
        move |conn, errand, model| {
            async move {
                let who = admit(conn, errand, site, Deed::TakePlace).await?;
                let (turn, member) = holder_of(conn, site, turn, place).await?;
                insist_on_own(&who, member)?;
                let days = SiteDays::load(conn, site, errand.now).await?;
                lock_members(conn, &who, &[member], &[]).await?;
                let mut turn = TurnAtHand::lock(conn, site, turn).await?;
                // What was called off can be on again, so its places can be given back too.
                if turn.row.on_date < days.today {
                    return Err(DeskError::TurnOver);
                }
                if !who.may(Deed::AssignPlaces) {
                    days.insist_on_time(&turn.row)?;
                }
                let row = turn.held_by(place, member)?;
                let held = row.clone();
                let booking = row.clear();
                let given_back = end_booking(conn, site, booking).await?;
                places::update(conn, row).await?;
                let helped = cover::freed(conn, site, place, member, errand.now).await?;
                if helped.is_none() {
                    let giving_up = GivingUp {
                        away: member,
                        absence: None,
                        excused: false,
                        now: errand.now,
                    };
                    let at_hand = SiteAtHand::load(conn, site).await?;
                    let held = [(&turn.row, &held)];
                    look_for_others(conn, model, &at_hand, giving_up, &held).await?;
                    // Empty turns add up.
                    calls::look_at_bin(conn, site, BinId(turn.row.bin_id), errand.now).await?;
                }
                let mut news = TurnNews::of(&who);
                news.went(member, &turn.row, given_back)?;
                news.owe(conn, turn.row.id, errand.now).await?;
                let detail = json!({ "place_id": place, "member_id": member });
                let subject = Subject::Turn(turn.row.id);
                trail::leave(conn, &who, errand.now, "place_given_back", subject, detail).await
            }
            .boxed()
        },
    )
    .await
}

/// Gives back every place that a member holds from a day on: they are leaving. The caller holds
/// the site's lock.
pub(super) async fn give_all_back(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    from: NaiveDate,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    // Nobody gives them another one from here on.
    members::lock(conn, site, &[member]).await?;
    let held = places::turns_held_from(conn, site, member, from).await?;
    for turn in TurnAtHand::lock_all(conn, site, &held).await? {
        let own = |place: &&PlaceRow| place.member_id == Some(member.0);
        for place in turn.places.iter().filter(own) {
            let mut place = place.clone();
            let booking = place.clear();
            end_booking(conn, site, booking).await?;
            places::update(conn, &place).await?;
            cover::freed(conn, site, PlaceId(place.id), member, now).await?;
        }
    }
    Ok(())
}
