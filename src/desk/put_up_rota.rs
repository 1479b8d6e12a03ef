//! Putting up a rota: from then on it is who holds which place.
//!
//! One short transaction, behind the locks of everybody in the rota and of every turn of its
//! days. What the draft was made from is read again there: when anything of it is another, the
//! draft is not put up, and nothing is written.

use super::asked_rota::{Asked, Found};
use super::cover;
use super::draft_rota::{state_of, today};
use super::membership::{Membership, admit_to_change};
use super::rota_at_hand::{RotaAtHand, stays_without_part};
use super::seating::{Seat, seats};
use super::tell_of_rota::owe_word;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::store::places::PlaceRow;
use crate::store::rota_shares::{self, ShareRow};
use crate::store::rotas::{self, RotaRow, RotaState};
use crate::store::{Conn, StoreError, bookings, members, places, turns};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BookingId, MemberId, PlaceId, RotaId, SiteId, TurnId};
use wormrota_domain::rota::owing;

/// Puts up a draft.
///
/// # Errors
/// [`DeskError::RotaMovedOn`] when places, turns or people changed since it was asked for.
pub async fn put_up_rota(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: RotaId,
) -> Result<(), DeskError> {
    desk.write("put up a rota", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::DraftRota).await?;
            let row = drafted(conn, site, id).await?;
            let (asked, found) = Asked::kept(conn, &row).await?;
            let found = found.ok_or_else(|| DeskError::broken("a draft without places"))?;
            let from = row.replan_from.unwrap_or(row.first_day);
            if from < today(conn, errand, site).await? {
                return Err(DeskError::RotaMovedOn);
            }
            lock(conn, &row, &asked).await?;
            let at_hand = insist_on_the_same(conn, &row, &asked).await?;
            let seats = seats_of(&asked, &found, at_hand.places);
            let (changed, given_back) = seat(conn, site, &seats, errand.now).await?;
            rota_shares::insert(conn, &parts(&row, &asked, &seats)).await?;
            replace(conn, &who, &row, errand.now).await?;
            let here = (at_hand.turns.as_slice(), seats.as_slice());
            owe_word(conn, &row, &asked, here, &given_back, errand.now).await?;
            let detail = json!({
                "places_changed": changed,
                "replaces_id": row.replans_id,
                "seed": row.seed,
            });
            let subject = Subject::Rota(id.0);
            trail::leave(conn, &who, errand.now, "rota_put_up", subject, detail).await
        }
        .boxed()
    })
    .await
}

/// The draft, locked. Whoever comes second hears that it is put up already.
async fn drafted(conn: &mut Conn, site: SiteId, id: RotaId) -> Result<RotaRow, DeskError> {
    let row = rotas::lock(conn, site, id)
        .await?
        .ok_or(DeskError::NotFound(Noun::Rota))?;
    match state_of(&row)? {
        RotaState::Drafted => Ok(row),
        state => Err(DeskError::RotaState {
            state: state.code(),
        }),
    }
}

/// Locks everybody in the rota, then every turn of its days.
async fn lock(conn: &mut Conn, row: &RotaRow, asked: &Asked) -> Result<(), DeskError> {
    let site = SiteId(row.site_id);
    members::lock(conn, site, &asked.members).await?;
    let all = turns::of_days(conn, site, None, row.first_day, row.last_day).await?;
    let all: Vec<TurnId> = all.iter().map(|turn| TurnId(turn.id)).collect();
    turns::lock(conn, site, &all).await?;
    Ok(())
}

/// Reads behind the locks what the draft was made from, and insists that it is the same; and
/// that the rota in force on these days is the one that the draft changes, or none.
async fn insist_on_the_same(
    conn: &mut Conn,
    row: &RotaRow,
    asked: &Asked,
) -> Result<RotaAtHand, DeskError> {
    let site = SiteId(row.site_id);
    let span = (row.first_day, row.last_day);
    let in_force: Vec<Uuid> = (rotas::in_force(conn, site, span).await?.iter())
        .map(|row| row.id)
        .collect();
    if in_force != row.replans_id.as_slice() {
        return Err(DeskError::RotaMovedOn);
    }
    let carried = asked.carried();
    let (now, at_hand) = Asked::read(conn, site, span, row.replan_from, &carried).await?;
    if now != *asked {
        return Err(DeskError::RotaMovedOn);
    }
    Ok(at_hand)
}

