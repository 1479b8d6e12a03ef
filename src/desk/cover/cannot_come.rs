//! Whoever holds a place says that they cannot come to this one turn; on one that nobody holds
//! whoever looks after the site has somebody looked for.

use super::give_up::{GivenUp, GivingUp, give_up};
use super::unheld::look_for_one;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::holders::holder_of;
use crate::desk::membership::{Membership, admit};
use crate::desk::place_at_hand::{SiteDays, TurnAtHand, insist_on_own, lock_members};
use crate::desk::trail::{self, Subject};
use crate::desk::turn_news::TurnNews;
use crate::desk::{Desk, DeskError, Errand};
use crate::store::Conn;
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{PlaceId, SiteId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// Frees a place of somebody who cannot come, whom nobody asks why, and looks for somebody else
/// if the bin needs it. Its holder says so, or whoever may assign places; they have somebody
/// looked for on a free place too.
///
/// # Errors
/// [`DeskError::NotTheHolder`] when nobody holds it, and the caller may not assign places;
/// [`DeskError::TurnOver`] once it is too late to come; a conflict where a class takes the turn.
pub async fn cannot_come(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    turn: TurnId,
    place: PlaceId,
) -> Result<GivenUp, DeskError> {
    let model = desk.model();
    let name = "say that one cannot come";
    desk.write(name, errand, model, move |conn, errand, model| {
        async move {
            let who = admit(conn, errand, site, Deed::TakePlace).await?;
            let on = (turn, place);
            match give_up_one(conn, model, &who, on, errand.now).await {
                Err(DeskError::NotTheHolder) if who.may(Deed::AssignPlaces) => {
                    look_for_one(conn, model, &who, on, errand.now).await
                }
                done => done,
            }
        }
        .boxed()
    })
    .await
}

/// The same for somebody who was let in.
pub(in crate::desk) async fn give_up_one(
    conn: &mut Conn,
    model: &ModelSettings,
    who: &Membership,
    (turn, place): (TurnId, PlaceId),
    now: DateTime<Utc>,
) -> Result<GivenUp, DeskError> {
    let site = who.site;
    let (turn, holder) = holder_of(conn, site, turn, place).await?;
    insist_on_own(who, holder)?;
    let days = SiteDays::load(conn, site, now).await?;
    lock_members(conn, who, &[holder], &[]).await?;
    let mut turn = TurnAtHand::lock(conn, site, turn).await?;
    turn.held_by(place, holder)?;
    turn.insist_on_going(days.today)?;
    let giving_up = GivingUp {
        away: holder,
        absence: None,
        excused: true,
        now,
    };
    let at_hand = SiteAtHand::load(conn, site).await?;
    let mut news = TurnNews::of(who);
    let giving = (&[turn][..], &mut news);
    let found = give_up(conn, model, &at_hand, giving_up, giving).await?;
    let given_up = found.into_iter().next().ok_or(DeskError::TurnOver)?;
    news.owe(conn, given_up.turn.0, now).await?;
    let detail = json!({ "place_id": place, "member_id": holder });
    let subject = Subject::Turn(given_up.turn.0);
    trail::leave(conn, who, now, "place_given_up", subject, detail).await?;
    Ok(given_up)
}
