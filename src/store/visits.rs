//! Turns that take place although the site is shut.

use super::schema::{closure_visits, turns};
use super::turns::TurnRow;
use super::{Conn, StoreError};
use chrono::NaiveDate;
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::ids::{ClosureId, SiteId, TurnId};

/// That a turn is a visit during a closure. It goes with the turn.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = closure_visits)]
pub struct VisitRow {
    /// The site.
    pub site_id: Uuid,
    /// The turn.
    pub turn_id: Uuid,
    /// The closure; none once it is no more.
    pub closure_id: Option<Uuid>,
    /// The first day on which it would have done when it was planned.
    pub earliest: NaiveDate,
    /// The last one.
    pub latest: NaiveDate,
}

/// Says of turns that they are visits.
pub async fn insert(conn: &mut Conn, rows: &[VisitRow]) -> Result<(), StoreError> {
    diesel::insert_into(closure_visits::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// The visits of some closures with their turns, in order of day.
pub async fn of_closures(
    conn: &mut Conn,
    site: SiteId,
    of: &[ClosureId],
) -> Result<Vec<(VisitRow, TurnRow)>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|closure| closure.0).collect();
    Ok(closure_visits::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(closure_visits::site_id)
                .and(turns::id.eq(closure_visits::turn_id))),
        )
        .filter(closure_visits::site_id.eq(site.0))
        .filter(closure_visits::closure_id.eq_any(of))
        .select((VisitRow::as_select(), TurnRow::as_select()))
        .order((turns::on_date, turns::id))
        .load(conn)
        .await?)
}

/// Which of some turns are visits, and of which closures.
pub async fn among(
    conn: &mut Conn,
    site: SiteId,
    turns: &[TurnId],
) -> Result<BTreeMap<Uuid, ClosureId>, StoreError> {
    let ids: Vec<Uuid> = turns.iter().map(|turn| turn.0).collect();
    let found: Vec<(Uuid, Option<Uuid>)> = closure_visits::table
        .filter(closure_visits::site_id.eq(site.0))
        .filter(closure_visits::turn_id.eq_any(ids))
        .select((closure_visits::turn_id, closure_visits::closure_id))
        .load(conn)
        .await?;
    let of = |(turn, closure): (_, Option<Uuid>)| Some((turn, ClosureId(closure?)));
    Ok(found.into_iter().filter_map(of).collect())
}

/// Gives the visits of some closures to another one, which has taken their days.
pub async fn hand_over(
    conn: &mut Conn,
    site: SiteId,
    from: &[ClosureId],
    to: ClosureId,
) -> Result<(), StoreError> {
    let from: Vec<Uuid> = from.iter().map(|closure| closure.0).collect();
    diesel::update(
        closure_visits::table
            .filter(closure_visits::site_id.eq(site.0))
            .filter(closure_visits::closure_id.eq_any(from)),
    )
    .set(closure_visits::closure_id.eq(to.0))
    .execute(conn)
    .await?;
    Ok(())
}

/// Gives what was a visit during a closure that is no more to one that has its day now.
pub async fn adopt(
    conn: &mut Conn,
    site: SiteId,
    closure: ClosureId,
    (first, last): (NaiveDate, NaiveDate),
) -> Result<(), StoreError> {
    let of_days = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.between(first, last))
        .select(turns::id);
    diesel::update(
        closure_visits::table
            .filter(closure_visits::site_id.eq(site.0))
            .filter(closure_visits::closure_id.is_null())
            .filter(closure_visits::turn_id.eq_any(of_days)),
    )
    .set(closure_visits::closure_id.eq(closure.0))
    .execute(conn)
    .await?;
    Ok(())
}