/// Gives the places that change hands to whom the draft says; says how many there are, and
/// which bookings ended with that.
async fn seat(
    conn: &mut Conn,
    site: SiteId,
    seats: &[Seat],
    now: DateTime<Utc>,
) -> Result<(usize, BTreeSet<BookingId>), DeskError> {
    let changing = || seats.iter().filter(|seat| seat.changes());
    let bookings: Vec<BookingId> = changing()
        .filter_map(|seat| seat.place.booking_id.map(BookingId))
        .collect();
    let given_back = bookings::withdraw(conn, site, &bookings).await?;
    let given: Vec<(PlaceId, Option<MemberId>)> = changing()
        .map(|seat| (PlaceId(seat.place.id), seat.then_member()))
        .collect();
    places::give_by_rota(conn, site, &given, now).await?;
    let all: Vec<(PlaceId, Option<MemberId>)> = (seats.iter())
        .map(|seat| (PlaceId(seat.place.id), seat.then_member()))
        .collect();
    cover::put_up(conn, site, &all, now).await?;
    Ok((given.len(), given_back.into_iter().collect()))
}

/// The places of a rota's turns with those who are to hold them. Days that are closed to change
/// stay as they are.
pub(super) fn seats_of(asked: &Asked, found: &Found, places: Vec<PlaceRow>) -> Vec<Seat> {
    let positions = asked.turn_positions();
    let mut on: BTreeMap<TurnId, BTreeSet<MemberId>> = BTreeMap::new();
    for (member, turn) in &found.places {
        on.entry(*turn).or_default().insert(*member);
    }
    let mut of_turn: BTreeMap<TurnId, Vec<PlaceRow>> = BTreeMap::new();
    for place in places {
        let turn = TurnId(place.turn_id);
        of_turn.entry(turn).or_default().push(place);
    }
    let mut all = Vec::new();
    for (turn, places) in of_turn {
        let open = positions.get(&turn).is_some_and(|at| asked.is_open(*at));
        if open {
            let stays_anyhow = |member, place: &PlaceRow| {
                asked.member(member).is_none() && stays_without_part(place)
            };
            all.extend(seats(places, on.entry(turn).or_default(), stays_anyhow));
        } else {
            all.extend(places.into_iter().map(Seat::unchanged));
        }
    }
    all
}

/// Everybody's part of what was brought along and of what is held from now on. Places that
/// nobody holds are nobody's debt.
fn parts(row: &RotaRow, asked: &Asked, seats: &[Seat]) -> Vec<ShareRow> {
    let positions = asked.turn_positions();
    let effort: i64 = (seats.iter())
        .filter(|seat| {
            seat.then_member()
                .is_some_and(|member| asked.member(member).is_some())
        })
        .filter_map(|seat| positions.get(&TurnId(seat.place.turn_id)))
        .map(|turn| i64::from(asked.input.turns[turn.0].effort))
        .sum();
    let carried: i64 = asked.carried_milli.iter().sum();
    let shares: Vec<u32> = (asked.input.members.iter())
        .map(|member| member.share)
        .collect();
    let fair = owing::parts(effort * owing::MILLI + carried, &shares);
    let part = |(at, member): (usize, &MemberId)| ShareRow {
        site_id: row.site_id,
        rota_id: row.id,
        member_id: member.0,
        share: i16::try_from(shares[at]).unwrap_or(i16::MAX),
        carried_milli: asked.carried_milli[at],
        fair_milli: fair[at],
    };
    asked.members.iter().enumerate().map(part).collect()
}

/// Puts the rota up in the place of the one that it changes.
async fn replace(
    conn: &mut Conn,
    who: &Membership,
    row: &RotaRow,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let (site, id) = (who.site, RotaId(row.id));
    if let Some(old) = row.replans_id {
        rotas::set_state(conn, site, RotaId(old), RotaState::Replaced).await?;
    }
    let moved_on = |error| match error {
        StoreError::Refused { constraint } if constraint == "rotas_in_force_apart" => {
            DeskError::RotaMovedOn
        }
        other => DeskError::from(other),
    };
    rotas::put_up(conn, site, id, who.member, now)
        .await
        .map_err(moved_on)
}
