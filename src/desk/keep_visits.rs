//! Agreeing on the visits of a plan: turns that take place although the site is shut, for
//! people to take like any other.

use super::agreed_visits::{self, Certain, Comings, comings};
use super::closure_ground::{BinPlan, stretch};
use super::closure_plan::{PlanFor, plans_with};
use super::locked_turns::Locked;
use super::membership::admit_to_change;
use super::plan_terms::PlanTerms;
use super::settle_turns::add_turns;
use super::trail::{self, Subject};
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::closures::{self, ClosureRow};
use crate::store::turns::{self, TurnRow};
use crate::store::visits::{self, VisitRow};
use chrono::{DateTime, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::closure::plan::Course;
use wormrota_domain::ids::{BinId, ClosureId, SiteId, TurnId};
use wormrota_domain::turns::Duty;

/// By how many days before the earliest one a visit may lie that stands for a planned one: a plan
/// that is asked for again moves a little.
const MOVES_DAYS: u64 = 3;

/// What came of agreeing on a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Agreed {
    /// Visits that were added, with a free place each.
    pub added: usize,
    /// Visits of the plan that were there already.
    pub there: usize,
    /// Visits that nobody held, and that others take the place of.
    pub removed: usize,
    /// Bins for which no visits help, or nothing could be planned.
    pub without_plan: Vec<BinId>,
}

/// A visit of a plan, in days of the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Wanted {
    bin: BinId,
    earliest: NaiveDate,
    latest: NaiveDate,
    agreed: NaiveDate,
    /// Somebody holds it.
    is_certain: bool,
}

/// Makes the visits that the plan of a closure asks for as it stands now, around those that
/// somebody holds. What is there already for a planned visit is not added again; what is there
/// for none goes, if nobody holds it.
///
/// # Errors
/// As for [`super::closure_plan::see_plan`], and [`DeskError::ChangedMeanwhile`] if the closure
/// became another while it was planned, or who holds its visits.
pub async fn agree_on_plan(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    closure: ClosureId,
    terms: PlanTerms,
) -> Result<Agreed, DeskError> {
    let of = PlanFor::Closure(closure);
    let asked = terms.clone();
    let plans = plans_with(desk, errand.clone(), site, of, terms, Certain::Held).await?;
    let days = (plans.first_day, plans.last_day);
    let held = plans.visits.iter().filter(|visit| visit.is_held());
    let held = held.filter(|visit| visit.turn.called_off.is_none());
    let held: Comings = (held.map(|visit| (visit.turn.bin.0, visit.turn.on_date))).collect();
    let input = (plans.bins, days, held, asked);
    desk.write(
        "agree on visits",
        errand,
        input,
        move |conn, errand, input| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
                let (bins, days, held, terms) = input;
                let row = closures::by_id(conn, site, closure).await?;
                let row = row.ok_or(DeskError::NotFound(Noun::Closure))?;
                if stretch(conn, site, (row.first_day, row.last_day)).await? != *days {
                    return Err(DeskError::ChangedMeanwhile);
                }
                let zone = zone_of_site(conn, site).await?;
                let (wanted, without_plan) = wanted(bins, zone);
                let closures = closures::of_days(conn, site, days.0, days.1).await?;
                let mut there = agreed_visits::rows(conn, site, *days).await?;
                let ids: Vec<_> = there.iter().map(|(_, turn)| TurnId(turn.id)).collect();
                let locked = Locked::take(conn, site, &ids).await?;
                if comings(conn, site, &there, Certain::Held).await? != *held {
                    return Err(DeskError::ChangedMeanwhile);
                }
                let today = zone.local_date(errand.now);
                there.retain(|(_, turn)| turn.called_off.is_none() && turn.on_date >= today);
                // Nothing takes the place of what was agreed on for a bin without a plan.
                there.retain(|(_, turn)| !without_plan.contains(&BinId(turn.bin_id)));
                let fit = |turn: &TurnRow| locked.held(turn.id) > 0 || terms.allows(turn.on_date);
                let (missing, unused) = matched(&wanted, &there, fit);
                // Somebody may have been there today.
                let is_ahead = |turn: &TurnId| {
                    let mut rows = locked.rows.iter();
                    rows.any(|row| row.id == turn.0 && row.on_date > today)
                };
                let gone: Vec<TurnId> = (unused.iter())
                    .filter(|turn| locked.held(turn.0) == 0 && is_ahead(turn))
                    .copied()
                    .collect();
                turns::delete(conn, site, &gone).await?;
                let (mut turns, mut rows) = (Vec::new(), Vec::new());
                for visit in &missing {
                    let turn = turn(site, visit, errand.now);
                    rows.extend(visit_row(&turn, visit, &closures));
                    turns.push((turn, 1));
                }
                add_turns(conn, site, &turns).await?;
                visits::insert(conn, &rows).await?;
                let agreed = Agreed {
                    added: turns.len(),
                    there: wanted.len() - turns.len(),
                    removed: gone.len(),
                    without_plan,
                };
                let detail = json!({
                    "added": agreed.added, "there": agreed.there, "removed": agreed.removed,
                });
                let subject = Subject::Closure(closure.0);
                trail::leave(conn, &who, errand.now, "visits_agreed", subject, detail).await?;
                Ok(agreed)
            }
            .boxed()
        },
    )
    .await
}

