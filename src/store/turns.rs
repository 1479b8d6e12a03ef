//! Turns: one bin on one local date when something is due.

use super::schema::{places, turns};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, ClassId, MemberId, PatternId, SiteId, TurnId};

/// A turn as it is stored. Words are those of `wormrota_domain::turns`.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = turns, treat_none_as_null = true)]
pub struct TurnRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// The pattern that it comes from; none when it was added by hand.
    pub pattern_id: Option<Uuid>,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done.
    pub duty: String,
    /// What it costs each of those who hold a place.
    pub effort: i16,
    /// From when on, as the site counts hours.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// The class whose pupils take it, if one does.
    pub class_id: Option<Uuid>,
    /// Why it does not take place, if it does not.
    pub called_off: Option<String>,
    /// Whether the pattern does not want this day any more while somebody holds a place.
    pub off_pattern: bool,
    /// Since when it is known.
    pub created_at: DateTime<Utc>,
    /// Grows with every change of the turn itself.
    pub revision: i64,
}

/// Adds turns in one statement.
pub async fn insert(conn: &mut Conn, rows: &[TurnRow]) -> Result<(), StoreError> {
    // Far below the 65,535 values that one statement may bind.
    for rows in rows.chunks(2_000) {
        diesel::insert_into(turns::table)
            .values(rows)
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// One turn of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: TurnId,
) -> Result<Option<TurnRow>, StoreError> {
    Ok(turns::table
        .find((site.0, id.0))
        .select(TurnRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Locks turns until the transaction ends, always in the same order, and gives those that are
/// there. Whoever changes who holds a place of a turn holds its lock.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    ids: &[TurnId],
) -> Result<Vec<TurnRow>, StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    Ok(turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::id.eq_any(ids))
        .select(TurnRow::as_select())
        .order(turns::id)
        .for_no_key_update()
        .load(conn)
        .await?)
}

/// The turns of a site from one day to another, both included, in order of day; with `bin`
/// only that one's.
pub async fn of_days(
    conn: &mut Conn,
    site: SiteId,
    bin: Option<BinId>,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<TurnRow>, StoreError> {
    let mut query = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.between(from, to))
        .select(TurnRow::as_select())
        .order((turns::on_date, turns::id))
        .into_boxed();
    if let Some(bin) = bin {
        query = query.filter(turns::bin_id.eq(bin.0));
    }
    Ok(query.load(conn).await?)
}

/// These turns, and those from one day to another, both included, on which one of some members
/// holds a place; in order of day.
pub async fn about(
    conn: &mut Conn,
    site: SiteId,
    these: &[TurnId],
    members: &[MemberId],
    (from, to): (NaiveDate, NaiveDate),
) -> Result<Vec<TurnRow>, StoreError> {
    let members: Vec<Uuid> = members.iter().map(|member| member.0).collect();
    let held: Vec<Uuid> = places::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(places::site_id)
                .and(turns::id.eq(places::turn_id))),
        )
        .filter(places::site_id.eq(site.0))
        .filter(places::member_id.eq_any(members))
        .filter(turns::on_date.between(from, to))
        .select(places::turn_id)
        .load(conn)
        .await?;
    let ids: BTreeSet<Uuid> = these.iter().map(|id| id.0).chain(held).collect();
    Ok(turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::id.eq_any(ids))
        .select(TurnRow::as_select())
        .order((turns::on_date, turns::id))
        .load(conn)
        .await?)
}

/// Which turns of a span of days are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// The first day.
    pub from: NaiveDate,
    /// The last day.
    pub to: NaiveDate,
    /// Only this bin's.
    pub bin: Option<BinId>,
    /// Only those that take place, that their pattern wants, that are no class's, that have a
    /// free place, and whose hours are not over by this wall clock.
    pub free_after: Option<NaiveDateTime>,
    /// With that, only those of which none of these holds a place.
    pub without: Vec<MemberId>,
    /// Only those of which this member holds a place.
    pub held_by: Option<MemberId>,
}

