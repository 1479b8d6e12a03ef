//! Classes, their adults and their pupils.

mod adults;
mod pupils;

pub use adults::{
    ClassAdultRow, add_adults, adults_of, leave_classes, make_teacher_of, of_adult, remove_adult,
    stop_teaching, taught_only_by,
};
pub use pupils::{PupilRow, add_pupils, erase_pupil, erase_pupils, pupils_of, rename_pupil};

use super::schema::{class_adults, classes, sites};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, MemberId, SiteId};

/// A teacher's group.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = classes)]
pub struct ClassRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// What it is called.
    pub name: String,
    /// The last day of its school year, as the site counts days.
    pub ends_on: NaiveDate,
    /// Since when.
    pub created_at: DateTime<Utc>,
    /// Since when it is over.
    pub ended_at: Option<DateTime<Utc>>,
    /// Grows with every change, its pupils' and adults' included.
    pub revision: i64,
}

/// Adds a class; a [`StoreError::Duplicate`] when a class that goes on has the name.
pub async fn insert(conn: &mut Conn, row: &ClassRow) -> Result<(), StoreError> {
    diesel::insert_into(classes::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Adds classes in one statement.
pub async fn insert_all(conn: &mut Conn, rows: &[ClassRow]) -> Result<(), StoreError> {
    diesel::insert_into(classes::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// Writes name, last day, end and revision of a class.
pub async fn update(conn: &mut Conn, row: &ClassRow) -> Result<(), StoreError> {
    diesel::update(classes::table.find((row.site_id, row.id)))
        .set((
            classes::name.eq(&row.name),
            classes::ends_on.eq(row.ends_on),
            classes::ended_at.eq(row.ended_at),
            classes::revision.eq(row.revision),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// A class of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
) -> Result<Option<ClassRow>, StoreError> {
    Ok(classes::table
        .find((site.0, class.0))
        .select(ClassRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// A class, locked against others who want to change it, its pupils or its adults.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
) -> Result<Option<ClassRow>, StoreError> {
    Ok(classes::table
        .find((site.0, class.0))
        .select(ClassRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// Classes of a site that go on, in the order of their keys, after one; with `of`, only
/// those of which that member is an adult.
pub async fn going_on(
    conn: &mut Conn,
    site: SiteId,
    of: Option<MemberId>,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<ClassRow>, StoreError> {
    let mut query = classes::table
        .filter(classes::site_id.eq(site.0))
        .filter(classes::ended_at.is_null())
        .select(ClassRow::as_select())
        .order(classes::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(classes::id.gt(after));
    }
    if let Some(member) = of {
        let theirs = class_adults::table
            .filter(class_adults::site_id.eq(site.0))
            .filter(class_adults::member_id.eq(member.0))
            .select(class_adults::class_id);
        query = query.filter(classes::id.eq_any(theirs));
    }
    Ok(query.load(conn).await?)
}

/// How many classes of a site go on.
pub async fn count_going_on(conn: &mut Conn, site: SiteId) -> Result<i64, StoreError> {
    Ok(classes::table
        .filter(classes::site_id.eq(site.0))
        .filter(classes::ended_at.is_null())
        .count()
        .get_result(conn)
        .await?)
}

/// Classes that go on although their last day is before `day`, with the zone of their site.
pub async fn past(
    conn: &mut Conn,
    day: NaiveDate,
    limit: i64,
) -> Result<Vec<(ClassRow, String)>, StoreError> {
    Ok(classes::table
        .inner_join(sites::table.on(sites::id.eq(classes::site_id)))
        .filter(classes::ended_at.is_null())
        .filter(classes::ends_on.lt(day))
        .select((ClassRow::as_select(), sites::zone))
        .order((classes::ends_on, classes::id))
        .limit(limit)
        .load(conn)
        .await?)
}