/// The visits of all plans, and the bins that have none because nothing helps.
fn wanted(bins: &[BinPlan], zone: SiteZone) -> (Vec<Wanted>, Vec<BinId>) {
    let (mut wanted, mut without) = (Vec::new(), Vec::new());
    for bin in bins {
        match bin.plan.as_ref().map(|plan| &plan.course) {
            Ok(Course::Stay { visits, .. }) => {
                wanted.extend(visits.iter().map(|visit| Wanted {
                    bin: bin.bin,
                    earliest: zone.local_date(visit.earliest),
                    latest: zone.local_date(visit.latest),
                    agreed: zone.local_date(visit.agreed),
                    is_certain: visit.comes,
                }));
            }
            Ok(Course::Move { .. }) | Err(_) => without.push(bin.bin),
        }
    }
    (wanted, without)
}

/// The visits for which none is there yet, and those that are there for none. Each stands for
/// one planned visit at most.
fn matched(
    wanted: &[Wanted],
    there: &[(VisitRow, TurnRow)],
    fit: impl Fn(&TurnRow) -> bool,
) -> (Vec<Wanted>, Vec<TurnId>) {
    let mut unused: Vec<&TurnRow> = there.iter().map(|(_, turn)| turn).collect();
    let mut missing = Vec::new();
    // What is certain first: its own turn stands for it.
    let (certain, open): (Vec<&Wanted>, Vec<&Wanted>) =
        wanted.iter().partition(|visit| visit.is_certain);
    for visit in certain.into_iter().chain(open) {
        let moved = visit.earliest.checked_sub_days(Days::new(MOVES_DAYS));
        let from = if visit.is_certain {
            visit.earliest
        } else {
            moved.unwrap_or(visit.earliest)
        };
        let stands = |turn: &&TurnRow| {
            turn.bin_id == visit.bin.0 && (from..=visit.latest).contains(&turn.on_date) && fit(turn)
        };
        match unused.iter().position(stands) {
            Some(place) => drop(unused.remove(place)),
            None => missing.push(*visit),
        }
    }
    (missing, unused.iter().map(|turn| TurnId(turn.id)).collect())
}

/// Of a visit, that it is one of the closure that has its day.
fn visit_row(turn: &TurnRow, visit: &Wanted, closures: &[ClosureRow]) -> Option<VisitRow> {
    let its = |row: &&ClosureRow| (row.first_day..=row.last_day).contains(&turn.on_date);
    closures.iter().find(its).map(|closure| VisitRow {
        site_id: turn.site_id,
        turn_id: turn.id,
        closure_id: Some(closure.id),
        earliest: visit.earliest,
        latest: visit.latest,
    })
}

fn turn(site: SiteId, visit: &Wanted, now: DateTime<Utc>) -> TurnRow {
    TurnRow {
        site_id: site.0,
        id: clock::fresh_id(),
        bin_id: visit.bin.0,
        pattern_id: None,
        on_date: visit.agreed,
        duty: Duty::Feeding.code().to_owned(),
        effort: 1,
        opens: None,
        closes: None,
        class_id: None,
        called_off: None,
        off_pattern: false,
        created_at: now,
        revision: 1,
    }
}
