//! Bookings: room promised to somebody for a day.

use super::schema::bookings;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Array, Text, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, BookingId, MemberId, SiteId, TurnId};

/// The life of a booking: `open` until the food went in (`used`), it was given back
/// (`withdrawn`) or its day passed (`lapsed`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BookingState {
    /// Holds room.
    Open,
    /// The food went in.
    Used,
    /// Given back by its holder.
    Withdrawn,
    /// Its day passed.
    Lapsed,
}

impl BookingState {
    /// The word in the table.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Used => "used",
            Self::Withdrawn => "withdrawn",
            Self::Lapsed => "lapsed",
        }
    }
}

/// A booking as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = bookings)]
pub struct BookingRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// Who holds it.
    pub member_id: Uuid,
    /// The local day.
    pub on_date: NaiveDate,
    /// What was promised, in grams.
    pub promised_g: i64,
    /// See [`BookingState`].
    pub state: String,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// The decision that allowed it.
    pub decision_id: Uuid,
}

/// Adds a booking; a [`StoreError::Duplicate`] when its holder has an open one for the
/// same bin and day.
pub async fn insert(conn: &mut Conn, row: &BookingRow) -> Result<(), StoreError> {
    diesel::insert_into(bookings::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// One booking of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: BookingId,
) -> Result<Option<BookingRow>, StoreError> {
    Ok(bookings::table
        .find((site.0, id.0))
        .select(BookingRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The open bookings of a bin from one day to another, both included, in order of day and
/// then of making.
pub async fn open_of_bin(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<BookingRow>, StoreError> {
    Ok(bookings::table
        .filter(bookings::site_id.eq(site.0))
        .filter(bookings::bin_id.eq(bin.0))
        // Written out, so that the partial index is used.
        .filter(bookings::state.eq("open"))
        .filter(bookings::on_date.between(from, to))
        .select(BookingRow::as_select())
        .order((bookings::on_date, bookings::id))
        .load(conn)
        .await?)
}

/// The open bookings of all bins of a site from one day to another, both included.
pub async fn open_of_site(
    conn: &mut Conn,
    site: SiteId,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<BookingRow>, StoreError> {
    Ok(bookings::table
        .filter(bookings::site_id.eq(site.0))
        .filter(bookings::state.eq("open"))
        .filter(bookings::on_date.between(from, to))
        .select(BookingRow::as_select())
        .order((bookings::bin_id, bookings::on_date, bookings::id))
        .load(conn)
        .await?)
}

/// Ends an open booking; false when it was not open any more.
pub async fn end(
    conn: &mut Conn,
    site: SiteId,
    id: BookingId,
    state: BookingState,
) -> Result<bool, StoreError> {
    let changed = diesel::update(
        bookings::table
            .find((site.0, id.0))
            .filter(bookings::state.eq("open")),
    )
    .set(bookings::state.eq(state.code()))
    .execute(conn)
    .await?;
    Ok(changed == 1)
}

/// Lapses the open bookings whose day is before `first_day`; says how many.
pub async fn lapse_before(conn: &mut Conn, first_day: NaiveDate) -> Result<usize, StoreError> {
    Ok(diesel::update(
        bookings::table
            .filter(bookings::state.eq("open"))
            .filter(bookings::on_date.lt(first_day)),
    )
    .set(bookings::state.eq(BookingState::Lapsed.code()))
    .execute(conn)
    .await?)
}

/// Gives back all that a member has booked; says how many bookings that were.
pub async fn withdraw_all_of(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<usize, StoreError> {
    Ok(diesel::update(
        bookings::table
            .filter(bookings::site_id.eq(site.0))
            .filter(bookings::member_id.eq(member.0))
            .filter(bookings::state.eq("open")),
    )
    .set(bookings::state.eq(BookingState::Withdrawn.code()))
    .execute(conn)
    .await?)
}

/// Gives back bookings that are open, of several holders at once; gives those that were.
pub async fn withdraw(
    conn: &mut Conn,
    site: SiteId,
    ids: &[BookingId],
) -> Result<Vec<BookingId>, StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    let given_back: Vec<Uuid> = diesel::update(
        bookings::table
            .filter(bookings::site_id.eq(site.0))
            .filter(bookings::id.eq_any(ids))
            .filter(bookings::state.eq("open")),
    )
    .set(bookings::state.eq(BookingState::Withdrawn.code()))
    .returning(bookings::id)
    .get_results(conn)
    .await?;
    Ok(given_back.into_iter().map(BookingId).collect())
}

/// Gives back what is open of that which the holders of places of some turns mean to bring, and
/// has these places forget it; whose they are stays, and so does what was used. The caller holds
/// the locks of the turns.
pub async fn withdraw_of_turns(
    conn: &mut Conn,
    site: SiteId,
    turns: &[TurnId],
) -> Result<(), StoreError> {
    let turns: Vec<Uuid> = turns.iter().map(|id| id.0).collect();
    sql_query(
        "WITH given_back AS (
             UPDATE bookings SET state = $3
             FROM places
             WHERE places.site_id = $1 AND places.turn_id = ANY($2)
                 AND bookings.site_id = $1 AND bookings.id = places.booking_id
                 AND bookings.state = 'open'
             RETURNING places.id AS place_id
         )
         UPDATE places SET booking_id = NULL
         FROM given_back
         WHERE places.site_id = $1 AND places.id = given_back.place_id",
    )
    .bind::<SqlUuid, _>(site.0)
    .bind::<Array<SqlUuid>, _>(turns)
    .bind::<Text, _>(BookingState::Withdrawn.code())
    .execute(conn)
    .await?;
    Ok(())
}
