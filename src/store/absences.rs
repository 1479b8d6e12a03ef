//! Days on which members and pupils are away.

use super::schema::{absences, pupil_absences};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{AbsenceId, MemberId, PupilId, SiteId};

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
    /// Whether the days cost nothing in the next rota; so it is without a word.
    pub excused: Option<bool>,
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

/// The absences of a member, in the order of their keys, after one.
pub async fn of_member(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<AbsenceRow>, StoreError> {
    let mut query = absences::table
        .filter(absences::site_id.eq(site.0))
        .filter(absences::member_id.eq(member.0))
        .select(AbsenceRow::as_select())
        .order(absences::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(absences::id.gt(after));
    }
    Ok(query.load(conn).await?)
}

/// One absence of a member.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    id: AbsenceId,
) -> Result<Option<AbsenceRow>, StoreError> {
    Ok(absences::table
        .find((site.0, id.0))
        .filter(absences::member_id.eq(member.0))
        .select(AbsenceRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Adds an absence; a [`StoreError::Refused`] when it overlaps another one of its member.
pub async fn insert(conn: &mut Conn, row: &AbsenceRow) -> Result<(), StoreError> {
    diesel::insert_into(absences::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Gives an absence other days; a [`StoreError::Refused`] when they overlap another one of its
/// member.
pub async fn set_days(
    conn: &mut Conn,
    site: SiteId,
    id: AbsenceId,
    (first_day, last_day): (NaiveDate, Option<NaiveDate>),
) -> Result<(), StoreError> {
    diesel::update(absences::table.find((site.0, id.0)))
        .set((
            absences::first_day.eq(first_day),
            absences::last_day.eq(last_day),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// Says whether the days of an absence cost its member nothing.
pub async fn excuse(
    conn: &mut Conn,
    site: SiteId,
    id: AbsenceId,
    excused: bool,
) -> Result<(), StoreError> {
    diesel::update(absences::table.find((site.0, id.0)))
        .set(absences::excused.eq(Some(excused)))
        .execute(conn)
        .await?;
    Ok(())
}

/// Takes an absence away.
pub async fn remove(conn: &mut Conn, site: SiteId, id: AbsenceId) -> Result<(), StoreError> {
    diesel::delete(absences::table.find((site.0, id.0)))
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets the absences of a member.
pub async fn forget(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<(), StoreError> {
    diesel::delete(
        absences::table
            .filter(absences::site_id.eq(site.0))
            .filter(absences::member_id.eq(member.0)),
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// On which days of a span, both included, some pupils are away.
pub async fn of_pupils(
    conn: &mut Conn,
    site: SiteId,
    of: &[PupilId],
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<(PupilId, NaiveDate)>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|pupil| pupil.0).collect();
    let rows: Vec<(Uuid, NaiveDate)> = pupil_absences::table
        .filter(pupil_absences::site_id.eq(site.0))
        .filter(pupil_absences::pupil_id.eq_any(of))
        .filter(pupil_absences::on_date.between(from, to))
        .select((pupil_absences::pupil_id, pupil_absences::on_date))
        .order((pupil_absences::on_date, pupil_absences::pupil_id))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(pupil, day)| (PupilId(pupil), day))
        .collect())
}

/// Marks a pupil as away on a day; says whether they were not already.
pub async fn add_pupil(
    conn: &mut Conn,
    site: SiteId,
    pupil: PupilId,
    on_date: NaiveDate,
) -> Result<bool, StoreError> {
    let added = diesel::insert_into(pupil_absences::table)
        .values((
            pupil_absences::site_id.eq(site.0),
            pupil_absences::pupil_id.eq(pupil.0),
            pupil_absences::on_date.eq(on_date),
        ))
        .on_conflict_do_nothing()
        .execute(conn)
        .await?;
    Ok(added == 1)
}

/// Takes that back; says whether it was so.
pub async fn remove_pupil(
    conn: &mut Conn,
    site: SiteId,
    pupil: PupilId,
    on_date: NaiveDate,
) -> Result<bool, StoreError> {
    let gone = diesel::delete(pupil_absences::table.find((site.0, pupil.0, on_date)))
        .execute(conn)
        .await?;
    Ok(gone == 1)
}

/// Forgets on which days some pupils were away.
pub async fn forget_pupils(
    conn: &mut Conn,
    site: SiteId,
    of: &[PupilId],
) -> Result<(), StoreError> {
    let of: Vec<Uuid> = of.iter().map(|pupil| pupil.0).collect();
    diesel::delete(
        pupil_absences::table
            .filter(pupil_absences::site_id.eq(site.0))
            .filter(pupil_absences::pupil_id.eq_any(of)),
    )
    .execute(conn)
    .await?;
    Ok(())
}
