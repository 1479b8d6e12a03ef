//! Patterns: how often a bin is due.

use super::schema::patterns;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PatternId, SiteId};

/// A pattern as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = patterns, treat_none_as_null = true)]
pub struct PatternRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// What is to be done.
    pub duty: String,
    /// A recurrence rule (RFC 5545), read as local days.
    pub rule: String,
    /// The day on which the rule begins.
    pub first_day: NaiveDate,
    /// The last day on which something is due, if the rule does not say.
    pub last_day: Option<NaiveDate>,
    /// How many people a turn takes.
    pub places: i16,
    /// What a turn costs each of them.
    pub effort: i16,
    /// From when on, as the site counts hours.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// The class whose pupils take the turns, if one does.
    pub class_id: Option<Uuid>,
    /// Since when.
    pub created_at: DateTime<Utc>,
    /// Since when it makes no more turns.
    pub ended_at: Option<DateTime<Utc>>,
    /// Grows with every change.
    pub revision: i64,
}

/// Adds a pattern.
pub async fn insert(conn: &mut Conn, row: &PatternRow) -> Result<(), StoreError> {
    diesel::insert_into(patterns::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Writes a pattern that was changed.
pub async fn update(conn: &mut Conn, row: &PatternRow) -> Result<(), StoreError> {
    diesel::update(patterns::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// A pattern of a site, ended or not.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    pattern: PatternId,
) -> Result<Option<PatternRow>, StoreError> {
    Ok(patterns::table
        .find((site.0, pattern.0))
        .select(PatternRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Patterns of a site that go on, in the order of their keys, after one.
pub async fn going_on(
    conn: &mut Conn,
    site: SiteId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<PatternRow>, StoreError> {
    let mut query = patterns::table
        .filter(patterns::site_id.eq(site.0))
        .filter(patterns::ended_at.is_null())
        .select(PatternRow::as_select())
        .order(patterns::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(patterns::id.gt(after));
    }
    Ok(query.load(conn).await?)
}

/// How many patterns of a site go on.
pub async fn count_going_on(conn: &mut Conn, site: SiteId) -> Result<i64, StoreError> {
    Ok(patterns::table
        .filter(patterns::site_id.eq(site.0))
        .filter(patterns::ended_at.is_null())
        .count()
        .get_result(conn)
        .await?)
}

/// Ends the patterns of a class.
pub async fn end_of_class(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(
        patterns::table
            .filter(patterns::site_id.eq(site.0))
            .filter(patterns::class_id.eq(class.0))
            .filter(patterns::ended_at.is_null()),
    )
    .set((
        patterns::ended_at.eq(Some(now)),
        patterns::revision.eq(patterns::revision + 1),
    ))
    .execute(conn)
    .await?;
    Ok(())
}
