//! Places that members hold on days to come, for whoever looks for what is due about them.

use super::schema::{members, places, turns};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// A place that a member holds, with what is known of the turn and the member.
#[derive(Debug, Clone, PartialEq, Eq, Queryable)]
pub struct HeldPlace {
    /// The member.
    pub member_id: Uuid,
    /// The turn.
    pub turn_id: Uuid,
    /// Its local day.
    pub on_date: NaiveDate,
    /// From when on, as the site counts hours.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// Since when the member has it.
    pub held_since: DateTime<Utc>,
    /// How many days before a turn the member is reminded, if not as the site says.
    pub reminder_days: Option<Vec<i16>>,
}

/// The places of a site that members who have not left hold from one day to another, both
/// included, turns that were called off left out.
pub async fn between(
    conn: &mut Conn,
    site: SiteId,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<HeldPlace>, StoreError> {
    Ok(places::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(places::site_id)
                .and(turns::id.eq(places::turn_id))),
        )
        .inner_join(
            members::table.on(members::site_id
                .eq(places::site_id)
                .and(places::member_id.eq(members::id.nullable()))),
        )
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.between(from, to))
        .filter(turns::called_off.is_null())
        .filter(members::left_at.is_null())
        .select((
            members::id,
            turns::id,
            turns::on_date,
            turns::opens,
            turns::closes,
            places::held_since.assume_not_null(),
            members::reminder_days,
        ))
        .order((turns::on_date, turns::id, members::id))
        .load(conn)
        .await?)
}
