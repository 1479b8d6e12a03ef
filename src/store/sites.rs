//! Sites with their food lists and containers.

use super::schema::{members, site_containers, site_foods, sites};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};

/// A site as it is stored. Words are those of `wormrota_domain::site`.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = sites, treat_none_as_null = true)]
pub struct SiteRow {
    /// The key.
    pub id: Uuid,
    /// What people call it.
    pub name: String,
    /// The IANA name of its time zone.
    pub zone: String,
    /// The units of display.
    pub units: String,
    /// The language of sentences.
    pub language: String,
    /// The paper it shreds.
    pub paper: String,
    /// Whether it is a school.
    pub is_school: bool,
    /// Mean outdoor air of each month in degrees Celsius, January first.
    pub monthly_air_c: Option<Vec<f64>>,
    /// A JSON list of the words of scrap outlets.
    pub scrap_outlets: serde_json::Value,
    /// When it was opened.
    pub created_at: DateTime<Utc>,
    /// Grows with every change.
    pub revision: i64,
    /// What residents see of each other; only whom to ask without a word.
    pub neighbours_see: Option<String>,
    /// Who gets what the caretaker leaves unanswered.
    pub deputy_id: Option<Uuid>,
    /// How many days before a turn its place can still be given back; the usual without a
    /// number.
    pub give_back_days: Option<i16>,
    /// When the hours begin in which nobody is written to; the usual without a time.
    pub quiet_from: Option<NaiveTime>,
    /// When they are over.
    pub quiet_until: Option<NaiveTime>,
    /// How many days before a turn its holder is reminded; the usual without a list.
    pub reminder_days: Option<Vec<i16>>,
    /// Whether every absence counts in the next rota; without a word only those not excused.
    pub absences_cost: Option<bool>,
}

/// One entry of a site's stricter food list.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = site_foods)]
pub struct SiteFoodRow {
    /// The site.
    pub site_id: Uuid,
    /// An item or group of the catalogue.
    pub subject: String,
    /// The class it gets here.
    pub class: String,
}

/// One container that a site measures scraps with.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = site_containers)]
pub struct ContainerRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// What people call it.
    pub name: String,
    /// What it holds, filled to the brim, in millilitres.
    pub volume_ml: i32,
}

/// Adds a site.
pub async fn insert(conn: &mut Conn, row: &SiteRow) -> Result<(), StoreError> {
    diesel::insert_into(sites::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Writes every column of a site but its key.
pub async fn update(conn: &mut Conn, row: &SiteRow) -> Result<(), StoreError> {
    diesel::update(sites::table.find(row.id))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Every site's key, in order, after one.
pub async fn every(
    conn: &mut Conn,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<SiteId>, StoreError> {
    let mut query = sites::table
        .select(sites::id)
        .order(sites::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(sites::id.gt(after));
    }
    let keys: Vec<Uuid> = query.load(conn).await?;
    Ok(keys.into_iter().map(SiteId).collect())
}

/// A site.
pub async fn by_id(conn: &mut Conn, id: SiteId) -> Result<Option<SiteRow>, StoreError> {
    Ok(sites::table
        .find(id.0)
        .select(SiteRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// A site, locked against others who want to change it.
pub async fn lock(conn: &mut Conn, id: SiteId) -> Result<Option<SiteRow>, StoreError> {
    Ok(sites::table
        .find(id.0)
        .select(SiteRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// Takes somebody's part as a deputy away, if they have it.
pub async fn clear_deputy(
    conn: &mut Conn,
    site: SiteId,
    deputy: MemberId,
) -> Result<bool, StoreError> {
    let theirs = sites::table
        .find(site.0)
        .filter(sites::deputy_id.eq(deputy.0));
    let changed = diesel::update(theirs)
        .set((
            sites::deputy_id.eq(None::<Uuid>),
            sites::revision.eq(sites::revision + 1),
        ))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// The sites that an account belongs to today, in the order of their keys, after one.
pub async fn of_account(
    conn: &mut Conn,
    account: AccountId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<SiteRow>, StoreError> {
    let mut query = sites::table
        .inner_join(members::table)
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .select(SiteRow::as_select())
        .order(sites::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(sites::id.gt(after));
    }
    Ok(query.load(conn).await?)
}

/// A site's stricter food list.
pub async fn foods(conn: &mut Conn, site: SiteId) -> Result<Vec<SiteFoodRow>, StoreError> {
    Ok(site_foods::table
        .filter(site_foods::site_id.eq(site.0))
        .select(SiteFoodRow::as_select())
        .order(site_foods::subject)
        .load(conn)
        .await?)
}

/// Puts a new food list in the place of the old one.
pub async fn replace_foods(
    conn: &mut Conn,
    site: SiteId,
    rows: &[SiteFoodRow],
) -> Result<(), StoreError> {
    diesel::delete(site_foods::table.filter(site_foods::site_id.eq(site.0)))
        .execute(conn)
        .await?;
    diesel::insert_into(site_foods::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// A site's containers by name.
pub async fn containers(conn: &mut Conn, site: SiteId) -> Result<Vec<ContainerRow>, StoreError> {
    Ok(site_containers::table
        .filter(site_containers::site_id.eq(site.0))
        .select(ContainerRow::as_select())
        .order(site_containers::name)
        .load(conn)
        .await?)
}

/// Puts new containers in the place of the old ones.
pub async fn replace_containers(
    conn: &mut Conn,
    site: SiteId,
    rows: &[ContainerRow],
) -> Result<(), StoreError> {
    diesel::delete(site_containers::table.filter(site_containers::site_id.eq(site.0)))
        .execute(conn)
        .await?;
    diesel::insert_into(site_containers::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}
