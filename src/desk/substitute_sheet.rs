//! What somebody needs who stands in for a teacher for one day.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::classes::{Class, Part, seen};
use super::membership::admit;
use super::see_duty::{DutyTurn, on_turns};
use super::{Desk, DeskError, Errand};
use crate::store::{absences, bins, class_turns};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use std::collections::BTreeSet;
use wormrota_domain::access::Deed;
use wormrota_domain::food::SiteFoodList;
use wormrota_domain::ids::{BinId, ClassId, PupilId, SiteId};
use wormrota_domain::living_bin::outlook::{Outlook, Room};

/// Bins that a sheet speaks of.
const MOST_BINS: i64 = 100;
/// Turns that a sheet speaks of.
const MOST_TURNS: i64 = 100;

/// A sheet for one day. Its `Debug` output holds no name.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The class.
    pub class: Class,
    /// Its pupils who are away on that day, as far as somebody said so.
    pub away: BTreeSet<PupilId>,
    /// The local day that it is for.
    pub on_date: NaiveDate,
    /// The first moment of that day.
    pub starts_at: DateTime<Utc>,
    /// The moment at which the bins were looked at.
    pub at: DateTime<Utc>,
    /// Whether that is the day itself: what a bin can take on a later one is not known yet.
    pub is_today: bool,
    /// The turns of the class that take place on that day, with who is on them.
    pub duty: Vec<DutyTurn>,
    /// The bins of the site in use.
    pub bins: Vec<SheetBin>,
    /// What the site keeps out.
    pub foods: SiteFoodList,
}

impl Sheet {
    /// What the pupils are called who are away on that day.
    pub fn away(&self) -> impl Iterator<Item = &str> {
        let pupils = self.class.pupils.iter();
        pupils
            .filter(|pupil| self.away.contains(&pupil.id))
            .map(|pupil| pupil.label.as_str())
    }

    /// What the teachers of the class are called.
    pub fn teachers(&self) -> impl Iterator<Item = &str> {
        let adults = self.class.adults.iter();
        adults
            .filter(|adult| adult.part == Part::Teacher)
            .filter_map(|adult| adult.name.as_deref())
    }
}

/// A bin on a sheet.
#[derive(Debug, Clone)]
pub struct SheetBin {
    /// The bin.
    pub id: BinId,
    /// What it is called.
    pub name: String,
    /// What it can take now; none while no worms live in it.
    pub room: Option<RoomNow>,
}

/// What a bin on a sheet can take now.
#[derive(Debug, Clone)]
pub struct RoomNow {
    /// The room with the rules behind it.
    pub room: Room,
    /// Whether nobody measured the bed.
    pub temperature_assumed: bool,
}

/// The sheet of a class for a day: today, or a later one up to the class's last.
pub async fn see_sheet(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    on_date: Option<NaiveDate>,
) -> Result<Sheet, DeskError> {
    let model = desk.model();
    desk.store()
        .read("see a sheet", errand, move |conn, errand| {
            let model = model.clone();
            async move {
                let who = admit(conn, errand, site, Deed::SeeClasses).await?;
                let class = seen(conn, &who, class).await?;
                if class.ended_at.is_some() {
                    return Err(DeskError::ClassEnded);
                }
                let at = SiteAtHand::load(conn, site).await?;
                let today = at.day(errand.now);
                let on_date = on_date.unwrap_or(today);
                if on_date < today || on_date > class.ends_on {
                    return Err(DeskError::conflict(
                        "/on_date",
                        "must be today or a later day up to the last one of the class",
                    ));
                }
                let day = (on_date, on_date);
                let mut rows = class_turns::of_class(conn, site, class.id, day, MOST_TURNS).await?;
                rows.retain(|row| row.called_off.is_none());
                let duty = on_turns(conn, site, &class, rows).await?;
                let pupils: Vec<PupilId> = class.pupils.iter().map(|pupil| pupil.id).collect();
                let away = absences::of_pupils(conn, site, &pupils, on_date, on_date).await?;
                let mut found = Vec::new();
                for row in bins::of_site(conn, site, None, MOST_BINS).await? {
                    if row.retired_at.is_some() {
                        continue;
                    }
                    let id = BinId(row.id);
                    let room = if row.head_event.is_some() {
                        let bin =
                            BinAtHand::load(conn, &model, &at, id, errand.now, Hold::Look).await?;
                        let kept = bin.kept_bookings(&at, None);
                        let bed = bin.habitat.bed_temperature(bin.state.reading, bin.now);
                        Some(RoomNow {
                            room: Outlook::cautious(&bin.habitat, &bin.state).room(&kept),
                            temperature_assumed: bed.assumed,
                        })
                    } else {
                        None
                    };
                    found.push(SheetBin {
                        id,
                        name: row.name,
                        room,
                    });
                }
                Ok(Sheet {
                    class,
                    away: away.into_iter().map(|(pupil, _)| pupil).collect(),
                    on_date,
                    starts_at: at.zone.start_of_day(on_date),
                    at: errand.now,
                    is_today: on_date == today,
                    duty,
                    bins: found,
                    foods: at.list,
                })
            }
            .boxed()
        })
        .await
}
