//! A place as its holder has it: what is answered to whoever takes, gives or changes one.

use super::DeskError;
use super::at_hand::unreadable;
use super::book::Booked;
use crate::store::places::{How, PlaceRow};
use crate::store::turns::TurnRow;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{BinId, BookingId, MemberId, PlaceId, TurnId};

/// A place as its holder has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Held {
    /// The place.
    pub id: PlaceId,
    /// The turn.
    pub turn: TurnId,
    /// The bin.
    pub bin: BinId,
    /// The local day.
    pub on_date: NaiveDate,
    /// 1, 2 and so on.
    pub seat: i16,
    /// The holder.
    pub member: MemberId,
    /// How they came to it.
    pub how: How,
    /// Whether the planner leaves it alone.
    pub kept: bool,
    /// Since when they hold it.
    pub held_since: DateTime<Utc>,
    /// The booking of what they bring, if they said how much.
    pub booking: Option<BookingId>,
}

/// What came of asking for a place, or for another amount.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Placed {
    /// The place is held, with what was decided about the amount, if that was asked.
    Held(Box<Held>, Option<Box<Booked>>),
    /// The bin could not take the amount: the place is as it was before.
    Refused(Box<Booked>),
}

impl Held {
    pub(super) fn of(turn: &TurnRow, place: &PlaceRow) -> Result<Self, DeskError> {
        let how = place.how.as_deref().and_then(How::from_code);
        Ok(Self {
            id: PlaceId(place.id),
            turn: TurnId(turn.id),
            bin: BinId(turn.bin_id),
            on_date: turn.on_date,
            seat: place.seat,
            member: (place.member_id.map(MemberId))
                .ok_or_else(|| unreadable("places.member_id"))?,
            how: how.ok_or_else(|| unreadable("places.how"))?,
            kept: place.kept,
            held_since: (place.held_since).ok_or_else(|| unreadable("places.held_since"))?,
            booking: place.booking_id.map(BookingId),
        })
    }
}

impl Placed {
    pub(super) fn held(
        turn: &TurnRow,
        place: &PlaceRow,
        booked: Option<Booked>,
    ) -> Result<Self, DeskError> {
        let held = Held::of(turn, place)?;
        Ok(Self::Held(Box::new(held), booked.map(Box::new)))
    }
}
