//! Who teaches classes and who helps with them.

use crate::store::schema::{class_adults, classes};
use crate::store::{Conn, StoreError};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, MemberId, SiteId};

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

/// Takes somebody out of the classes that they teach or help with.
pub async fn leave_classes(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(), StoreError> {
    diesel::delete(
        class_adults::table
            .filter(class_adults::site_id.eq(site.0))
            .filter(class_adults::member_id.eq(member.0)),
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
