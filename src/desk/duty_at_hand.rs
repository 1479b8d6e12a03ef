//! The duty of a class at hand: its pupils, the turns of its school year, who has which place
//! and who is away when, read in a fixed number of statements.

use super::keep_class::zone_of;
use super::{DeskError, Noun};
use crate::store::classes::ClassRow;
use crate::store::places::PlaceRow;
use crate::store::turns::TurnRow;
use crate::store::{Conn, absences, class_turns, classes, places, sites, turns};
use chrono::{DateTime, NaiveDate, Utc};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId, TurnId};
use wormrota_domain::rota::in_order::{Line, LineRefusal};
use wormrota_domain::rota::index::PupilIndex;

/// Turns that a class can have in its school year.
const MOST_TURNS: usize = 5_000;

/// The duty of one class, over its whole school year.
#[derive(Debug, Clone)]
pub(super) struct DutyAtHand {
    /// The site's local day.
    pub today: NaiveDate,
    /// The pupils by position, in the order in which they were added.
    pub pupils: Vec<PupilId>,
    /// The local day on which each was added.
    pub since: Vec<NaiveDate>,
    /// The turns that take place, as one comes after the other.
    pub turns: Vec<DutyTurn>,
    away: BTreeSet<(PupilIndex, NaiveDate)>,
}

/// A turn of the class with its places, by seat.
#[derive(Debug, Clone)]
pub(super) struct DutyTurn {
    pub row: TurnRow,
    pub places: Vec<PlaceRow>,
}

impl DutyTurn {
    /// Its key.
    pub(super) fn id(&self) -> TurnId {
        TurnId(self.row.id)
    }

    /// The places that nobody holds.
    pub(super) fn free(&self) -> impl Iterator<Item = &PlaceRow> {
        self.places.iter().filter(|place| place.holder().is_none())
    }
}

impl DutyAtHand {
    /// Reads the duty of a class. What is read before the lock of the class is held may have
    /// changed behind it.
    pub(super) async fn load(
        conn: &mut Conn,
        class: &ClassRow,
        now: DateTime<Utc>,
    ) -> Result<Self, DeskError> {
        let (site, id) = (SiteId(class.site_id), ClassId(class.id));
        let site_row = sites::by_id(conn, site)
            .await?
            .ok_or(DeskError::NotFound(Noun::Site))?;
        let zone = zone_of(&site_row.zone)?;
        // The demo's clock may have been moved back since the class was made.
        let first_day = zone.local_date(class.created_at.min(now));
        let span = (first_day, class.ends_on);
        let limit = i64::try_from(MOST_TURNS).unwrap_or(i64::MAX);
        let rows = class_turns::of_class(conn, site, id, span, limit + 1).await?;
        if rows.len() > MOST_TURNS {
            let what = "turns of a class";
            return Err(DeskError::TooMany { what });
        }
        let (pupils, since): (Vec<PupilId>, Vec<NaiveDate>) =
            (classes::pupils_of(conn, site, &[id]).await?.iter())
                .map(|row| (PupilId(row.id), zone.local_date(row.added_at)))
                .unzip();
        let keys: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
        let mut of_turn: BTreeMap<Uuid, Vec<PlaceRow>> = BTreeMap::new();
        for place in places::of_turns(conn, site, &keys).await? {
            of_turn.entry(place.turn_id).or_default().push(place);
        }
        let away = absences::of_pupils(conn, site, &pupils, first_day, class.ends_on).await?;
        let mut at_hand = Self {
            today: zone.local_date(now),
            pupils,
            since,
            turns: rows
                .into_iter()
                .filter(|row| row.called_off.is_none())
                .map(|row| DutyTurn {
                    places: of_turn.remove(&row.id).unwrap_or_default(),
                    row,
                })
                .collect(),
            away: BTreeSet::new(),
        };
        at_hand.away = away
            .into_iter()
            .filter_map(|(pupil, day)| Some((at_hand.position(pupil)?, day)))
            .collect();
        Ok(at_hand)
    }

    /// The position of a pupil of the class.
    pub(super) fn position(&self, pupil: PupilId) -> Option<PupilIndex> {
        self.pupils
            .iter()
            .position(|one| *one == pupil)
            .map(PupilIndex)
    }

    /// The pupil at a position.
    pub(super) fn pupil(&self, at: PupilIndex) -> Option<PupilId> {
        self.pupils.get(at.0).copied()
    }

    /// Whether a pupil is away on a day.
    pub(super) fn is_away(&self, pupil: PupilIndex, day: NaiveDate) -> bool {
        self.away.contains(&(pupil, day))
    }

    /// The pupils on a turn, by seat.
    pub(super) fn on(&self, turn: &DutyTurn) -> Vec<PupilIndex> {
        turn.places
            .iter()
            .filter_map(|place| self.position(PupilId(place.pupil_id?)))
            .collect()
    }

    /// Who is on a turn of which day.
    pub(super) fn busy(&self) -> BTreeSet<(PupilIndex, NaiveDate)> {
        let days_of = |turn| {
            let on: Vec<PupilIndex> = self.on(turn);
            on.into_iter().map(|pupil| (pupil, turn.row.on_date))
        };
        self.turns.iter().flat_map(days_of).collect()
    }

    /// Free places with who gets them, as far as both go.
    pub(super) fn given(
        &self,
        free: Vec<&PlaceRow>,
        come: Vec<PupilIndex>,
    ) -> impl Iterator<Item = (PlaceId, PupilId)> {
        let pupils = come.into_iter().filter_map(|at| self.pupil(at));
        (free.into_iter().map(|place| PlaceId(place.id))).zip(pupils)
    }

    /// A place with the position of its turn, if it is one of the class's.
    pub(super) fn place(&self, id: PlaceId) -> Option<(usize, &PlaceRow)> {
        self.turns.iter().enumerate().find_map(|(at, turn)| {
            let place = turn.places.iter().find(|place| place.id == id.0)?;
            Some((at, place))
        })
    }

    /// The line in which the pupils stand before a turn: who was there on a turn before it went
    /// to the end, and who was away kept their place.
    pub(super) fn line_before(
        &self,
        turn: usize,
        pairs: &[(PupilIndex, PupilIndex)],
    ) -> Result<Line, LineRefusal> {
        let order: Vec<PupilIndex> = (0..self.pupils.len()).map(PupilIndex).collect();
        let mut line = Line::parse(&order, None, pairs)?;
        for turn in self.turns.iter().take(turn) {
            line.done(&self.there(turn));
        }
        Ok(line)
    }

    /// The pupils on a turn who are not away on its day.
    pub(super) fn there(&self, turn: &DutyTurn) -> Vec<PupilIndex> {
        let mut on = self.on(turn);
        on.retain(|pupil| !self.is_away(*pupil, turn.row.on_date));
        on
    }
}

/// Gives back the places that pupils hold from today on, and forgets when they were away. What
/// was before stays, by key.
pub(super) async fn give_back_of(
    conn: &mut Conn,
    site: SiteId,
    pupils: &[PupilId],
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let row = sites::by_id(conn, site)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))?;
    let today = zone_of(&row.zone)?.local_date(now);
    let held = class_turns::held_from(conn, site, pupils, today).await?;
    turns::lock(conn, site, &held).await?;
    class_turns::give_back(conn, site, pupils, &held).await?;
    Ok(absences::forget_pupils(conn, site, pupils).await?)
}
