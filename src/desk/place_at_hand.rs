//! Turns whose lock is held, with their places: what everybody needs who changes who holds
//! one.

use super::cover;
use super::keep_class::zone_of;
use super::membership::Membership;
use super::people::let_in;
use super::place_rules::PlaceRules;
use super::sites::give_back_days;
use super::{DeskError, Noun};
use crate::store::bookings::{self, BookingState};
use crate::store::places::{self, Holder, How, PlaceRow};
use crate::store::turns::{self, TurnRow};
use crate::store::{Conn, limits, members, sites};
use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveDateTime, Utc};
use std::collections::BTreeSet;
use wormrota_domain::access::Deed;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{BookingId, MemberId, PlaceId, SiteId, TurnId};

/// What the trail calls a wish that somebody went against.
pub(super) const OVERRULED: &str = "rather_not";

/// A turn, locked, with its places by seat.
#[derive(Debug, Clone)]
pub(super) struct TurnAtHand {
    pub row: TurnRow,
    pub places: Vec<PlaceRow>,
}

/// What a site says about days, and which one it is there.
#[derive(Debug, Clone, Copy)]
pub(super) struct SiteDays {
    pub today: NaiveDate,
    zone: SiteZone,
    now: NaiveDateTime,
    give_back: Days,
}

impl SiteDays {
    pub(super) async fn load(
        conn: &mut Conn,
        site: SiteId,
        now: DateTime<Utc>,
    ) -> Result<Self, DeskError> {
        let row = sites::by_id(conn, site).await?;
        let row = row.ok_or(DeskError::NotFound(Noun::Site))?;
        let zone = zone_of(&row.zone)?;
        let wall = zone.wall(now);
        Ok(Self {
            today: wall.date(),
            zone,
            now: wall,
            give_back: Days::new(give_back_days(row.give_back_days)?.into()),
        })
    }

    /// The local day of an instant.
    pub(super) fn day(&self, at: DateTime<Utc>) -> NaiveDate {
        self.zone.local_date(at)
    }

    /// Insists that a holder can still give back a place of a turn.
    pub(super) fn insist_on_time(&self, turn: &TurnRow) -> Result<(), DeskError> {
        let last_day = self.last_day(turn);
        if self.today > last_day {
            return Err(DeskError::TooLate { last_day });
        }
        Ok(())
    }

    /// The instant from which on no place of a turn is given back any more.
    pub(super) fn settled_at(&self, turn: &TurnRow) -> DateTime<Utc> {
        let last_day = self.last_day(turn);
        self.zone
            .start_of_day(last_day.succ_opt().unwrap_or(last_day))
    }

    fn last_day(&self, turn: &TurnRow) -> NaiveDate {
        let last_day = turn.on_date.checked_sub_days(self.give_back);
        last_day.unwrap_or(turn.on_date)
    }
}

impl TurnAtHand {
    /// Locks a turn and reads its places behind the lock.
    pub(super) async fn lock(
        conn: &mut Conn,
        site: SiteId,
        turn: TurnId,
    ) -> Result<Self, DeskError> {
        let found = Self::lock_all(conn, site, &[turn]).await?;
        let turn = found.into_iter().next();
        turn.ok_or(DeskError::NotFound(Noun::Turn))
    }

    /// Locks turns and reads their places behind the locks; those that are there, by key.
    pub(super) async fn lock_all(
        conn: &mut Conn,
        site: SiteId,
        ids: &[TurnId],
    ) -> Result<Vec<Self>, DeskError> {
        let rows = turns::lock(conn, site, ids).await?;
        let places = places::of_turns(conn, site, ids).await?;
        Ok(rows
            .into_iter()
            .map(|row| Self {
                places: (places.iter().filter(|place| place.turn_id == row.id))
                    .cloned()
                    .collect(),
                row,
            })
            .collect())
    }

    pub(super) const fn id(&self) -> TurnId {
        TurnId(self.row.id)
    }

    /// Insists that the turn is still to come, or today, and takes place.
    pub(super) fn insist_on_going(&self, today: NaiveDate) -> Result<(), DeskError> {
        if self.row.on_date < today || self.row.called_off.is_some() {
            return Err(DeskError::TurnOver);
        }
        Ok(())
    }

    /// Insists that its free places are anybody's to take: on a day that its pattern does not
    /// want any more, and once its hours are over, only those stay who hold one, and whom
    /// somebody sends.
    pub(super) fn insist_on_offer(&self, days: &SiteDays) -> Result<(), DeskError> {
        let closes = self.row.closes.map(|at| self.row.on_date.and_time(at));
        if self.row.off_pattern || closes.is_some_and(|closes| closes <= days.now) {
            return Err(DeskError::TurnOver);
        }
        Ok(())
    }

    /// Insists that members take the turn: those of a class are handed out by its duty.
    pub(super) fn insist_on_members(&self, pointer: &str) -> Result<(), DeskError> {
        if self.row.class_id.is_some() {
            let detail = "must be of a turn that no class takes";
            return Err(DeskError::conflict(pointer, detail));
        }
        Ok(())
    }

    /// Whether a member holds a place of it.
    pub(super) fn has(&self, member: MemberId) -> bool {
        let mut places = self.places.iter();
        places.any(|place| place.member_id == Some(member.0))
    }

