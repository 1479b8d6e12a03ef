//! Days on which members and pupils are away.

use super::schema::absences;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};

/// An absence as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = absences)]
pub struct AbsenceRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// Who is away.
    pub member_id: Uuid,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day; none until further notice.
    pub last_day: Option<NaiveDate>,
    /// Who said so.
    pub reported_by: Uuid,
    /// When.
    pub created_at: DateTime<Utc>,
}

/// The absences of some members that touch a span of days, both included.
pub async fn of_members(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<AbsenceRow>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    Ok(absences::table
        .filter(absences::site_id.eq(site.0))
        .filter(absences::member_id.eq_any(of))
        .filter(absences::first_day.le(to))
        .filter(absences::last_day.is_null().or(absences::last_day.ge(from)))
        .select(AbsenceRow::as_select())
        .order((absences::member_id, absences::first_day))
        .load(conn)
        .await?)
}
