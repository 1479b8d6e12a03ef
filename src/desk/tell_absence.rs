//! Telling that a member is away, and taking it back. Told by themselves or by whoever looks
//! after the site; no reason is asked for. What they hold on these days is free from then on, and
//! somebody else is looked for where a bin needs it.

use super::at_hand::SiteAtHand;
use super::cover::{CameBack, GivenUp, GivingUp, come_back, give_up};
use super::limits::admit_to_limits;
use super::membership::Membership;
use super::people::let_in;
use super::place_at_hand::TurnAtHand;
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::absences::{self, AbsenceRow};
use crate::store::{Conn, members, places};
use chrono::{Days, NaiveDate};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{AbsenceId, MemberId, SiteId};

/// Days ahead that an absence can begin or end: two school years.
const FURTHEST_DAYS: u64 = 731;
/// Absences of one member that are not over.
const MOST_TO_COME: usize = 100;
/// No day of a turn is later: what an absence until further notice reaches to.
pub(super) const NEVER: NaiveDate = NaiveDate::MAX;

/// Days to be away.
#[derive(Debug, Clone, Copy)]
pub struct NewAbsence {
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day; none until further notice.
    pub last_day: Option<NaiveDate>,
    /// Whether it costs the member nothing; only whoever may change anybody's limits says so.
    pub excused: Option<bool>,
}

/// An absence that was told, with what follows from it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Told {
    /// The absence.
    pub id: AbsenceId,
    /// The places that the member held on these days, the earliest first.
    pub given_up: Vec<GivenUp>,
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
    let input = (new, desk.model());
    desk.write(
        "tell an absence",
        errand,
        input,
        move |conn, errand, (new, model)| {
            async move {
                let who = admit_to_limits(conn, errand, site, member).await?;
                if new.excused.is_some() && !who.may(Deed::ChangeLimits) {
                    return Err(DeskError::Forbidden(Deed::ChangeLimits));
                }
                lock(conn, site, member).await?;
                let at_hand = SiteAtHand::load(conn, site).await?;
                let today = at_hand.day(errand.now);
                insist_on_days(*new, today)?;
                let to_come = absences::of_members(conn, site, &[member], today, NEVER).await?;
                if to_come.len() >= MOST_TO_COME {
                    return Err(DeskError::TooMany { what: "absences" });
                }
                insist_on_none_met(&to_come, *new)?;
                let row = AbsenceRow {
                    site_id: site.0,
                    id: clock::fresh_id(),
                    member_id: member.0,
                    first_day: new.first_day,
                    last_day: new.last_day,
                    reported_by: who.member.0,
                    created_at: errand.now,
                    excused: new.excused,
                };
                absences::insert(conn, &row).await.map_err(|error| {
                    DeskError::from(error).where_taken("absences_apart", overlaps(None))
                })?;
                let days = (new.first_day, new.last_day.unwrap_or(NEVER));
                let turns = turns_held(conn, site, member, days).await?;
                let giving_up = GivingUp {
                    away: member,
                    absence: Some(AbsenceId(row.id)),
                    excused: new.excused.unwrap_or(true),
                    now: errand.now,
                };
                let mut news = TurnNews::of(&who);
                let giving = (&turns[..], &mut news);
                let given_up = give_up(conn, model, &at_hand, giving_up, giving).await?;
                news.owe(conn, row.id, errand.now).await?;
                // Not when: the trail outlives what is known of a member.
                let detail = json!({ "absence_id": row.id });
                leave_line(conn, &who, errand, (member, "absence_told"), detail).await?;
                Ok(Told {
                    id: AbsenceId(row.id),
                    given_up,
                })
            }
            .boxed()
        },
    )
    .await
}

/// The turns that the member holds on the days, the first and the last included, locked: those
/// called off among them, which can be on again.
pub(super) async fn turns_held(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    (first_day, last_day): (NaiveDate, NaiveDate),
) -> Result<Vec<TurnAtHand>, DeskError> {
    let held = places::turns_held_from(conn, site, member, first_day).await?;
    let mut turns = TurnAtHand::lock_all(conn, site, &held).await?;
    turns.retain(|turn| turn.row.on_date <= last_day);
    Ok(turns)
}

/// Takes an absence back: all of it when it has not begun, else from today on, since the days
/// that have passed are history. Places of it that nobody took are the member's again, as far as
/// the rules of the rota let them.
///
/// # Errors
/// [`DeskError::EndedAlready`] when it is over.
pub async fn end_absence(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    id: AbsenceId,
) -> Result<CameBack, DeskError> {
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
                    let days = (row.first_day, Some(yesterday));
                    absences::set_days(conn, site, id, days).await?;
                }
                _ => absences::remove(conn, site, id).await?,
            }
            let of = (member, id);
            let came_back = come_back(conn, &who, of, |_| true, errand.now).await?;
            let detail = json!({ "absence_id": id });
            leave_line(conn, &who, errand, (member, "absence_ended"), detail).await?;
            Ok(came_back)
        }
        .boxed()
    })
    .await
}

pub(super) async fn leave_line(
    conn: &mut Conn,
    who: &Membership,
    errand: &Errand,
    (member, deed): (MemberId, &'static str),
    detail: serde_json::Value,
) -> Result<(), DeskError> {
    let subject = Subject::Member(member.0);
    trail::leave(conn, who, errand.now, deed, subject, detail).await
}

/// Somebody who was let in, locked, so that their absences are told one after the other.
pub(super) async fn lock(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<(), DeskError> {
    let_in(conn, site, member).await?;
    if members::lock(conn, site, &[member]).await?.is_empty() {
        return Err(DeskError::NotFound(Noun::Member));
    }
    Ok(())
}

/// Insists that no other absence of the member lies on the days.
pub(super) fn insist_on_none_met(others: &[AbsenceRow], new: NewAbsence) -> Result<(), DeskError> {
    let until = new.last_day.unwrap_or(NEVER);
    let met = others.iter().find(|row| {
        row.first_day <= until && row.last_day.is_none_or(|last| last >= new.first_day)
    });
    met.map_or(Ok(()), |met| Err(overlaps(Some(met))))
}

/// Insists on days that can be meant.
pub(super) fn insist_on_days(new: NewAbsence, today: NaiveDate) -> Result<(), DeskError> {
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

/// Two absences of one member would lie on one day. What to do instead is said with it.
pub(super) fn overlaps(met: Option<&AbsenceRow>) -> DeskError {
    let which = match met {
        None => "another absence".to_owned(),
        Some(row) => {
            let days = match row.last_day {
                Some(last) => format!("from {} to {last}", row.first_day),
                None => format!("from {} on", row.first_day),
            };
            format!("the absence {days} ({})", row.id)
        }
    };
    let detail = format!("must not overlap {which}: change the days of that one instead");
    DeskError::conflict("/first_day", detail)
}
