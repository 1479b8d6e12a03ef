//! Which place of a turn each of its people has. Whoever stays keeps their place; those who
//! come get the places of those who go, and free ones, in order.

use crate::store::places::{Holder, PlaceRow};
use std::collections::BTreeSet;
use wormrota_domain::ids::MemberId;

/// A place of a turn, and who is to hold it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Seat {
    /// The place as it is.
    pub place: PlaceRow,
    /// Who is to have it; none leaves it free.
    pub then: Option<Holder>,
}

impl Seat {
    /// A place whose holder keeps it, or that stays free.
    pub(super) fn unchanged(place: PlaceRow) -> Self {
        Self {
            then: place.holder(),
            place,
        }
    }

    /// The member who is to have it.
    pub(super) const fn then_member(&self) -> Option<MemberId> {
        match self.then {
            Some(Holder::Member(member)) => Some(member),
            Some(Holder::Pupil(_)) | None => None,
        }
    }

    /// Whether it gets another holder, or none.
    pub(super) fn changes(&self) -> bool {
        self.place.holder() != self.then
    }
}

/// The places of one turn with those who are to be on it. Whoever `stays_anyhow` keeps their
/// place whatever the rota says.
pub(super) fn seats(
    mut places: Vec<PlaceRow>,
    on: &BTreeSet<MemberId>,
    stays_anyhow: impl Fn(MemberId, &PlaceRow) -> bool,
) -> Vec<Seat> {
    places.sort_by_key(|place| place.seat);
    let stays = |place: &PlaceRow| match place.holder() {
        Some(Holder::Member(member)) => on.contains(&member) || stays_anyhow(member, place),
        Some(Holder::Pupil(_)) => true,
        None => false,
    };
    let seated: BTreeSet<MemberId> = (places.iter())
        .filter_map(|place| place.member_id.map(MemberId))
        .collect();
    let mut coming = on.difference(&seated).copied();
    let seat = |place: PlaceRow| {
        let then = if stays(&place) {
            place.holder()
        } else {
            coming.next().map(Holder::Member)
        };
        Seat { place, then }
    };
    places.into_iter().map(seat).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::places::How;
    use chrono::DateTime;
    use uuid::Uuid;
    use wormrota_domain::ids::{PlaceId, PupilId, SiteId, TurnId};

    fn member(n: u128) -> MemberId {
        MemberId(Uuid::from_u128(n))
    }

    fn place(seat: i16, holder: Option<Holder>) -> PlaceRow {
        let nil = Uuid::nil();
        let id = Uuid::from_u128(u128::from(seat.unsigned_abs()));
        let mut place = PlaceRow::free(SiteId(nil), PlaceId(id), TurnId(nil), seat);
        if let Some(holder) = holder {
            place.give(holder, How::Rota, DateTime::UNIX_EPOCH);
        }
        place
    }

    /// Guards that nobody who stays is moved, and that nobody without a part is sent away.
    #[test]
    fn whoever_stays_keeps_their_place_and_others_fill_the_gaps() {
        let of = |n| Some(Holder::Member(member(n)));
        let pupil = Some(Holder::Pupil(PupilId(Uuid::from_u128(9))));
        let places = vec![
            place(5, pupil),
            place(4, None),
            place(3, of(3)),
            place(2, of(2)),
            place(1, of(1)),
        ];
        let on = BTreeSet::from([member(2), member(7)]);
        let seats = seats(places, &on, |one, _| one == member(3));
        let then: Vec<_> = seats.iter().map(|seat| seat.then).collect();
        assert_eq!(then, [of(7), of(2), of(3), None, pupil]);
        let changes: Vec<_> = seats.iter().map(Seat::changes).collect();
        assert_eq!(changes, [true, false, false, false, false]);
    }
}
