//! Who of a class is when: for the adults of the class, and for educators.

use super::at_hand::SiteAtHand;
use super::classes::{Class, seen};
use super::fields::insist_on_years;
use super::membership::admit;
use super::{Desk, DeskError, Errand};
use crate::store::turns::TurnRow;
use crate::store::{Conn, absences, bins, class_turns, places, turns};
use chrono::{Days, NaiveDate, NaiveTime};
use futures_util::FutureExt;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, ClassId, PlaceId, PupilId, SiteId, TurnId};

/// Days of a list when nobody says how many.
const USUAL_DAYS: u64 = 28;
/// Days of a list at most.
const MOST_DAYS: i64 = 400;
/// Turns of a list at most.
const MOST_TURNS: i64 = 5_000;

/// A turn of the class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DutyTurn {
    /// The turn.
    pub id: TurnId,
    /// The bin.
    pub bin: BinId,
    /// What the bin is called.
    pub bin_name: String,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done, as a code.
    pub duty: String,
    /// From when to when, as the site counts hours, if not all day.
    pub hours: Option<(NaiveTime, NaiveTime)>,
    /// Whether it does not take place.
    pub is_called_off: bool,
    /// Its places, by seat.
    pub places: Vec<DutyPlace>,
}

/// A place of such a turn. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq)]
pub struct DutyPlace {
    /// The place.
    pub id: PlaceId,
    /// Whether somebody has it.
    pub is_held: bool,
    /// The pupil who has it, if one does.
    pub pupil: Option<PupilId>,
    /// What the pupil is called; none once they are erased.
    pub label: Option<String>,
    /// Whether the pupil is away on that day.
    pub is_away: bool,
}

impl fmt::Debug for DutyPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "DutyPlace({}, {:?})", self.id, self.pupil)
    }
}

/// The turns of a class from one day to another, as one comes after the other: from today on
/// and for four weeks, when nothing else is said.
pub async fn list_duty(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    (from, to): (Option<NaiveDate>, Option<NaiveDate>),
) -> Result<Vec<DutyTurn>, DeskError> {
    insist_on_years(&[("/from", from), ("/to", to)])?;
    desk.store()
        .read("list a class's duty", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeClasses).await?;
                let class = seen(conn, &who, class).await?;
                let today = SiteAtHand::load(conn, site).await?.day(errand.now);
                let from = from.unwrap_or(today);
                let usual = from.checked_add_days(Days::new(USUAL_DAYS - 1));
                let to = to.or(usual).unwrap_or(from);
                if to < from || (to - from).num_days() >= MOST_DAYS {
                    let detail = format!("must be from on, for at most {MOST_DAYS} days");
                    return Err(DeskError::conflict("/to", detail));
                }
                let span = (from, to);
                let rows = class_turns::of_class(conn, site, class.id, span, MOST_TURNS).await?;
                on_turns(conn, site, &class, rows).await
            }
            .boxed()
        })
        .await
}

/// Some of the turns of a class.
pub async fn see_duty(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    of: Vec<TurnId>,
) -> Result<Vec<DutyTurn>, DeskError> {
    desk.store()
        .read(
            "see a class's duty",
            (errand, of),
            move |conn, (errand, of)| {
                async move {
                    let who = admit(conn, errand, site, Deed::SeeClasses).await?;
                    let class = seen(conn, &who, class).await?;
                    let mut rows = Vec::new();
                    for turn in of {
                        let found = turns::by_id(conn, site, *turn).await?;
                        rows.extend(found.filter(|row| row.class_id == Some(class.id.0)));
                    }
                    on_turns(conn, site, &class, rows).await
                }
                .boxed()
            },
        )
        .await
}

/// These turns of a class that the caller may see, with who is on them.
pub(super) async fn on_turns(
    conn: &mut Conn,
    site: SiteId,
    class: &Class,
    rows: Vec<TurnRow>,
) -> Result<Vec<DutyTurn>, DeskError> {
    let ids: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
    let held = places::of_turns(conn, site, &ids).await?;
    let labels: BTreeMap<PupilId, &str> = (class.pupils.iter())
        .map(|pupil| (pupil.id, pupil.label.as_str()))
        .collect();
    let pupils: Vec<PupilId> = labels.keys().copied().collect();
    let days = rows.iter().map(|row| row.on_date);
    let away: BTreeSet<(PupilId, NaiveDate)> = match (days.clone().min(), days.max()) {
        (Some(first), Some(last)) => absences::of_pupils(conn, site, &pupils, first, last)
            .await?
            .into_iter()
            .collect(),
        _ => BTreeSet::new(),
    };
    let mut names: BTreeMap<BinId, String> =
        bins::names_of_site(conn, site).await?.into_iter().collect();
    names.retain(|bin, _| rows.iter().any(|row| row.bin_id == bin.0));
    let place = |row: &places::PlaceRow, on_date| {
        let pupil = row.pupil_id.map(PupilId);
        DutyPlace {
            id: PlaceId(row.id),
            is_held: row.holder().is_some(),
            pupil,
            label: pupil.and_then(|pupil| labels.get(&pupil).map(|label| (*label).to_owned())),
            is_away: pupil.is_some_and(|pupil| away.contains(&(pupil, on_date))),
        }
    };
    Ok(rows
        .into_iter()
        .map(|row| DutyTurn {
            places: (held.iter())
                .filter(|place| place.turn_id == row.id)
                .map(|found| place(found, row.on_date))
                .collect(),
            id: TurnId(row.id),
            bin: BinId(row.bin_id),
            bin_name: names.get(&BinId(row.bin_id)).cloned().unwrap_or_default(),
            on_date: row.on_date,
            duty: row.duty,
            hours: row.opens.zip(row.closes),
            is_called_off: row.called_off.is_some(),
        })
        .collect())
}
