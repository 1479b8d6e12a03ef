//! Days on which a member is away, told by themselves or by whoever looks after the site. No
//! reason is asked for, and places that lie within stay where they are until somebody moves
//! them.

use super::at_hand::SiteAtHand;
use super::limits::admit_to_limits;
use super::people::let_in;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::absences::{self, AbsenceRow};
use crate::store::{Conn, members, places};
use chrono::{DateTime, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use uuid::Uuid;
use wormrota_domain::ids::{AbsenceId, MemberId, SiteId, TurnId};

/// Days ahead that an absence can begin or end: two school years.
const FURTHEST_DAYS: u64 = 731;
/// Absences of one member that are not over.
const MOST_TO_COME: usize = 100;
/// No day of a turn is later: what an absence until further notice reaches to.
const NEVER: NaiveDate = NaiveDate::MAX;

/// Days to be away.
#[derive(Debug, Clone, Copy)]
pub struct NewAbsence {
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day; none until further notice.
    pub last_day: Option<NaiveDate>,
}

/// An absence that was told, with what lies within it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Told {
    /// The absence.
    pub id: AbsenceId,
    /// Turns that the member holds a place of and that take place on these days.
    pub turns: Vec<TurnId>,
}

/// Days away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Absence {
    /// The key within the site.
    pub id: AbsenceId,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day; none until further notice.
    pub last_day: Option<NaiveDate>,
    /// When it was told.
    pub created_at: DateTime<Utc>,
}

/// The absences of a member, in the order in which they were told.
pub async fn list_absences(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Absence>, DeskError> {
    desk.store()
        .read("list absences", errand, move |conn, errand| {
            async move {
                admit_to_limits(conn, errand, site, member).await?;
                let_in(conn, site, member).await?;
                let wanted = i64::from(limit) + 1;
                let rows = absences::of_member(conn, site, member, after, wanted).await?;
                Ok(Page::cut(rows.iter().map(absence).collect(), limit))
            }
            .boxed()
        })
        .await
}

/// Tells that a member is away, from today on at the earliest.
///
/// # Errors
/// [`DeskError::Conflicting`] for days that have passed, lie too far ahead or in another
/// absence of the same member.
pub async fn tell_absence(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    new: NewAbsence,
) -> Result<Told, DeskError> {
    desk.write("tell an absence", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_limits(conn, errand, site, member).await?;
            lock(conn, site, member).await?;
            let today = SiteAtHand::load(conn, site).await?.day(errand.now);
            insist_on_days(*new, today)?;
            let to_come = absences::of_members(conn, site, &[member], today, NEVER).await?;
            if to_come.len() >= MOST_TO_COME {
                return Err(DeskError::TooMany { what: "absences" });
            }
            let until = new.last_day.unwrap_or(NEVER);
            let met = to_come.iter().find(|row| {
                row.first_day <= until && row.last_day.is_none_or(|last| last >= new.first_day)
            });
            if let Some(met) = met {
                return Err(overlaps(Some(met)));
            }
            let row = AbsenceRow {
                site_id: site.0,
                id: clock::fresh_id(),
                member_id: member.0,
                first_day: new.first_day,
                last_day: new.last_day,
                reported_by: who.member.0,
                created_at: errand.now,
            };
            absences::insert(conn, &row).await.map_err(|error| {
                DeskError::from(error).where_taken("absences_apart", overlaps(None))
            })?;
            let held = places::of_member(conn, site, member, new.first_day, until).await?;
            // Not when: the trail outlives what is known of a member.
            let detail = json!({ "absence_id": row.id });
            let subject = Subject::Member(member.0);
            trail::leave(conn, &who, errand.now, "absence_told", subject, detail).await?;
            Ok(Told {
                id: AbsenceId(row.id),
                turns: held
                    .into_iter()
                    .map(|(_, place)| TurnId(place.turn_id))
                    .collect(),
            })
        }
        .boxed()
    })
    .await
}

/// One absence of a member.
pub async fn see_absence(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    id: AbsenceId,
) -> Result<Absence, DeskError> {
    desk.store()
        .read("see an absence", errand, move |conn, errand| {
            async move {
                admit_to_limits(conn, errand, site, member).await?;
                let row = absences::by_id(conn, site, member, id).await?;
                row.as_ref()
                    .map(absence)
                    .ok_or(DeskError::NotFound(Noun::Absence))
            }
            .boxed()
        })
        .await
}

/// Takes an absence back: all of it when it has not begun, else from today on, since the days
/// that have passed are history.
///
/// # Errors
/// [`DeskError::EndedAlready`] when it is over.
pub async fn end_absence(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    id: AbsenceId,
) -> Result<(), DeskError> {
    desk.write("end an absence", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_limits(conn, errand, site, member).await?;
            lock(conn, site, member).await?;
            let row = absences::by_id(conn, site, member, id)
                .await?
                .ok_or(DeskError::NotFound(Noun::Absence))?;
            let today = SiteAtHand::load(conn, site).await?.day(errand.now);
            let over = row.last_day.is_some_and(|last| last < today);
            match today.pred_opt() {
                _ if over => return Err(DeskError::EndedAlready),
                Some(yesterday) if row.first_day < today => {
                    absences::end_on(conn, site, id, yesterday).await?;
                }
                _ => absences::remove(conn, site, id).await?,
            }
            let detail = json!({ "absence_id": id });
            let subject = Subject::Member(member.0);
            trail::leave(conn, &who, errand.now, "absence_ended", subject, detail).await
        }
        .boxed()
    })
    .await
}

/// Somebody who was let in, locked, so that their absences are told one after the other.
async fn lock(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<(), DeskError> {
    let_in(conn, site, member).await?;
    if members::lock(conn, site, &[member]).await?.is_empty() {
        return Err(DeskError::NotFound(Noun::Member));
    }
    Ok(())
}

fn insist_on_days(new: NewAbsence, today: NaiveDate) -> Result<(), DeskError> {
    let furthest = today.checked_add_days(Days::new(FURTHEST_DAYS));
    let too_far = |day: NaiveDate| furthest.is_none_or(|furthest| day > furthest);
    if new.first_day < today || too_far(new.first_day) {
        return Err(DeskError::conflict(
            "/first_day",
            format!("must be today or within {FURTHEST_DAYS} days from today"),
        ));
    }
    match new.last_day {
        Some(last) if last < new.first_day => Err(DeskError::conflict(
            "/last_day",
            "must not be before first_day",
        )),
        Some(last) if too_far(last) => Err(DeskError::conflict(
            "/last_day",
            format!("must be within {FURTHEST_DAYS} days from today, or left out"),
        )),
        _ => Ok(()),
    }
}

fn overlaps(met: Option<&AbsenceRow>) -> DeskError {
    let which = match met {
        None => "another absence".to_owned(),
        Some(row) => match row.last_day {
            Some(last) => format!("the absence from {} to {last}", row.first_day),
            None => format!("the absence from {} on", row.first_day),
        },
    };
    DeskError::conflict("/first_day", format!("must not overlap {which}"))
}

fn absence(row: &AbsenceRow) -> Absence {
    Absence {
        id: AbsenceId(row.id),
        first_day: row.first_day,
        last_day: row.last_day,
        created_at: row.created_at,
    }
}
