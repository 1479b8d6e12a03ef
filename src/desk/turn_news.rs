//! What somebody changes about others' turns, gathered so that each of them gets one letter
//! about it, in the transaction that changes it. Nobody hears news of what they did themselves;
//! but what they gave up leaves their calendar.

use super::DeskError;
use super::at_hand::unreadable;
use super::letters::{ChangedTurn, of_changed_turns, of_freed_turns, over_at};
use super::locked_turns::Locked;
use super::membership::Membership;
use super::turns::zone_of_site;
use crate::clock;
use crate::store::places::PlaceRow;
use crate::store::turns::{self, TurnRow};
use crate::store::{Conn, letters, places};
use chrono::{DateTime, NaiveDate, Utc};
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, BookingId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::TurnStanding;
use wormrota_domain::turns::Duty;

/// What one deed changes about the turns of others.
pub(super) struct TurnNews {
    site: SiteId,
    by: MemberId,
    of: BTreeMap<MemberId, Vec<ChangedTurn>>,
    /// What whoever did it gave up themselves, with the day.
    freed: Vec<(TurnId, NaiveDate)>,
}

impl TurnNews {
    /// Nothing yet of what `who` changes.
    pub(super) const fn of(who: &Membership) -> Self {
        Self {
            site: who.site,
            by: who.member,
            of: BTreeMap::new(),
            freed: Vec::new(),
        }
    }

    /// The site.
    pub(super) const fn site(&self) -> SiteId {
        self.site
    }

    /// A member got a place of a turn.
    pub(super) fn came(&mut self, member: MemberId, turn: &TurnRow) -> Result<(), DeskError> {
        let (before, after) = (standing(turn, false), standing(turn, true));
        self.note(member, turn, (before, after), None)
    }

    /// A member has a place of a turn again that they had before they were away.
    pub(super) fn came_back(&mut self, member: MemberId, turn: &TurnRow) -> Result<(), DeskError> {
        self.came(member, turn)?;
        let noted = self
            .of
            .get_mut(&member)
            .and_then(|changes| changes.last_mut());
        if let Some(change) = noted.filter(|change| change.turn_id.0 == turn.id) {
            change.is_back = true;
        }
        Ok(())
    }

    /// A member has no place of a turn any more; `given_back` is the room that was given back
    /// with it.
    pub(super) fn went(
        &mut self,
        member: MemberId,
        turn: &TurnRow,
        given_back: Option<BookingId>,
    ) -> Result<(), DeskError> {
        let (before, after) = (standing(turn, true), standing(turn, false));
        self.note(member, turn, (before, after), given_back)
    }

    /// What has become of turns since they were locked, for the members who hold places of
    /// them.
    pub(super) async fn since(
        &mut self,
        conn: &mut Conn,
        locked: &Locked,
    ) -> Result<(), DeskError> {
        let held = |row: &&TurnRow| {
            let mut places = locked.places(row.id).iter();
            places.any(|place| place.member_id.is_some())
        };
        let before: Vec<&TurnRow> = locked.rows.iter().filter(held).collect();
        if before.is_empty() {
            return Ok(());
        }
        let ids: Vec<TurnId> = before.iter().map(|row| TurnId(row.id)).collect();
        let after: BTreeMap<Uuid, TurnRow> = (turns::lock(conn, self.site, &ids).await?)
            .into_iter()
            .map(|row| (row.id, row))
            .collect();
        let booked: BTreeMap<Uuid, Option<Uuid>> = places::of_turns(conn, self.site, &ids)
            .await?
            .into_iter()
            .map(|place| (place.id, place.booking_id))
            .collect();
        // The place forgets what was given back, and remembers what was used.
        let given_back = |place: &PlaceRow| {
            let forgotten = booked.get(&place.id).is_some_and(Option::is_none);
            place.booking_id.filter(|_| forgotten).map(BookingId)
        };
        for row in before {
            let Some(now) = after.get(&row.id) else {
                continue;
            };
            for place in locked.places(row.id) {
                if let Some(member) = place.member_id.map(MemberId) {
                    let stood = (standing(row, true), standing(now, true));
                    self.note(member, row, stood, given_back(place))?;
                }
            }
        }
        Ok(())
    }

    /// Owes the letters, in one statement. `cause` is what was changed.
    pub(super) async fn owe(
        self,
        conn: &mut Conn,
        cause: Uuid,
        now: DateTime<Utc>,
    ) -> Result<(), DeskError> {
        if self.of.is_empty() && self.freed.is_empty() {
            return Ok(());
        }
        // Letters go by the machine's clock, which the demo does not move.
        let (wall, zone) = (clock::wall(), zone_of_site(conn, self.site).await?);
        let mut rows = Vec::with_capacity(self.of.len());
        for (member, changes) in self.of {
            let last = changes.iter().map(|change| change.on_date).max();
            let last = last.unwrap_or_else(|| zone.local_date(now));
            rows.push(of_changed_turns(
                (self.site, member),
                self.by,
                changes,
                (cause, now),
                over_at(zone, last, now, wall),
                wall,
            ));
        }
        let last = self.freed.iter().map(|(_, day)| *day).max();
        if let Some(last) = last {
            let turns: Vec<TurnId> = self.freed.iter().map(|(turn, _)| *turn).collect();
            let until = over_at(zone, last, now, wall);
            let whom = (self.site, self.by);
            rows.extend(of_freed_turns(whom, &turns, now, until, wall));
        }
        Ok(letters::owe(conn, &rows).await?)
    }

    fn note(
        &mut self,
        member: MemberId,
        turn: &TurnRow,
        (before, after): (TurnStanding, TurnStanding),
        given_back: Option<BookingId>,
    ) -> Result<(), DeskError> {
        if member == self.by && before.held && !after.held {
            self.freed.push((TurnId(turn.id), turn.on_date));
        }
        let is_news = before.news(after, given_back.is_some()).is_some();
        if member == self.by || !is_news {
            return Ok(());
        }
        let change = ChangedTurn {
            turn_id: TurnId(turn.id),
            bin_id: BinId(turn.bin_id),
            on_date: turn.on_date,
            duty: Duty::from_code(&turn.duty).ok_or_else(|| unreadable("turns.duty"))?,
            before,
            booking_id: given_back,
            is_back: false,
        };
        self.of.entry(member).or_default().push(change);
        Ok(())
    }
}

fn standing(turn: &TurnRow, held: bool) -> TurnStanding {
    TurnStanding {
        held,
        called_off: turn.called_off.is_some(),
        hours: turn.opens.zip(turn.closes),
    }
}
