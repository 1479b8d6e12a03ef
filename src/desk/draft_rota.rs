//! Asking for a draft, and dropping one.
//!
//! What the draft is made from is read here, in one transaction, and kept with it. The planner
//! works later, in the background: see [`drafting`].

use super::asked_rota::Asked;
use super::at_hand::write;
use super::drafting;
use super::fields::insist_on_years;
use super::keep_class::zone_of;
use super::membership::{Membership, admit};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::rotas::{self, RotaRow, RotaState};
use crate::store::{Conn, jobs, rota_shares, sites};
use chrono::{Days, NaiveDate};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{MemberId, RotaId, SiteId};
use wormrota_domain::rota::Snapshot;

/// Days that one rota can have.
const LONGEST_DAYS: i64 = 400;
/// Days ahead on which a rota can begin: two years.
const FURTHEST_DAYS: u64 = 731;
/// Drafts of a site that are neither put up nor dropped.
const MOST_DRAFTS: i64 = 20;
/// The largest seed: whole numbers above it are not exact in every client's JSON.
const LARGEST_SEED: i64 = (1 << 53) - 1;

/// How long the planner may look for something better and prove that there is nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thoroughness {
    /// About five seconds.
    Quick,
    /// About a minute.
    Thorough,
}

impl Thoroughness {
    /// Steps of the planner, of which it does about a hundred thousand in a second.
    const fn steps(self) -> i64 {
        match self {
            Self::Quick => 500_000,
            Self::Thorough => 6_000_000,
        }
    }
}

/// A rota to be drafted.
#[derive(Debug, Clone, Copy)]
pub struct NewRota {
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day.
    pub last_day: NaiveDate,
    /// When a rota in force is changed: the first day that may; tomorrow without.
    pub replan_from: Option<NaiveDate>,
    /// How long to plan.
    pub thoroughness: Thoroughness,
    /// Which of several equally good plans is found; one made from the key without.
    pub seed: Option<i64>,
}

/// Asks for a draft.
pub async fn draft_rota(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewRota,
) -> Result<RotaId, DeskError> {
    if new
        .seed
        .is_some_and(|seed| !(0..=LARGEST_SEED).contains(&seed))
    {
        let detail = format!("must be 0 to {LARGEST_SEED}");
        return Err(DeskError::field("/seed", detail));
    }
    insist_on_years(&[
        ("/first_day", Some(new.first_day)),
        ("/last_day", Some(new.last_day)),
        ("/replan_from", new.replan_from),
    ])?;
    desk.write("ask for a draft", errand, new, move |conn, errand, new| {
        async move {
            let who = admit(conn, errand, site, Deed::DraftRota).await?;
            let today = today(conn, errand, site).await?;
            let change = checked(conn, site, today, new).await?;
            if rotas::count_drafted(conn, site).await? >= MOST_DRAFTS {
                return Err(DeskError::TooMany { what: "drafts" });
            }
            let carried = carried(conn, site, new, change).await?;
            let span = (new.first_day, new.last_day);
            let from = change.map(|(_, from)| from);
            let (asked, _) = Asked::read(conn, site, span, from, &carried).await?;
            insist_on_a_plan(&who, &asked).await?;
            let id = RotaId(clock::fresh_id());
            let row = row(&who, errand, id, new, change);
            let one_at_work = |error| {
                let busy = DeskError::TooMany {
                    what: "rotas at work",
                };
                DeskError::from(error).where_taken("rotas_one_at_work", busy)
            };
            rotas::insert(conn, &row, &write(&asked)?)
                .await
                .map_err(one_at_work)?;
            jobs::owe(conn, &drafting::owed(site, id)).await?;
            let detail = json!({
                "first_day": new.first_day,
                "last_day": new.last_day,
                "replans_id": row.replans_id,
            });
            let subject = Subject::Rota(id.0);
            trail::leave(conn, &who, errand.now, "rota_asked_for", subject, detail).await?;
            Ok(id)
        }
        .boxed()
    })
    .await
}

/// Drops a draft, or what waits to become one. Doing it again changes nothing.
pub async fn drop_rota(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: RotaId,
) -> Result<(), DeskError> {
    desk.write("drop a draft", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit(conn, errand, site, Deed::DraftRota).await?;
            let row = rotas::lock(conn, site, id)
                .await?
                .ok_or(DeskError::NotFound(Noun::Rota))?;
            match state_of(&row)? {
                RotaState::Dropped => return Ok(()),
                state @ (RotaState::PutUp | RotaState::Replaced) => {
                    let state = state.code();
                    return Err(DeskError::RotaState { state });
                }
                _ => rotas::set_state(conn, site, id, RotaState::Dropped).await?,
            }
            let subject = Subject::Rota(id.0);
            trail::leave(conn, &who, errand.now, "rota_dropped", subject, json!({})).await
        }
        .boxed()
    })
    .await
}

