//! Turns that are locked, and what a change of their pattern or of one of them does to their
//! hours, their effort and their places.

use super::DeskError;
use super::at_hand::unreadable;
use crate::clock;
use crate::store::Conn;
use crate::store::patterns::PatternRow;
use crate::store::places::{self, PlaceRow};
use crate::store::turns::{self, Shape, TurnRow};
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::ids::{PlaceId, SiteId, TurnId};
use wormrota_domain::turns::CalledOffBy;
use wormrota_domain::turns::regenerate::Standing;
use wormrota_domain::turns::seats::seating;

/// Turns that are locked, with their places.
pub(super) struct Locked {
    site: SiteId,
    /// The turns.
    pub(super) rows: Vec<TurnRow>,
    places: BTreeMap<Uuid, Vec<PlaceRow>>,
}

impl Locked {
    /// Those of a pattern that was just made.
    pub(super) const fn none(site: SiteId) -> Self {
        Self {
            site,
            rows: Vec::new(),
            places: BTreeMap::new(),
        }
    }

    /// Locks turns, and only then looks who holds a place.
    pub(super) async fn take(
        conn: &mut Conn,
        site: SiteId,
        ids: &[TurnId],
    ) -> Result<Self, DeskError> {
        let rows = turns::lock(conn, site, ids).await?;
        let mut places: BTreeMap<Uuid, Vec<PlaceRow>> = BTreeMap::new();
        for place in places::of_turns(conn, site, ids).await? {
            places.entry(place.turn_id).or_default().push(place);
        }
        Ok(Self { site, rows, places })
    }

    /// The places of one of them.
    pub(super) fn places(&self, turn: Uuid) -> &[PlaceRow] {
        self.places.get(&turn).map_or(&[], Vec::as_slice)
    }

    /// How many of its places are held.
    pub(super) fn held(&self, turn: Uuid) -> usize {
        let places = self.places(turn).iter();
        places.filter(|place| place.how.is_some()).count()
    }

    /// One of them as the domain sees it.
    pub(super) fn standing(&self, row: &TurnRow) -> Result<Standing, DeskError> {
        let called_off = row
            .called_off
            .as_deref()
            .map(|code| CalledOffBy::from_code(code).ok_or_else(|| unreadable("turns.called_off")));
        Ok(Standing {
            day: row.on_date,
            called_off: called_off.transpose()?,
            held: self.held(row.id) > 0,
            stranded: row.off_pattern,
        })
    }

    /// What brings one of them to as many places as are wanted, or as are held: new ones, and
    /// free ones that go.
    pub(super) fn reseated(&self, turn: TurnId, wanted: usize) -> (Vec<PlaceRow>, Vec<PlaceId>) {
        let there: Vec<(i16, bool)> = self
            .places(turn.0)
            .iter()
            .map(|place| (place.seat, place.how.is_some()))
            .collect();
        let seats = seating(&there, wanted);
        let site = self.site;
        let more = seats.add.iter().map(|seat| free_place(site, turn, *seat));
        let goes = self.places(turn.0).iter();
        let goes = goes.filter(|place| seats.drop.contains(&place.seat));
        (
            more.collect(),
            goes.map(|place| PlaceId(place.id)).collect(),
        )
    }

    /// Gives those of them that stay what has changed about their pattern; says how many differ
    /// by it.
    pub(super) async fn reshape(
        &self,
        conn: &mut Conn,
        before: &PatternRow,
        after: &PatternRow,
        stays: impl Fn(Uuid) -> bool,
    ) -> Result<usize, DeskError> {
        let hours = (after.opens, after.closes);
        let other_hours = hours != (before.opens, before.closes);
        let shape = Shape {
            effort: (after.effort != before.effort).then_some(after.effort),
            opens: other_hours.then_some(after.opens),
            closes: other_hours.then_some(after.closes),
        };
        let wanted = usize::try_from(after.places).unwrap_or(0);
        let (mut changed, mut more, mut fewer) = (Vec::new(), Vec::new(), Vec::new());
        for turn in self.rows.iter().filter(|turn| stays(turn.id)) {
            let id = TurnId(turn.id);
            let (new, gone) = if after.places == before.places {
                (Vec::new(), Vec::new())
            } else {
                self.reseated(id, wanted)
            };
            let reshaped = shape.effort.is_some_and(|effort| effort != turn.effort)
                || other_hours && hours != (turn.opens, turn.closes);
            if reshaped || !new.is_empty() || !gone.is_empty() {
                changed.push(id);
            }
            more.extend(new);
            fewer.extend(gone);
        }
        turns::reshape(conn, self.site, &changed, shape).await?;
        places::delete(conn, self.site, &fewer).await?;
        places::insert(conn, &more).await?;
        Ok(changed.len())
    }
}

/// A free place with a key of its own.
pub(super) fn free_place(site: SiteId, turn: TurnId, seat: i16) -> PlaceRow {
    PlaceRow::free(site, PlaceId(clock::fresh_id()), turn, seat)
}