/// Turns of a site in order of day and key, after one.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    wanted: &Wanted,
    after: Option<(NaiveDate, Uuid)>,
    limit: i64,
) -> Result<Vec<TurnRow>, StoreError> {
    let mut query = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.between(wanted.from, wanted.to))
        .select(TurnRow::as_select())
        .order((turns::on_date, turns::id))
        .limit(limit)
        .into_boxed();
    let its_places = places::table
        .filter(places::site_id.eq(turns::site_id))
        .filter(places::turn_id.eq(turns::id));
    if let Some((day, id)) = after {
        let later = turns::on_date.gt(day);
        query = query.filter(later.or(turns::on_date.eq(day).and(turns::id.gt(id))));
    }
    if let Some(bin) = wanted.bin {
        query = query.filter(turns::bin_id.eq(bin.0));
    }
    if let Some(wall) = wanted.free_after {
        query = query
            .filter(
                turns::closes
                    .is_null()
                    .or(turns::on_date.gt(wall.date()))
                    .or(turns::closes.gt(wall.time())),
            )
            .filter(turns::called_off.is_null())
            .filter(turns::off_pattern.eq(false))
            .filter(turns::class_id.is_null())
            .filter(diesel::dsl::exists(
                its_places.filter(places::how.is_null()),
            ));
    }
    if wanted.free_after.is_some() && !wanted.without.is_empty() {
        let without: Vec<Uuid> = wanted.without.iter().map(|member| member.0).collect();
        let theirs = its_places.filter(places::member_id.eq_any(without));
        query = query.filter(diesel::dsl::not(diesel::dsl::exists(theirs)));
    }
    if let Some(member) = wanted.held_by {
        let theirs = its_places.filter(places::member_id.eq(member.0));
        query = query.filter(diesel::dsl::exists(theirs));
    }
    Ok(query.load(conn).await?)
}

/// The keys of a pattern's turns from a day on.
pub async fn of_pattern(
    conn: &mut Conn,
    site: SiteId,
    pattern: PatternId,
    from: NaiveDate,
) -> Result<Vec<TurnId>, StoreError> {
    let ids: Vec<Uuid> = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::pattern_id.eq(pattern.0))
        .filter(turns::on_date.ge(from))
        .select(turns::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(TurnId).collect())
}

/// The keys of a class's turns from a day on.
pub async fn of_class(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    from: NaiveDate,
) -> Result<Vec<TurnId>, StoreError> {
    let ids: Vec<Uuid> = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::class_id.eq(class.0))
        .filter(turns::on_date.ge(from))
        .select(turns::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(TurnId).collect())
}

/// How many turns a site has from a day on.
pub async fn count_from(conn: &mut Conn, site: SiteId, from: NaiveDate) -> Result<i64, StoreError> {
    Ok(turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.ge(from))
        .count()
        .get_result(conn)
        .await?)
}

/// Calls turns off for a reason, or on again without one. The caller holds their locks.
pub async fn call_off(
    conn: &mut Conn,
    site: SiteId,
    ids: &[TurnId],
    reason: Option<&str>,
) -> Result<(), StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    diesel::update(
        turns::table
            .filter(turns::site_id.eq(site.0))
            .filter(turns::id.eq_any(ids)),
    )
    .set((
        turns::called_off.eq(reason),
        turns::revision.eq(turns::revision + 1),
    ))
    .execute(conn)
    .await?;
    Ok(())
}

/// Flags turns that their pattern does not want any more, or takes the flag away. The caller
/// holds their locks.
pub async fn flag(
    conn: &mut Conn,
    site: SiteId,
    ids: &[TurnId],
    off_pattern: bool,
) -> Result<(), StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    diesel::update(
        turns::table
            .filter(turns::site_id.eq(site.0))
            .filter(turns::id.eq_any(ids)),
    )
    .set((
        turns::off_pattern.eq(off_pattern),
        turns::revision.eq(turns::revision + 1),
    ))
    .execute(conn)
    .await?;
    Ok(())
}

/// What many turns get alike; what is none stays as it is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, AsChangeset)]
#[diesel(table_name = turns)]
pub struct Shape {
    /// What they cost.
    pub effort: Option<i16>,
    /// From when on; all day if there is none.
    pub opens: Option<Option<NaiveTime>>,
    /// Until when.
    pub closes: Option<Option<NaiveTime>>,
}

/// Gives turns a shape, and counts it as a change of each even where their places alone
/// changed. The caller holds their locks.
pub async fn reshape(
    conn: &mut Conn,
    site: SiteId,
    ids: &[TurnId],
    shape: Shape,
) -> Result<(), StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    diesel::update(
        turns::table
            .filter(turns::site_id.eq(site.0))
            .filter(turns::id.eq_any(ids)),
    )
    .set((shape, turns::revision.eq(turns::revision + 1)))
    .execute(conn)
    .await?;
    Ok(())
}

/// Takes turns away with their places. The caller holds their locks, and nobody holds a place.
pub async fn delete(conn: &mut Conn, site: SiteId, ids: &[TurnId]) -> Result<(), StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    diesel::delete(
        places::table
            .filter(places::site_id.eq(site.0))
            .filter(places::turn_id.eq_any(&ids)),
    )
    .execute(conn)
    .await?;
    diesel::delete(
        turns::table
            .filter(turns::site_id.eq(site.0))
            .filter(turns::id.eq_any(&ids)),
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Writes a turn that was changed.
pub async fn update(conn: &mut Conn, row: &TurnRow) -> Result<(), StoreError> {
    diesel::update(turns::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}
