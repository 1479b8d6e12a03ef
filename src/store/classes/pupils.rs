//! Pupils, of whom nothing is known but a first name or initials.

use crate::store::schema::pupils;
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PupilId, SiteId};

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
