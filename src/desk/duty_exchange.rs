//! A pupil who is away on the day, in two steps: marking them away proposes who steps in, and
//! the exchange puts that pupil, or another, in. Who was away owes nothing: where the one who
//! stepped in has a later turn, they change places, and else they are next in the order.

use super::classes::kept;
use super::duty_at_hand::DutyAtHand;
use super::duty_by_hand::{fill, insist_on_pupil, to_come, turn_of};
use super::membership::admit;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::store::places::PlaceRow;
use crate::store::{StoreError, absences, turns};
use chrono::NaiveDate;
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId, TurnId};
use wormrota_domain::rota::index::PupilIndex;

/// A place that an absent pupil has, and who could step in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proposal {
    /// The place.
    pub place: PlaceId,
    /// Its turn.
    pub turn: TurnId,
    /// Who is next in the order and there; none when nobody is.
    pub pupil: Option<PupilId>,
}

/// Marks a pupil as away on a day, and proposes who steps in for each place that they have on
/// it. Doing it again proposes anew.
///
/// # Errors
/// [`DeskError::Conflicting`] for a day before today or after the class's last one.
pub async fn mark_away(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    pupil: PupilId,
    on_date: NaiveDate,
) -> Result<Vec<Proposal>, DeskError> {
    desk.write("mark a pupil away", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit(conn, errand, site, Deed::KeepClasses).await?;
            let (row, _) = kept(conn, &who, class, None).await?;
            let at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
            if at_hand.position(pupil).is_none() {
                return Err(DeskError::NotFound(Noun::Pupil));
            }
            if on_date < at_hand.today || on_date > row.ends_on {
                let detail = "must be today or a later day up to the last one of the class";
                return Err(DeskError::conflict("/on_date", detail));
            }
            if absences::add_pupil(conn, site, pupil, on_date).await? {
                // Not who, and not when: the trail outlives what is known of a pupil.
                let subject = Subject::Class(class.0);
                trail::leave(conn, &who, errand.now, "pupil_away", subject, json!({})).await?;
            }
            let at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
            proposals(&at_hand, pupil, on_date)
        }
        .boxed()
    })
    .await
}

/// Takes back that a pupil is away on a day, today or later.
pub async fn mark_back(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    pupil: PupilId,
    on_date: NaiveDate,
) -> Result<(), DeskError> {
    desk.write("mark a pupil back", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit(conn, errand, site, Deed::KeepClasses).await?;
            let (row, _) = kept(conn, &who, class, None).await?;
            let at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
            if at_hand.position(pupil).is_none() {
                return Err(DeskError::NotFound(Noun::Pupil));
            }
            if on_date < at_hand.today {
                return Err(DeskError::EndedAlready);
            }
            if !absences::remove_pupil(conn, site, pupil, on_date).await? {
                return Err(DeskError::NotFound(Noun::Absence));
            }
            let subject = Subject::Class(class.0);
            trail::leave(conn, &who, errand.now, "pupil_back", subject, json!({})).await
        }
        .boxed()
    })
    .await
}

/// Puts somebody in the place of a pupil who is away: whoever is named, or who is next in the
/// order and there. Says which turns changed.
///
/// # Errors
/// [`DeskError::NotTheHolder`] when nobody who is away has the place,
/// [`DeskError::Conflicting`] when nobody can step in, and as in
/// [`put_pupil`](super::duty_by_hand::put_pupil).
pub async fn exchange(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    place: PlaceId,
    named: Option<PupilId>,
) -> Result<Vec<TurnId>, DeskError> {
    desk.write(
        "exchange a pupil",
        errand,
        named,
        move |conn, errand, named| {
            async move {
                let who = admit(conn, errand, site, Deed::KeepClasses).await?;
                let (row, _) = kept(conn, &who, class, None).await?;
                turn_of(conn, &row, place).await?;
                let at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
                // Which turns are to be locked is known only now; what is read behind their locks
                // counts.
                let foreseen = Exchange::found(&at_hand, place, *named)?.turns();
                turns::lock(conn, site, &foreseen).await?;
                let at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
                let mut exchange = Exchange::found(&at_hand, place, *named)?;
                if exchange.turns() != foreseen {
                    return Err(DeskError::Store(StoreError::Contended));
                }
                let now = errand.now;
                // Nobody is on a turn twice, not even on the way.
                if let Some(later) = &mut exchange.later {
                    fill(conn, later, Some(exchange.absent), now).await?;
                }
                fill(conn, &mut exchange.place, Some(exchange.comes), now).await?;
                let detail = json!({ "place_id": place });
                let subject = Subject::Class(class.0);
                trail::leave(conn, &who, now, "duty_exchanged", subject, detail).await?;
                Ok(foreseen)
            }
            .boxed()
        },
    )
    .await
}

