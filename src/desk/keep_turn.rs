//! Adding one turn by hand, and changing one.

use super::change::Change;
use super::fields::Check;
use super::locked_turns::Locked;
use super::membership::admit_to_change;
use super::settle_turns::{add_turns, shut_days};
use super::trail::{self, Subject};
use super::turn_fields::{changed_hours, insist_on_bin, insist_on_class, insist_on_own};
use super::turn_news::TurnNews;
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::turns::{self, TurnRow};
use crate::store::{bookings, places, visits};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, ClassId, SiteId, TurnId};
use wormrota_domain::turns::pattern::MOST_DAYS;
use wormrota_domain::turns::{CalledOffBy, Duty};

/// Turns that a site may have on one day.
const MOST_ON_A_DAY: usize = 200;

/// A turn to be added by hand.
#[derive(Debug, Clone)]
pub struct NewTurn {
    /// The bin.
    pub bin: BinId,
    /// What is to be done.
    pub duty: Duty,
    /// The local day.
    pub on_date: NaiveDate,
    /// How many people it takes.
    pub places: u32,
    /// What it costs each of them.
    pub effort: u32,
    /// From when on.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// The class whose pupils take it, if one does.
    pub class: Option<ClassId>,
}

/// What is to change; `None` leaves a thing as it is.
#[derive(Debug, Clone, Default)]
pub struct TurnChange {
    /// Whether it does not take place.
    pub called_off: Option<bool>,
    /// As many people; held places stay.
    pub places: Option<u32>,
    /// As much effort.
    pub effort: Option<u32>,
    /// From when on.
    pub opens: Change<NaiveTime>,
    /// Until when.
    pub closes: Change<NaiveTime>,
}

/// Adds one turn with free places.
pub async fn add_turn(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewTurn,
) -> Result<TurnId, DeskError> {
    let mut check = Check::default();
    let places = check.places(new.places);
    let effort = check.effort(new.effort);
    check.hours((new.opens, new.closes));
    check.done()?;
    desk.write("add a turn", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
            insist_on_bin(conn, site, new.bin).await?;
            let today = zone_of_site(conn, site).await?.local_date(errand.now);
            insist_on_day(new.on_date, today)?;
            if let Some(class) = new.class {
                let class = insist_on_class(conn, &who, class).await?;
                if new.on_date > class.ends_on {
                    let detail = "must be the last day of the class or before";
                    return Err(DeskError::conflict("/on_date", detail));
                }
            }
            let day = new.on_date;
            if !shut_days(conn, site, day, day).await?.is_empty() {
                let detail = "must be a day on which the site is not shut";
                return Err(DeskError::conflict("/on_date", detail));
            }
            if turns::of_days(conn, site, None, day, day).await?.len() >= MOST_ON_A_DAY {
                return Err(DeskError::TooMany { what: "turns" });
            }
            let row = fresh(site, new, effort, errand.now);
            let id = TurnId(row.id);
            let detail = json!({ "bin_id": new.bin, "on_date": day });
            add_turns(conn, site, &[(row, places)]).await?;
            let subject = Subject::Turn(id.0);
            trail::leave(conn, &who, errand.now, "turn_added", subject, detail).await?;
            Ok(id)
        }
        .boxed()
    })
    .await
}

/// Changes one turn; with `expected`, only if its revision is still that one. Those who hold a
/// place of one that is called off keep it, but not the room that they booked with it.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`], and [`DeskError::TurnOver`] of a day that has passed.
pub async fn change_turn(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    turn: TurnId,
    expected: Option<i64>,
    change: TurnChange,
) -> Result<(), DeskError> {
    let mut check = Check::default();
    change.places.map(|places| check.places(places));
    let effort = change.effort.map(|effort| check.effort(effort));
    check.done()?;
    desk.write(
        "change a turn",
        errand,
        change,
        move |conn, errand, change| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
                let found = turns::by_id(conn, site, turn).await?;
                let found = found.ok_or(DeskError::NotFound(Noun::Turn))?;
                insist_on_own(conn, &who, found.class_id.map(ClassId)).await?;
                let locked = Locked::take(conn, site, &[turn]).await?;
                let row = locked.rows.first().ok_or(DeskError::NotFound(Noun::Turn))?;
                let mut row = row.clone();
                if expected.is_some_and(|revision| revision != row.revision) {
                    return Err(DeskError::ChangedMeanwhile);
                }
                let today = zone_of_site(conn, site).await?.local_date(errand.now);
                if row.on_date < today {
                    return Err(DeskError::TurnOver);
                }
                if let Some(off) = change.called_off {
                    let day = row.on_date;
                    let shut = !shut_days(conn, site, day, day).await?.is_empty();
                    let is_visit = !visits::among(conn, site, &[turn]).await?.is_empty();
                    if !off && shut && !is_visit {
                        let detail = "must be true while the site is shut on that day";
                        return Err(DeskError::conflict("/called_off", detail));
                    }
                    row.called_off = off.then(|| CalledOffBy::Hand.code().to_owned());
                }
                row.effort = effort.unwrap_or(row.effort);
                let hours = (row.opens, row.closes);
                (row.opens, row.closes) = changed_hours(hours, change.opens, change.closes)?;
                row.revision += 1;
                turns::update(conn, &row).await?;
                if change.called_off == Some(true) {
                    bookings::withdraw_of_turns(conn, site, &[turn]).await?;
                }
                if let Some(places) = change.places {
                    let wanted = usize::try_from(places).unwrap_or(usize::MAX);
                    let (more, fewer) = locked.reseated(turn, wanted);
                    places::delete(conn, site, &fewer).await?;
                    places::insert(conn, &more).await?;
                }
                let mut news = TurnNews::of(&who);
                news.since(conn, &locked).await?;
                news.owe(conn, row.id, errand.now).await?;
                let detail = json!({
                    "called_off": change.called_off, "places": change.places,
                    "effort": change.effort,
                    "hours": change.opens.is_one() || change.closes.is_one(),
                });
                let subject = Subject::Turn(row.id);
                trail::leave(conn, &who, errand.now, "turn_changed", subject, detail).await
            }
            .boxed()
        },
    )
    .await
}

fn insist_on_day(day: NaiveDate, today: NaiveDate) -> Result<(), DeskError> {
    let furthest = today.checked_add_days(Days::new(u64::from(MOST_DAYS)));
    if day < today || furthest.is_none_or(|furthest| day > furthest) {
        let detail = format!("must be today or within {MOST_DAYS} days from today");
        return Err(DeskError::conflict("/on_date", detail));
    }
    Ok(())
}

fn fresh(site: SiteId, new: &NewTurn, effort: i16, now: DateTime<Utc>) -> TurnRow {
    TurnRow {
        site_id: site.0,
        id: clock::fresh_id(),
        bin_id: new.bin.0,
        pattern_id: None,
        on_date: new.on_date,
        duty: new.duty.code().to_owned(),
        effort,
        opens: new.opens,
        closes: new.closes,
        class_id: new.class.map(|class| class.0),
        called_off: None,
        off_pattern: false,
        created_at: now,
        revision: 1,
    }
}
