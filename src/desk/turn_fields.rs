//! What a turn, and a pattern of turns, can be made of; checked once at the door.

use super::DeskError;
use super::change::Change;
use super::classes::kept;
use super::fields::Check;
use super::membership::Membership;
use crate::store::classes::ClassRow;
use crate::store::{Conn, bins};
use chrono::NaiveTime;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, ClassId, SiteId};
use wormrota_domain::turns::{Window, seats};

/// Places of a turn at most.
pub(super) const MOST_PLACES: u32 = seats::MOST as u32;
/// What a turn can cost at most.
pub(super) const MOST_EFFORT: u32 = 20;

/// Hours of a turn, as somebody says them: neither, or both.
pub(super) type SaidHours = (Option<NaiveTime>, Option<NaiveTime>);

impl Check {
    /// How many places a turn has.
    pub(super) fn places(&mut self, places: u32) -> i16 {
        self.one_to("/places", places, MOST_PLACES)
    }

    /// What a turn costs.
    pub(super) fn effort(&mut self, effort: u32) -> i16 {
        self.one_to("/effort", effort, MOST_EFFORT)
    }

    /// Hours that go together.
    pub(super) fn hours(&mut self, (opens, closes): SaidHours) {
        match (opens, closes) {
            (Some(opens), Some(closes)) if Window::new(opens, closes).is_err() => {
                self.conflict("/closes", "must be later than `opens`, on the same day");
            }
            (Some(_), None) => self.conflict("/closes", "must be given where `opens` is"),
            (None, Some(_)) => self.conflict("/opens", "must be given where `closes` is"),
            _ => {}
        }
    }

    fn one_to(&mut self, pointer: &str, number: u32, most: u32) -> i16 {
        if !(1..=most).contains(&number) {
            self.wrong(pointer, format!("must be 1 to {most}"));
        }
        i16::try_from(number).unwrap_or(i16::MAX)
    }
}

/// Other hours, if they go together with what stays.
pub(super) fn changed_hours(
    stored: SaidHours,
    opens: Change<NaiveTime>,
    closes: Change<NaiveTime>,
) -> Result<SaidHours, DeskError> {
    let (mut from, mut until) = stored;
    opens.apply(&mut from);
    closes.apply(&mut until);
    let mut check = Check::default();
    check.hours((from, until));
    check.done()?;
    Ok((from, until))
}

/// A bin in use.
pub(super) async fn insist_on_bin(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
) -> Result<(), DeskError> {
    let row = bins::by_id(conn, site, bin).await?;
    if row.is_some_and(|row| row.retired_at.is_none()) {
        Ok(())
    } else {
        Err(DeskError::conflict(
            "/bin_id",
            "must be a bin of this site that is in use",
        ))
    }
}

/// A class that a body names, locked: the caller's to keep, and going on.
pub(super) async fn insist_on_class(
    conn: &mut Conn,
    who: &Membership,
    class: ClassId,
) -> Result<ClassRow, DeskError> {
    match kept(conn, who, class, None).await {
        Ok((row, _)) => Ok(row),
        Err(DeskError::NotFound(_)) => Err(DeskError::conflict(
            "/class_id",
            "must be a class of yours: only an educator keeps the turns of every class",
        )),
        Err(other) => Err(other),
    }
}

/// Keeps turns of a class for its adults and for educators; locks the class.
pub(super) async fn insist_on_own(
    conn: &mut Conn,
    who: &Membership,
    class: Option<ClassId>,
) -> Result<(), DeskError> {
    let Some(class) = class else {
        return Ok(());
    };
    match kept(conn, who, class, None).await {
        Ok(_) => Ok(()),
        Err(DeskError::NotFound(_)) => Err(DeskError::Forbidden(Deed::KeepTurns)),
        Err(other) => Err(other),
    }
}
