//! The places of turns: a row for each, free or held.

use super::schema::{places, turns};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Array, Nullable, Text, Timestamptz, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use serde::{Deserialize, Serialize};
use uuid::Uuid;
use wormrota_domain::ids::{BookingId, MemberId, PlaceId, PupilId, SiteId, TurnId};

/// How somebody came to a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// Took it oneself.
    Taken,
    /// A caretaker, teacher or educator said so.
    Assigned,
    /// By a rota that was put up.
    Rota,
    /// By the duty of a class.
    Duty,
}

impl How {
    /// The word in the table.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Taken => "taken",
            Self::Assigned => "assigned",
            Self::Rota => "rota",
            Self::Duty => "duty",
        }
    }

    /// The value that a word stands for, if any.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        [Self::Taken, Self::Assigned, Self::Rota, Self::Duty]
            .into_iter()
            .find(|how| how.code() == code)
    }
}

/// A place as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = places, treat_none_as_null = true)]
pub struct PlaceRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The turn.
    pub turn_id: Uuid,
    /// 1, 2 and so on.
    pub seat: i16,
    /// The member who holds it.
    pub member_id: Option<Uuid>,
    /// Or the pupil.
    pub pupil_id: Option<Uuid>,
    /// See [`How`]; none when the place is free.
    pub how: Option<String>,
    /// Whether the planner leaves it alone.
    pub kept: bool,
    /// Since when the holder has it.
    pub held_since: Option<DateTime<Utc>>,
    /// What the holder means to bring, if they said so. The food may have gone in since, or the
    /// room may have been given back by itself: the booking's state tells.
    pub booking_id: Option<Uuid>,
}

/// Who holds a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holder {
    /// A member.
    Member(MemberId),
    /// A pupil of the class whose turn it is.
    Pupil(PupilId),
}

impl PlaceRow {
    /// A free place.
    #[must_use]
    pub const fn free(site: SiteId, id: PlaceId, turn: TurnId, seat: i16) -> Self {
        Self {
            site_id: site.0,
            id: id.0,
            turn_id: turn.0,
            seat,
            member_id: None,
            pupil_id: None,
            how: None,
            kept: false,
            held_since: None,
            booking_id: None,
        }
    }

    /// Whoever holds it.
    #[must_use]
    pub fn holder(&self) -> Option<Holder> {
        let member = self.member_id.map(|id| Holder::Member(MemberId(id)));
        member.or_else(|| self.pupil_id.map(|id| Holder::Pupil(PupilId(id))))
    }

    /// Gives it to somebody.
    pub fn give(&mut self, holder: Holder, how: How, now: DateTime<Utc>) {
        (self.member_id, self.pupil_id) = match holder {
            Holder::Member(member) => (Some(member.0), None),
            Holder::Pupil(pupil) => (None, Some(pupil.0)),
        };
        self.how = Some(how.code().to_owned());
        self.held_since = Some(now);
        self.kept = matches!(how, How::Taken);
        self.booking_id = None;
    }

    /// Makes it free; gives the booking that its holder had for it.
    pub fn clear(&mut self) -> Option<BookingId> {
        let booking = self.booking_id.take().map(BookingId);
        self.member_id = None;
        self.pupil_id = None;
        self.how = None;
        self.kept = false;
        self.held_since = None;
        booking
    }
}

/// Adds places in one statement.
pub async fn insert(conn: &mut Conn, rows: &[PlaceRow]) -> Result<(), StoreError> {
    // Far below the 65,535 values that one statement may bind.
    for rows in rows.chunks(2_000) {
        diesel::insert_into(places::table)
            .values(rows)
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// The places of some turns, by turn and seat.
pub async fn of_turns(
    conn: &mut Conn,
    site: SiteId,
    of: &[TurnId],
) -> Result<Vec<PlaceRow>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|id| id.0).collect();
    Ok(places::table
        .filter(places::site_id.eq(site.0))
        .filter(places::turn_id.eq_any(of))
        .select(PlaceRow::as_select())
        .order((places::turn_id, places::seat))
        .load(conn)
        .await?)
}