/// The state of a rota.
pub(super) fn state_of(row: &RotaRow) -> Result<RotaState, DeskError> {
    let unreadable = || super::at_hand::unreadable("rotas.state");
    RotaState::from_code(&row.state).ok_or_else(unreadable)
}

/// The local day of an errand.
pub(super) async fn today(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
) -> Result<NaiveDate, DeskError> {
    let row = sites::by_id(conn, site)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))?;
    Ok(zone_of(&row.zone)?.local_date(errand.now))
}

/// A rota in force that is changed, and the first day that may.
type Change = Option<(RotaId, NaiveDate)>;

/// Checks the days beside the clock and the rotas in force.
async fn checked(
    conn: &mut Conn,
    site: SiteId,
    today: NaiveDate,
    new: &NewRota,
) -> Result<Change, DeskError> {
    let days = (new.last_day - new.first_day).num_days() + 1;
    if !(1..=LONGEST_DAYS).contains(&days) {
        let detail = format!("must be within {LONGEST_DAYS} days from the first day on");
        return Err(DeskError::conflict("/last_day", detail));
    }
    let furthest = today.checked_add_days(Days::new(FURTHEST_DAYS));
    if furthest.is_none_or(|furthest| new.first_day > furthest) {
        let detail = format!("must be within {FURTHEST_DAYS} days from today");
        return Err(DeskError::conflict("/first_day", detail));
    }
    let in_force = rotas::in_force(conn, site, (new.first_day, new.last_day)).await?;
    let same = |row: &&RotaRow| (row.first_day, row.last_day) == (new.first_day, new.last_day);
    if let Some(row) = in_force.iter().find(same) {
        let from = change_from(today, new)?;
        return Ok(Some((RotaId(row.id), from)));
    }
    if let Some(row) = in_force.first() {
        let detail = format!(
            "must be those of the rota {} ({} to {}) to change it, or days on which none is in force",
            row.id, row.first_day, row.last_day
        );
        return Err(DeskError::conflict("/first_day", detail));
    }
    if new.replan_from.is_some() {
        let detail = "must be left out: no rota is in force on these days";
        return Err(DeskError::conflict("/replan_from", detail));
    }
    if new.first_day < today {
        let detail = "must be today or later: no rota is in force on these days";
        return Err(DeskError::conflict("/first_day", detail));
    }
    Ok(None)
}

/// The first day that may change.
fn change_from(today: NaiveDate, new: &NewRota) -> Result<NaiveDate, DeskError> {
    let tomorrow = today.succ_opt().unwrap_or(today);
    let from = new.replan_from.unwrap_or(tomorrow.max(new.first_day));
    if from < today || from < new.first_day || from > new.last_day {
        let pointer = match new.replan_from {
            Some(_) => "/replan_from",
            None => "/last_day",
        };
        let detail = "must leave a day of the rota to change, today or later";
        return Err(DeskError::conflict(pointer, detail));
    }
    Ok(from)
}

/// What members bring along, in thousandths. Who was in the rota that is changed brings what
/// they brought into that one, so that a change begins from the same reckoning.
async fn carried(
    conn: &mut Conn,
    site: SiteId,
    new: &NewRota,
    change: Change,
) -> Result<BTreeMap<MemberId, i64>, DeskError> {
    let mut carried = rota_shares::left_before(conn, site, new.first_day).await?;
    if let Some((rota, _)) = change {
        carried.extend(rota_shares::carried_into(conn, site, rota).await?);
    }
    Ok(carried)
}

/// Looks whether the planner would take it. That is work for a processor, and so not for a
/// thread that serves requests.
async fn insist_on_a_plan(who: &Membership, asked: &Asked) -> Result<(), DeskError> {
    let input = asked.input.clone();
    let looked = tokio::task::spawn_blocking(move || Snapshot::parse(input).err());
    let refusal = looked
        .await
        .map_err(|error| DeskError::broken(format!("a snapshot could not be read: {error}")))?;
    refusal.map_or(Ok(()), |refusal| Err(asked.refused(who, &refusal)))
}

fn row(who: &Membership, errand: &Errand, id: RotaId, new: &NewRota, change: Change) -> RotaRow {
    RotaRow {
        site_id: who.site.0,
        id: id.0,
        first_day: new.first_day,
        last_day: new.last_day,
        replans_id: change.map(|(rota, _)| rota.0),
        replan_from: change.map(|(_, from)| from),
        state: RotaState::Waiting.code().to_owned(),
        seed: new.seed.unwrap_or_else(|| seed_of(id.0)),
        steps_planned: new.thoroughness.steps(),
        steps_done: 0,
        failure: None,
        made_by: who.member.0,
        created_at: errand.now,
        drafted_at: None,
        put_up_at: None,
        put_up_by: None,
    }
}

/// The part of a key that is random.
fn seed_of(id: Uuid) -> i64 {
    let (_, random) = id.as_u64_pair();
    i64::try_from(random >> 11).unwrap_or(LARGEST_SEED)
}
