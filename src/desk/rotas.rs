//! Reading rotas: how far a draft is and what it reaches, and a draft beside who holds the
//! places today. Drafts are for who may make them; a rota in force is everybody's.

use super::asked_rota::{Asked, date};
use super::draft_rota::state_of;
use super::membership::{Membership, admit};
use super::put_up_rota::seats_of;
use super::seating::Seat;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::rotas::{self, RotaRow, RotaState, Which};
use crate::store::turns::TurnRow;
use crate::store::{Conn, members, places, turns};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use std::ops::Range;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, MemberId, PlaceId, RotaId, SiteId, TurnId};
use wormrota_domain::rota::input::TurnInput;
use wormrota_domain::rota::planner::Standing;

/// A rota, without who holds what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rota {
    /// The key within the site.
    pub id: RotaId,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day.
    pub last_day: NaiveDate,
    /// The rota that it changes.
    pub replans: Option<RotaId>,
    /// The first day on which it does.
    pub replan_from: Option<NaiveDate>,
    /// How far it is.
    pub state: RotaState,
    /// Which of several equally good plans is found.
    pub seed: i64,
    /// Steps that the planner is given.
    pub steps_planned: i64,
    /// How many it has taken.
    pub steps_done: i64,
    /// Why it could not be drafted: a code.
    pub failure: Option<String>,
    /// Who asked for it, for eyes that may see it.
    pub made_by: Option<MemberId>,
    /// When.
    pub created_at: DateTime<Utc>,
    /// When there was a draft.
    pub drafted_at: Option<DateTime<Utc>>,
    /// When it was put up.
    pub put_up_at: Option<DateTime<Utc>>,
    /// By whom, for eyes that may see it.
    pub put_up_by: Option<MemberId>,
    /// What it reaches of each aim, once it is drafted and for who may draft: what the planner
    /// could prove depends on everybody's limits, and on pairs kept apart.
    pub standings: Vec<Standing>,
}

/// A member who holds a place, or is to. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq)]
pub struct Holder {
    /// Who.
    pub member: MemberId,
    /// The name, unless it was erased.
    pub name: Option<String>,
}

impl std::fmt::Debug for Holder {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Holder({})", self.member)
    }
}

/// A turn of a rota, with who is to hold its places and who does today.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TurnOfRota {
    /// The turn.
    pub id: TurnId,
    /// Its bin.
    pub bin: BinId,
    /// Its local day.
    pub on_date: NaiveDate,
    /// What it costs each who is on it.
    pub effort: i16,
    /// Its places, in order.
    pub places: Vec<PlaceOfRota>,
}

/// A place of a rota.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceOfRota {
    /// The place.
    pub id: PlaceId,
    /// Who is to hold it; none leaves it empty.
    pub in_rota: Option<Holder>,
    /// Who holds it today.
    pub today: Option<Holder>,
    /// Whether putting the rota up changes who holds it.
    pub changes: bool,
}

/// Rotas of a site, newest first: for who may draft all of them, for others those in force.
pub async fn list_rotas(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Rota>, DeskError> {
    desk.store()
        .read("list rotas", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let which = if who.may(Deed::DraftRota) {
                    Which::All
                } else {
                    Which::InForce
                };
                let wanted = i64::from(limit) + 1;
                let rows = rotas::of_site(conn, site, which, after, wanted).await?;
                let rotas: Vec<Rota> = (rows.into_iter())
                    .map(|row| rota(&who, row, Vec::new()))
                    .collect::<Result<_, _>>()?;
                Ok(Page::cut(rotas, limit))
            }
            .boxed()
        })
        .await
}

/// One rota, with what it reaches of each aim.
pub async fn see_rota(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: RotaId,
) -> Result<Rota, DeskError> {
    desk.store()
        .read("see a rota", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let row = seen(conn, &who, id).await?;
                let standings = if who.may(Deed::DraftRota) {
                    let (_, found) = Asked::kept(conn, &row).await?;
                    found.map_or_else(Vec::new, |found| found.standings())
                } else {
                    Vec::new()
                };
                rota(&who, row, standings)
            }
            .boxed()
        })
        .await
}