/// One place of a site. Read it again behind the lock of its turn before changing it.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: PlaceId,
) -> Result<Option<PlaceRow>, StoreError> {
    Ok(places::table
        .find((site.0, id.0))
        .select(PlaceRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Some places of a site as they are at one moment, by key. Read them again behind the locks of
/// their turns before changing them.
pub async fn by_ids(
    conn: &mut Conn,
    site: SiteId,
    ids: &[PlaceId],
) -> Result<Vec<PlaceRow>, StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    Ok(places::table
        .filter(places::site_id.eq(site.0))
        .filter(places::id.eq_any(ids))
        .select(PlaceRow::as_select())
        .order(places::id)
        .load(conn)
        .await?)
}

/// The places that a member holds from one day to another, both included, with the day, those
/// of turns that were called off left out.
pub async fn of_member(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<(NaiveDate, PlaceRow)>, StoreError> {
    Ok(places::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(places::site_id)
                .and(turns::id.eq(places::turn_id))),
        )
        .filter(places::site_id.eq(site.0))
        .filter(places::member_id.eq(member.0))
        .filter(turns::on_date.between(from, to))
        .filter(turns::called_off.is_null())
        .select((turns::on_date, PlaceRow::as_select()))
        .order((turns::on_date, places::id))
        .load(conn)
        .await?)
}

/// The turns from a day on, those called off among them, on which a member holds a place.
pub async fn turns_held_from(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    from: NaiveDate,
) -> Result<Vec<TurnId>, StoreError> {
    let found: Vec<Uuid> = places::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(places::site_id)
                .and(turns::id.eq(places::turn_id))),
        )
        .filter(places::site_id.eq(site.0))
        .filter(places::member_id.eq(member.0))
        .filter(turns::on_date.ge(from))
        .select(places::turn_id)
        .order(places::turn_id)
        .load(conn)
        .await?;
    Ok(found.into_iter().map(TurnId).collect())
}

/// Takes places away. The caller holds the locks of their turns, and nobody holds one.
pub async fn delete(conn: &mut Conn, site: SiteId, ids: &[PlaceId]) -> Result<(), StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    diesel::delete(
        places::table
            .filter(places::site_id.eq(site.0))
            .filter(places::id.eq_any(ids)),
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Writes a place that was changed. The caller holds the lock of its turn.
pub async fn update(conn: &mut Conn, row: &PlaceRow) -> Result<(), StoreError> {
    diesel::update(places::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Gives places to whom a rota says, or makes them free, in one statement. The caller holds the
/// locks of their turns, and ends the bookings that hang on them.
pub async fn give_by_rota(
    conn: &mut Conn,
    site: SiteId,
    given: &[(PlaceId, Option<MemberId>)],
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let ids: Vec<Uuid> = given.iter().map(|(place, _)| place.0).collect();
    let to: Vec<Option<Uuid>> = (given.iter())
        .map(|(_, member)| member.map(|member| member.0))
        .collect();
    sql_query(
        "UPDATE places SET member_id = given.member_id, pupil_id = NULL, kept = false,
             how = CASE WHEN given.member_id IS NOT NULL THEN $5 END,
             held_since = CASE WHEN given.member_id IS NOT NULL THEN $4 END,
             booking_id = NULL
         FROM unnest($2, $3) AS given (id, member_id)
         WHERE places.site_id = $1 AND places.id = given.id",
    )
    .bind::<SqlUuid, _>(site.0)
    .bind::<Array<SqlUuid>, _>(ids)
    .bind::<Array<Nullable<SqlUuid>>, _>(to)
    .bind::<Timestamptz, _>(now)
    .bind::<Text, _>(How::Rota.code())
    .execute(conn)
    .await?;
    Ok(())
}