    /// The members who hold a place of it.
    pub(super) fn members(&self) -> impl Iterator<Item = MemberId> + '_ {
        self.places
            .iter()
            .filter_map(|place| place.member_id.map(MemberId))
    }

    /// The free place with the lowest seat, for a member who holds none.
    pub(super) fn free_for(&mut self, member: MemberId) -> Result<&mut PlaceRow, DeskError> {
        if self.has(member) {
            return Err(DeskError::HeldAlready);
        }
        let mut places = self.places.iter_mut();
        places
            .find(|place| place.holder().is_none())
            .ok_or(DeskError::NoFreePlace)
    }

    /// A place of it, with whoever was seen to hold it before the lock was taken.
    pub(super) fn held_by(
        &mut self,
        place: PlaceId,
        member: MemberId,
    ) -> Result<&mut PlaceRow, DeskError> {
        let mut places = self.places.iter_mut();
        let found = places.find(|row| row.id == place.0);
        found
            .filter(|row| row.holder() == Some(Holder::Member(member)))
            .ok_or(DeskError::NotTheHolder)
    }
}

/// Reads what rules about some turns look at, with somebody who is to come onto one of them.
pub(super) async fn rules_of(
    conn: &mut Conn,
    who: &Membership,
    turns: &[&TurnAtHand],
    coming: &[MemberId],
) -> Result<PlaceRules, DeskError> {
    let rows: Vec<&TurnRow> = turns.iter().map(|turn| &turn.row).collect();
    let members: BTreeSet<MemberId> = turns
        .iter()
        .flat_map(|turn| turn.members())
        .chain(coming.iter().copied())
        .collect();
    PlaceRules::load(conn, who, &rows, &members).await
}

/// Locks those who get or lose a place. Whoever is to get one was let in and has not left;
/// `pointer` is the field that names them.
pub(super) async fn lock_members(
    conn: &mut Conn,
    who: &Membership,
    losing: &[MemberId],
    getting: &[(MemberId, &str)],
) -> Result<(), DeskError> {
    let all: Vec<MemberId> = getting
        .iter()
        .map(|(member, _)| *member)
        .chain(losing.iter().copied())
        .collect();
    members::lock(conn, who.site, &all).await?;
    for (member, pointer) in getting {
        match let_in(conn, who.site, *member).await {
            Ok(_) => {}
            // Left while they waited for the lock: for them there is no such site any more.
            Err(DeskError::NotFound(Noun::Member)) if *member == who.member => {
                return Err(DeskError::NotFound(Noun::Site));
            }
            Err(DeskError::NotFound(Noun::Member)) => {
                let detail = "must be a member of this site";
                return Err(DeskError::conflict(*pointer, detail));
            }
            Err(other) => return Err(other),
        }
    }
    Ok(())
}

/// Insists that whoever gives a place to somebody else says so, where the member would rather
/// not on that weekday; true if it goes against a wish.
pub(super) async fn insist_on_wishes(
    conn: &mut Conn,
    site: SiteId,
    getting: &[(MemberId, &TurnRow)],
    overrule: bool,
) -> Result<bool, DeskError> {
    let members: Vec<MemberId> = getting.iter().map(|(member, _)| *member).collect();
    let limits = limits::of_members(conn, site, &members).await?;
    let unwanted = |(member, turn): &(MemberId, &TurnRow)| {
        let weekday = i16::try_from(turn.on_date.weekday().number_from_monday());
        limits.iter().any(|row| {
            row.member_id == member.0
                && weekday.is_ok_and(|day| row.rather_not_weekdays.contains(&day))
        })
    };
    let against = getting.iter().any(unwanted);
    if against && !overrule {
        let detail = "must be true to give a place to a member on a weekday that they would \
                      rather not have (rather_not_weekdays)";
        return Err(DeskError::conflict("/overrule", detail));
    }
    Ok(against)
}

/// Gives back the room that a place stood for, and gives the booking; none where it was used, or
/// given back by itself.
pub(super) async fn end_booking(
    conn: &mut Conn,
    site: SiteId,
    booking: Option<BookingId>,
) -> Result<Option<BookingId>, DeskError> {
    let Some(booking) = booking else {
        return Ok(None);
    };
    let ended = bookings::end(conn, site, booking, BookingState::Withdrawn).await?;
    Ok(ended.then_some(booking))
}

/// How a place comes to a member.
#[derive(Debug, Clone, Copy)]
pub(super) struct Giving {
    pub to: MemberId,
    pub how: How,
    /// Whether the planner leaves it alone, unless that follows from how.
    pub kept: Option<bool>,
    /// The room that the member booked for it.
    pub booking: Option<BookingId>,
}

impl Giving {
    /// Gives a place to the member, who may follow somebody whose booking for it then ends; gives
    /// that. The turn is locked, and so are both members.
    pub(super) async fn write(
        self,
        conn: &mut Conn,
        place: &mut PlaceRow,
        now: DateTime<Utc>,
    ) -> Result<Option<BookingId>, DeskError> {
        let before = place.clear();
        let ended = end_booking(conn, SiteId(place.site_id), before).await?;
        place.give(Holder::Member(self.to), self.how, now);
        place.kept = self.kept.unwrap_or(place.kept);
        place.booking_id = self.booking.map(|booking| booking.0);
        places::update(conn, place).await?;
        let on = (SiteId(place.site_id), PlaceId(place.id));
        cover::given(conn, on, (self.to, self.how), now).await?;
        Ok(ended)
    }
}

/// Whether the caller may do something about a place that another member holds or is to hold.
pub(super) fn insist_on_own(who: &Membership, member: MemberId) -> Result<(), DeskError> {
    if who.member == member || who.may(Deed::AssignPlaces) {
        Ok(())
    } else {
        Err(DeskError::Forbidden(Deed::AssignPlaces))
    }
}
