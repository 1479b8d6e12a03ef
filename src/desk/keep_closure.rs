//! Shutting a site for days, and opening it again. Whoever holds a place of a turn that is
//! called off by it keeps the place: what was called off can be on again. What they meant to bring
//! they say again then, since the room for it is given back.

use super::locked_turns::Locked;
use super::membership::admit_to_change;
use super::settle_turns::{TurnCounts, settle_span};
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::Conn;
use crate::store::closures::{self, ClosureRow};
use crate::store::turns::{self, TurnRow};
use crate::store::visits::{self, VisitRow};
use chrono::{Days, NaiveDate};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClosureId, SiteId, TurnId};
use wormrota_domain::turns::pattern::MOST_DAYS;

/// Days of a closure at most.
pub(super) const LONGEST_DAYS: i64 = 400;
/// Closures of a site that are not over.
pub(super) const MOST_CLOSURES: usize = 100;

/// Days on which a site is to be shut.
#[derive(Debug, Clone, Copy)]
pub struct NewClosure {
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day.
    pub last_day: NaiveDate,
}

/// A closure that was made, and what it did to turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MadeClosure {
    /// Its key.
    pub id: ClosureId,
    /// What became of the turns.
    pub turns: TurnCounts,
}

/// Shuts a site for days. What was a visit during a closure on them stays one.
///
/// # Errors
/// [`DeskError::Conflicting`] for days that are over, too many or too far ahead, and where
/// another closure has some of them.
pub async fn make_closure(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewClosure,
) -> Result<MadeClosure, DeskError> {
    desk.write("make a closure", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
            let today = zone_of_site(conn, site).await?.local_date(errand.now);
            insist_on_days(*new, today)?;
            let span = (new.first_day, new.last_day);
            if !closures::of_days(conn, site, span.0, span.1)
                .await?
                .is_empty()
            {
                let detail = "must leave out days on which the site is shut already";
                return Err(DeskError::conflict("/first_day", detail));
            }
            let there = closures::count_from(conn, site, today).await?;
            if usize::try_from(there).is_ok_and(|count| count >= MOST_CLOSURES) {
                return Err(DeskError::TooMany { what: "closures" });
            }
            let row = ClosureRow {
                site_id: site.0,
                id: clock::fresh_id(),
                first_day: new.first_day,
                last_day: new.last_day,
                created_at: errand.now,
            };
            closures::insert(conn, &row).await?;
            visits::adopt(conn, site, ClosureId(row.id), span).await?;
            let mut news = TurnNews::of(&who);
            let turns = settle_span(conn, &mut news, span, today, errand.now).await?;
            news.owe(conn, row.id, errand.now).await?;
            let detail = json!({
                "first_day": new.first_day, "last_day": new.last_day,
                "called_off": turns.called_off, "held_places": turns.held_places,
            });
            let subject = Subject::Closure(row.id);
            trail::leave(conn, &who, errand.now, "closure_made", subject, detail).await?;
            Ok(MadeClosure {
                id: ClosureId(row.id),
                turns,
            })
        }
        .boxed()
    })
    .await
}

/// Opens a site again on the days of a closure: turns are on again, unless somebody called them
/// off by hand, and those that patterns want there are added. Visits to come that nobody holds
/// go; a held one stays with its holder, as a turn that was added by hand.
pub async fn end_closure(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    closure: ClosureId,
) -> Result<TurnCounts, DeskError> {
    desk.write("end a closure", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
            let row = closures::by_id(conn, site, closure).await?;
            let row = row.ok_or(DeskError::NotFound(Noun::Closure))?;
            let today = zone_of_site(conn, site).await?.local_date(errand.now);
            if row.last_day < today {
                return Err(DeskError::EndedAlready);
            }
            let visits = visits::of_closures(conn, site, &[closure]).await?;
            closures::delete(conn, site, closure).await?;
            let span = (row.first_day, row.last_day);
            let mut news = TurnNews::of(&who);
            let mut turns = settle_span(conn, &mut news, span, today, errand.now).await?;
            turns.removed += drop_free(conn, site, visits, today).await?;
            news.owe(conn, row.id, errand.now).await?;
            let detail = json!({
                "first_day": row.first_day, "last_day": row.last_day,
                "reopened": turns.reopened, "added": turns.added,
            });
            let subject = Subject::Closure(row.id);
            trail::leave(conn, &who, errand.now, "closure_ended", subject, detail).await?;
            Ok(turns)
        }
        .boxed()
    })
    .await
}

/// Takes away what nobody holds of the turns that were visits; says how many. They were locked
/// with all the others of their days.
async fn drop_free(
    conn: &mut Conn,
    site: SiteId,
    were: Vec<(VisitRow, TurnRow)>,
    today: NaiveDate,
) -> Result<usize, DeskError> {
    let to_come = were.into_iter().map(|(_, turn)| turn);
    let to_come = to_come.filter(|turn| turn.on_date >= today);
    let ids: Vec<TurnId> = to_come.map(|turn| TurnId(turn.id)).collect();
    let locked = Locked::take(conn, site, &ids).await?;
    let free = (locked.rows.iter()).filter(|turn| locked.held(turn.id) == 0);
    let free: Vec<TurnId> = free.map(|turn| TurnId(turn.id)).collect();
    turns::delete(conn, site, &free).await?;
    Ok(free.len())
}

pub(super) fn insist_on_days(new: NewClosure, today: NaiveDate) -> Result<(), DeskError> {
    let days = (new.last_day - new.first_day).num_days() + 1;
    if !(1..=LONGEST_DAYS).contains(&days) {
        let detail = format!("must be `first_day` or later, {LONGEST_DAYS} days in all at most");
        return Err(DeskError::conflict("/last_day", detail));
    }
    let furthest = today.checked_add_days(Days::new(u64::from(MOST_DAYS)));
    if new.last_day < today || furthest.is_none_or(|furthest| new.last_day > furthest) {
        let detail = format!("must be today or within {MOST_DAYS} days from today");
        return Err(DeskError::conflict("/last_day", detail));
    }
    Ok(())
}
