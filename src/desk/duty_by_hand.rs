//! Who of a class has which place, said by hand.

use super::classes::kept;
use super::duty_at_hand::DutyAtHand;
use super::membership::admit;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::store::classes::ClassRow;
use crate::store::places::{self, Holder, How, PlaceRow};
use crate::store::{Conn, turns};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId, TurnId};

/// Gives a place of a class's turn to a pupil of the class, or makes it free; says which turn
/// that is.
///
/// # Errors
/// [`DeskError::TurnOver`], [`DeskError::HeldAlready`] when the pupil has another place of the
/// turn, [`DeskError::NotTheHolder`] when a member has it, [`DeskError::Conflicting`] when the
/// pupil is not of the class or away on the day.
pub async fn put_pupil(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    place: PlaceId,
    pupil: Option<PupilId>,
) -> Result<TurnId, DeskError> {
    desk.write("put a pupil", errand, pupil, move |conn, errand, pupil| {
        async move {
            let who = admit(conn, errand, site, Deed::KeepClasses).await?;
            let (row, _) = kept(conn, &who, class, None).await?;
            let turn = turn_of(conn, &row, place).await?;
            turns::lock(conn, site, &[turn]).await?;
            let at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
            let (at, mut found) = to_come(&at_hand, place)?;
            if found.member_id.is_some() {
                return Err(DeskError::NotTheHolder);
            }
            if found.pupil_id == pupil.map(|pupil| pupil.0) {
                return Ok(turn);
            }
            if let Some(pupil) = *pupil {
                insist_on_pupil(&at_hand, at, pupil)?;
            }
            fill(conn, &mut found, *pupil, errand.now).await?;
            let detail = json!({ "place_id": place, "pupil_id": pupil });
            let subject = Subject::Turn(turn.0);
            trail::leave(conn, &who, errand.now, "duty_changed", subject, detail).await?;
            Ok(turn)
        }
        .boxed()
    })
    .await
}

/// The turn of a place, if it is one of the class's.
pub(super) async fn turn_of(
    conn: &mut Conn,
    class: &ClassRow,
    place: PlaceId,
) -> Result<TurnId, DeskError> {
    let site = SiteId(class.site_id);
    let Some(row) = places::by_id(conn, site, place).await? else {
        return Err(DeskError::NotFound(Noun::Place));
    };
    let turn = TurnId(row.turn_id);
    let found = turns::by_id(conn, site, turn).await?;
    if found.is_some_and(|found| found.class_id == Some(class.id)) {
        Ok(turn)
    } else {
        Err(DeskError::NotFound(Noun::Place))
    }
}

/// A place of a turn that takes place today or later, with the position of the turn.
pub(super) fn to_come(
    at_hand: &DutyAtHand,
    place: PlaceId,
) -> Result<(usize, PlaceRow), DeskError> {
    at_hand
        .place(place)
        .filter(|(at, _)| at_hand.turns[*at].row.on_date >= at_hand.today)
        .map(|(at, found)| (at, found.clone()))
        .ok_or(DeskError::TurnOver)
}

/// A pupil of the class, who is there on the day and not on the turn.
pub(super) fn insist_on_pupil(
    at_hand: &DutyAtHand,
    turn: usize,
    pupil: PupilId,
) -> Result<(), DeskError> {
    let refused = |detail: &str| Err(DeskError::conflict("/pupil_id", detail));
    let Some(at) = at_hand.position(pupil) else {
        return refused("must be a pupil of this class");
    };
    let turn = &at_hand.turns[turn];
    if at_hand.is_away(at, turn.row.on_date) {
        return refused("must not be away on that day");
    }
    if at_hand.on(turn).contains(&at) {
        return Err(DeskError::HeldAlready);
    }
    Ok(())
}

/// Gives a place to a pupil, or makes it free. The caller holds the lock of its turn.
pub(super) async fn fill(
    conn: &mut Conn,
    place: &mut PlaceRow,
    pupil: Option<PupilId>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    match pupil {
        Some(pupil) => place.give(Holder::Pupil(pupil), How::Duty, now),
        // Pupils book no room, so there is none to withdraw.
        None => {
            place.clear();
        }
    }
    Ok(places::update(conn, place).await?)
}