/// A rota as it was drafted beside who holds its places today, a page of turns in order of day.
///
/// # Errors
/// [`DeskError::RotaState`] before it is drafted.
pub async fn compare_places(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: RotaId,
    (after, limit): (Option<Uuid>, u16),
) -> Result<Page<TurnOfRota>, DeskError> {
    desk.store()
        .read("compare a rota", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::DraftRota).await?;
                let row = seen(conn, &who, id).await?;
                let (asked, found) = Asked::kept(conn, &row).await?;
                let state = state_of(&row)?.code();
                let found = found.ok_or(DeskError::RotaState { state })?;
                let begin = after.map_or(0, |after| {
                    let found = asked.turns.iter().position(|turn| turn.0 == after);
                    found.map_or(asked.turns.len(), |at| at + 1)
                });
                let wanted = usize::from(limit) + 1;
                let page = begin..asked.turns.len().min(begin.saturating_add(wanted));
                let ids = &asked.turns[page.clone()];
                let rows = rows(conn, &row, &asked, page).await?;
                let held = places::of_turns(conn, site, ids).await?;
                let seats = seats_of(&asked, &found, held);
                let names = members::names_of(conn, site, &members_in(&seats)).await?;
                let names: BTreeMap<MemberId, String> = names.into_iter().collect();
                let turns = ids
                    .iter()
                    .filter_map(|id| rows.get(&id.0))
                    .map(|turn| TurnOfRota {
                        id: TurnId(turn.id),
                        bin: BinId(turn.bin_id),
                        on_date: turn.on_date,
                        effort: turn.effort,
                        places: (seats.iter())
                            .filter(|seat| seat.place.turn_id == turn.id)
                            .map(|seat| place(seat, &names))
                            .collect(),
                    });
                Ok(Page::cut(turns.collect(), limit))
            }
            .boxed()
        })
        .await
}

/// A rota that the caller may see: drafts do not exist for who cannot make them.
pub(super) async fn seen(
    conn: &mut Conn,
    who: &Membership,
    id: RotaId,
) -> Result<RotaRow, DeskError> {
    let row = rotas::by_id(conn, who.site, id).await?;
    let row = row.ok_or(DeskError::NotFound(Noun::Rota))?;
    if who.may(Deed::DraftRota) || state_of(&row)? == RotaState::PutUp {
        Ok(row)
    } else {
        Err(DeskError::NotFound(Noun::Rota))
    }
}

/// Some turns of a rota, by key; those that are gone by now are missing.
async fn rows(
    conn: &mut Conn,
    row: &RotaRow,
    asked: &Asked,
    which: Range<usize>,
) -> Result<BTreeMap<Uuid, TurnRow>, DeskError> {
    let turns = &asked.input.turns[which];
    let (Some(first), Some(last)) = (turns.first(), turns.last()) else {
        return Ok(BTreeMap::new());
    };
    let day = |turn: &TurnInput| date(row.first_day, turn.day);
    let site = SiteId(row.site_id);
    let rows = turns::of_days(conn, site, None, day(first), day(last)).await?;
    Ok(rows.into_iter().map(|turn| (turn.id, turn)).collect())
}

fn members_in(seats: &[Seat]) -> Vec<MemberId> {
    let today = seats
        .iter()
        .filter_map(|seat| seat.place.member_id.map(MemberId));
    today
        .chain(seats.iter().filter_map(Seat::then_member))
        .collect()
}

fn place(seat: &Seat, names: &BTreeMap<MemberId, String>) -> PlaceOfRota {
    let holder = |member: MemberId| Holder {
        member,
        name: names.get(&member).cloned(),
    };
    PlaceOfRota {
        id: PlaceId(seat.place.id),
        in_rota: seat.then_member().map(holder),
        today: seat.place.member_id.map(MemberId).map(holder),
        changes: seat.changes(),
    }
}

fn rota(who: &Membership, row: RotaRow, standings: Vec<Standing>) -> Result<Rota, DeskError> {
    Ok(Rota {
        state: state_of(&row)?,
        id: RotaId(row.id),
        first_day: row.first_day,
        last_day: row.last_day,
        replans: row.replans_id.map(RotaId),
        replan_from: row.replan_from,
        seed: row.seed,
        steps_planned: row.steps_planned,
        steps_done: row.steps_done,
        failure: row.failure,
        made_by: who.sees(Some(row.made_by)),
        created_at: row.created_at,
        drafted_at: row.drafted_at,
        put_up_at: row.put_up_at,
        put_up_by: who.sees(row.put_up_by),
        standings,
    })
}
