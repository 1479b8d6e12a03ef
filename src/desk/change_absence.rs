//! Changing an absence: its days, by the member themselves or by whoever looks after the site, and
//! whether it costs anything.

use super::at_hand::SiteAtHand;
use super::change::Change;
use super::cover::{CameBack, GivenUp, GivingUp, come_back, give_up};
use super::limits::admit_to_limits;
use super::tell_absence::{
    NEVER, NewAbsence, insist_on_days, insist_on_none_met, leave_line, lock, overlaps, turns_held,
};
use super::turn_news::TurnNews;
use super::{Desk, DeskError, Errand, Noun};
use crate::store::absences::{self, AbsenceRow};
use crate::store::{Conn, calls};
use chrono::NaiveDate;
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{AbsenceId, MemberId, SiteId};

/// What is to be otherwise about an absence; what is none stays.
#[derive(Debug, Clone, Copy, Default)]
pub struct AbsenceChange {
    /// The first local day, as long as it has not begun.
    pub first_day: Option<NaiveDate>,
    /// The last local day; cleared until further notice.
    pub last_day: Change<NaiveDate>,
    /// Whether it costs the member nothing; only whoever may change anybody's limits says so.
    pub excused: Option<bool>,
}

/// What follows from other days.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Changed {
    /// The places that the member held on days that are now of the absence, the earliest first.
    pub given_up: Vec<GivenUp>,
    /// What became of places on days that are not any more.
    pub came_back: CameBack,
}

/// Changes an absence.
///
/// # Errors
/// [`DeskError::EndedAlready`] for other days of one that is over; [`DeskError::Conflicting`] for
/// days that cannot be; [`DeskError::Forbidden`] when a resident says what it costs.
pub async fn change_absence(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    (member, id): (MemberId, AbsenceId),
    change: AbsenceChange,
) -> Result<Changed, DeskError> {
    let input = (change, desk.model());
    let name = "change an absence";
    desk.write(name, errand, input, move |conn, errand, (change, model)| {
        async move {
            let who = admit_to_limits(conn, errand, site, member).await?;
            if change.excused.is_some() && !who.may(Deed::ChangeLimits) {
                return Err(DeskError::Forbidden(Deed::ChangeLimits));
            }
            lock(conn, site, member).await?;
            let row = absences::by_id(conn, site, member, id).await?;
            let row = row.ok_or(DeskError::NotFound(Noun::Absence))?;
            if let Some(excused) = change.excused {
                absences::excuse(conn, site, id, excused).await?;
                calls::excuse(conn, site, id.0, excused).await?;
                let detail = json!({ "absence_id": id, "excused": excused });
                leave_line(conn, &who, errand, (member, "absence_excused"), detail).await?;
            }
            let new = change.days_of(&row);
            if (new.first_day, new.last_day) == (row.first_day, row.last_day) {
                return Ok(Changed::default());
            }
            let at_hand = SiteAtHand::load(conn, site).await?;
            let today = at_hand.day(errand.now);
            move_days(conn, &row, new, today).await?;
            let is_there = |day| day < new.first_day || new.last_day.is_some_and(|last| day > last);
            let of = (member, id);
            let came_back = come_back(conn, &who, of, is_there, errand.now).await?;
            let days = (new.first_day.max(today), new.last_day.unwrap_or(NEVER));
            let turns = turns_held(conn, site, member, days).await?;
            let giving_up = GivingUp {
                away: member,
                absence: Some(id),
                excused: new.excused.unwrap_or(true),
                now: errand.now,
            };
            let mut news = TurnNews::of(&who);
            let giving = (&turns[..], &mut news);
            let given_up = give_up(conn, model, &at_hand, giving_up, giving).await?;
            news.owe(conn, id.0, errand.now).await?;
            // Not when: the trail outlives what is known of a member.
            let detail = json!({ "absence_id": id });
            leave_line(conn, &who, errand, (member, "absence_changed"), detail).await?;
            Ok(Changed {
                given_up,
                came_back,
            })
        }
        .boxed()
    })
    .await
}

impl AbsenceChange {
    /// The days after it.
    fn days_of(&self, row: &AbsenceRow) -> NewAbsence {
        let mut last_day = row.last_day;
        self.last_day.apply(&mut last_day);
        NewAbsence {
            first_day: self.first_day.unwrap_or(row.first_day),
            last_day,
            excused: self.excused.or(row.excused),
        }
    }
}

/// Gives an absence other days. Those that have passed are history.
async fn move_days(
    conn: &mut Conn,
    row: &AbsenceRow,
    new: NewAbsence,
    today: NaiveDate,
) -> Result<(), DeskError> {
    if row.last_day.is_some_and(|last| last < today) {
        return Err(DeskError::EndedAlready);
    }
    let has_begun = row.first_day < today;
    if has_begun && new.first_day != row.first_day {
        let detail = "must stay as it is: the absence has begun";
        return Err(DeskError::conflict("/first_day", detail));
    }
    if new.last_day.is_some_and(|last| last < today) {
        let detail = "must be today or later: take the absence back to be there from today on";
        return Err(DeskError::conflict("/last_day", detail));
    }
    let to_come = NewAbsence {
        first_day: new
            .first_day
            .max(if has_begun { today } else { new.first_day }),
        ..new
    };
    insist_on_days(to_come, today)?;
    let (site, member) = (SiteId(row.site_id), MemberId(row.member_id));
    let mut others = absences::of_members(conn, site, &[member], today, NEVER).await?;
    others.retain(|other| other.id != row.id);
    insist_on_none_met(&others, new)?;
    let days = (new.first_day, new.last_day);
    let moved = absences::set_days(conn, site, AbsenceId(row.id), days).await;
    moved.map_err(|error| DeskError::from(error).where_taken("absences_apart", overlaps(None)))
}
