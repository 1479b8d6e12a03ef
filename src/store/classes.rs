//! Classes, their adults and their pupils.

use super::schema::{class_adults, classes, member_names, member_roles, members, pupils, sites};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, MemberId, PupilId, SiteId};

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

/// An adult of a class.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = class_adults)]
pub struct ClassAdultRow {
    /// The site.
    pub site_id: Uuid,
    /// The class.
    pub class_id: Uuid,
    /// The member.
    pub member_id: Uuid,
    /// `teacher` or `helper`.
    pub part: String,
}

/// A pupil. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = pupils)]
pub struct PupilRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The class.
    pub class_id: Uuid,
    /// The first name or initials; none once the pupil is gone.
    pub label: Option<String>,
    /// Since when.
    pub added_at: DateTime<Utc>,
    /// Until when.
    pub left_at: Option<DateTime<Utc>>,
}

impl std::fmt::Debug for PupilRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "PupilRow({})", self.id)
    }
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

/// The adults of some classes.
pub async fn adults_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[ClassId],
) -> Result<Vec<ClassAdultRow>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|class| class.0).collect();
    Ok(class_adults::table
        .filter(class_adults::site_id.eq(site.0))
        .filter(class_adults::class_id.eq_any(of))
        .select(ClassAdultRow::as_select())
        .order((class_adults::class_id, class_adults::member_id))
        .load(conn)
        .await?)
}

/// What some members are called, those whose names were erased left out.
pub async fn names_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[MemberId],
) -> Result<Vec<(MemberId, String)>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|member| member.0).collect();
    let rows: Vec<(Uuid, String)> = member_names::table
        .filter(member_names::site_id.eq(site.0))
        .filter(member_names::member_id.eq_any(of))
        .select((member_names::member_id, member_names::name))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(id, name)| (MemberId(id), name))
        .collect())
}

/// The roles of a member who belongs to the site today; none of one who does not.
pub async fn roles_today(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Vec<String>, StoreError> {
    Ok(members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::id.eq(member.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .select(member_roles::role)
        .load(conn)
        .await?)
}

/// Makes members adults of classes; those who are already stay what they are.
pub async fn add_adults(conn: &mut Conn, rows: &[ClassAdultRow]) -> Result<usize, StoreError> {
    Ok(diesel::insert_into(class_adults::table)
        .values(rows)
        .on_conflict_do_nothing()
        .execute(conn)
        .await?)
}

/// Classes that go on and whose only teacher is this member.
pub async fn taught_only_by(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Vec<ClassId>, StoreError> {
    let other = diesel::alias!(class_adults as other);
    let others = other
        .filter(other.field(class_adults::site_id).eq(class_adults::site_id))
        .filter(
            other
                .field(class_adults::class_id)
                .eq(class_adults::class_id),
        )
        .filter(other.field(class_adults::member_id).ne(member.0))
        .filter(other.field(class_adults::part).eq("teacher"));
    let ids: Vec<Uuid> = class_adults::table
        .inner_join(
            classes::table.on(classes::site_id
                .eq(class_adults::site_id)
                .and(classes::id.eq(class_adults::class_id))),
        )
        .filter(class_adults::site_id.eq(site.0))
        .filter(class_adults::member_id.eq(member.0))
        .filter(class_adults::part.eq("teacher"))
        .filter(classes::ended_at.is_null())
        .filter(diesel::dsl::not(diesel::dsl::exists(others)))
        .select(classes::id)
        .order(classes::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(ClassId).collect())
}

/// Classes that go on and of which a member is an adult.
pub async fn of_adult(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Vec<ClassId>, StoreError> {
    let ids: Vec<Uuid> = class_adults::table
        .inner_join(
            classes::table.on(classes::site_id
                .eq(class_adults::site_id)
                .and(classes::id.eq(class_adults::class_id))),
        )
        .filter(class_adults::site_id.eq(site.0))
        .filter(class_adults::member_id.eq(member.0))
        .filter(classes::ended_at.is_null())
        .select(classes::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(ClassId).collect())
}

/// Takes a member off the classes that they teach.
pub async fn stop_teaching(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(), StoreError> {
    diesel::delete(
        class_adults::table
            .filter(class_adults::site_id.eq(site.0))
            .filter(class_adults::member_id.eq(member.0))
            .filter(class_adults::part.eq("teacher")),
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Makes a member a teacher of classes, whatever they were there.
pub async fn make_teacher_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[ClassId],
    member: MemberId,
) -> Result<(), StoreError> {
    let rows: Vec<ClassAdultRow> = of
        .iter()
        .map(|class| ClassAdultRow {
            site_id: site.0,
            class_id: class.0,
            member_id: member.0,
            part: "teacher".to_owned(),
        })
        .collect();
    diesel::insert_into(class_adults::table)
        .values(rows)
        .on_conflict((
            class_adults::site_id,
            class_adults::class_id,
            class_adults::member_id,
        ))
        .do_update()
        .set(class_adults::part.eq("teacher"))
        .execute(conn)
        .await?;
    Ok(())
}

/// Takes an adult off a class; says whether there was one.
pub async fn remove_adult(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    member: MemberId,
) -> Result<bool, StoreError> {
    let gone = diesel::delete(class_adults::table.find((site.0, class.0, member.0)))
        .execute(conn)
        .await?;
    Ok(gone == 1)
}

/// The pupils of some classes, in the order in which they were added.
pub async fn pupils_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[ClassId],
) -> Result<Vec<PupilRow>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|class| class.0).collect();
    Ok(pupils::table
        .filter(pupils::site_id.eq(site.0))
        .filter(pupils::class_id.eq_any(of))
        .filter(pupils::left_at.is_null())
        .select(PupilRow::as_select())
        .order(pupils::id)
        .load(conn)
        .await?)
}

/// Adds pupils in one statement.
pub async fn add_pupils(conn: &mut Conn, rows: &[PupilRow]) -> Result<(), StoreError> {
    diesel::insert_into(pupils::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// Gives a pupil another label; says whether the class has the pupil.
pub async fn rename_pupil(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    pupil: PupilId,
    label: &str,
) -> Result<bool, StoreError> {
    let changed = diesel::update(
        pupils::table
            .find((site.0, pupil.0))
            .filter(pupils::class_id.eq(class.0))
            .filter(pupils::left_at.is_null()),
    )
    .set(pupils::label.eq(label))
    .execute(conn)
    .await?;
    Ok(changed == 1)
}

/// Erases a pupil's label; says whether the class had the pupil.
pub async fn erase_pupil(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    pupil: PupilId,
    now: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let changed = diesel::update(
        pupils::table
            .find((site.0, pupil.0))
            .filter(pupils::class_id.eq(class.0))
            .filter(pupils::left_at.is_null()),
    )
    .set((
        pupils::label.eq(None::<String>),
        pupils::left_at.eq(Some(now)),
    ))
    .execute(conn)
    .await?;
    Ok(changed == 1)
}

/// Erases the labels of all pupils of a class; says how many there were.
pub async fn erase_pupils(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    now: DateTime<Utc>,
) -> Result<usize, StoreError> {
    Ok(diesel::update(
        pupils::table
            .filter(pupils::site_id.eq(site.0))
            .filter(pupils::class_id.eq(class.0))
            .filter(pupils::left_at.is_null()),
    )
    .set((
        pupils::label.eq(None::<String>),
        pupils::left_at.eq(Some(now)),
    ))
    .execute(conn)
    .await?)
}