/// What an exchange comes to.
struct Exchange {
    place: PlaceRow,
    absent: PupilId,
    comes: PupilId,
    /// The next place of who comes: it becomes the absent pupil's.
    later: Option<PlaceRow>,
}

impl Exchange {
    fn found(
        at_hand: &DutyAtHand,
        place: PlaceId,
        named: Option<PupilId>,
    ) -> Result<Self, DeskError> {
        let (at, found) = to_come(at_hand, place)?;
        let day = at_hand.turns[at].row.on_date;
        let held = found.pupil_id.map(PupilId);
        let absent = held.and_then(|pupil| Some((pupil, at_hand.position(pupil)?)));
        let (absent, absent_at) = absent.ok_or(DeskError::NotTheHolder)?;
        if !at_hand.is_away(absent_at, day) {
            let detail = "must be of a place whose holder is away that day: say so first";
            return Err(DeskError::conflict("", detail));
        }
        let comes = match named {
            Some(pupil) => {
                insist_on_pupil(at_hand, at, pupil)?;
                pupil
            }
            None => next(at_hand, at, absent_at, &[])?.ok_or_else(|| {
                let detail = "must be somebody who is there: nobody is who has no turn that day";
                DeskError::conflict("/pupil_id", detail)
            })?,
        };
        let busy = at_hand.busy();
        // A true exchange, as far as the absent pupil can come on that day.
        let later = at_hand.turns[at + 1..]
            .iter()
            .find_map(|turn| {
                let place = (turn.places.iter()).find(|place| place.pupil_id == Some(comes.0))?;
                Some((turn, place))
            })
            .filter(|(turn, _)| {
                let date = turn.row.on_date;
                !at_hand.is_away(absent_at, date) && !busy.contains(&(absent_at, date))
            })
            .map(|(_, place)| place.clone());
        Ok(Self {
            place: found,
            absent,
            comes,
            later,
        })
    }

    /// The turns that change.
    fn turns(&self) -> Vec<TurnId> {
        let later = self.later.as_ref();
        let places = [Some(&self.place), later].into_iter().flatten();
        places.map(|place| TurnId(place.turn_id)).collect()
    }
}

/// Who could step in for each place that a pupil has on a day, nobody twice.
fn proposals(
    at_hand: &DutyAtHand,
    absent: PupilId,
    on_date: NaiveDate,
) -> Result<Vec<Proposal>, DeskError> {
    let mut found: Vec<Proposal> = Vec::new();
    for (at, turn) in at_hand.turns.iter().enumerate() {
        if turn.row.on_date != on_date {
            continue;
        }
        for place in &turn.places {
            let Some(position) = at_hand.position(absent) else {
                continue;
            };
            if place.pupil_id != Some(absent.0) {
                continue;
            }
            let taken: Vec<PupilId> = found.iter().filter_map(|one| one.pupil).collect();
            found.push(Proposal {
                place: PlaceId(place.id),
                turn: turn.id(),
                pupil: next(at_hand, at, position, &taken)?,
            });
        }
    }
    Ok(found)
}

/// Who is next in the order for a turn in the place of somebody: there, on no other turn of the
/// day, and not taken.
fn next(
    at_hand: &DutyAtHand,
    turn: usize,
    absent: PupilIndex,
    taken: &[PupilId],
) -> Result<Option<PupilId>, DeskError> {
    let line = at_hand
        .line_before(turn, &[])
        .map_err(|refusal| DeskError::broken(refusal.to_string()))?;
    let day = at_hand.turns[turn].row.on_date;
    let (on, busy) = (at_hand.on(&at_hand.turns[turn]), at_hand.busy());
    let exchange = line.exchange(&on, absent, |pupil| {
        at_hand.is_away(pupil, day)
            || busy.contains(&(pupil, day))
            || at_hand.pupil(pupil).is_some_and(|id| taken.contains(&id))
    });
    Ok(exchange
        .come
        .first()
        .and_then(|pupil| at_hand.pupil(*pupil)))
}
