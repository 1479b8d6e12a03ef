//! Bringing turns to what patterns and closures want, from today on, without anybody losing a
//! place. The room that was booked with a place of a turn that is called off is given back: nothing
//! is fed then, and until then others may want it.
//!
//! The caller holds the site's lock, so that patterns, closures and turns of a site change one
//! after the other. Who takes a place needs only the lock of its turn, which is taken here
//! before it is looked at who holds one.

use super::at_hand::unreadable;
use super::locked_turns::{Locked, free_place};
use super::turn_news::TurnNews;
use super::turns::zone_of_site;
use super::{DeskError, FieldError};
use crate::clock;
use crate::store::closures::{self, ClosureRow};
use crate::store::patterns::PatternRow;
use crate::store::places::{self, PlaceRow};
use crate::store::turns::{self, TurnRow};
use crate::store::{Conn, bookings, patterns, visits};
use chrono::{DateTime, Days, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, ClosureId, PatternId, SiteId, TurnId};
use wormrota_domain::turns::regenerate::{Change, Closure, changes};
use wormrota_domain::turns::{CalledOffBy, Pattern, Refusal};

/// Turns that a site may have ahead of it.
const MOST_TURNS: usize = 20_000;
/// Patterns of a site that are looked at: more than there may be.
const ALL_PATTERNS: i64 = 10_000;

/// What became of turns.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TurnCounts {
    /// New ones.
    pub added: usize,
    /// Those that went: nobody held a place.
    pub removed: usize,
    /// Those that somebody holds although the pattern does not want them any more.
    pub kept_off_pattern: usize,
    /// Those that the pattern wants again.
    pub wanted_again: usize,
    /// Those called off because the site is shut.
    pub called_off: usize,
    /// Those that are on again.
    pub reopened: usize,
    /// Those with another effort, other hours or other places.
    pub changed: usize,
    /// Places that somebody holds on turns that were called off or are on again.
    pub held_places: usize,
}

/// Changes that were decided, to be made in few statements.
#[derive(Default)]
pub(super) struct Settling {
    add: Vec<(TurnRow, i16)>,
    remove: Vec<TurnId>,
    strand: Vec<TurnId>,
    unstrand: Vec<TurnId>,
    call_off: Vec<TurnId>,
    reopen: Vec<TurnId>,
    held_places: usize,
}

impl Settling {
    /// Decides about the turns of one pattern, given the days that it wants.
    pub(super) fn of_pattern(
        &mut self,
        pattern: &PatternRow,
        wanted: &[NaiveDate],
        locked: &Locked,
        closures: &[Closure],
        today: NaiveDate,
        now: DateTime<Utc>,
    ) -> Result<(), DeskError> {
        let theirs: BTreeMap<NaiveDate, &TurnRow> = locked
            .rows
            .iter()
            .filter(|row| row.pattern_id == Some(pattern.id))
            .map(|row| (row.on_date, row))
            .collect();
        let standing = theirs
            .values()
            .map(|row| locked.standing(row))
            .collect::<Result<Vec<_>, _>>()?;
        for change in changes(wanted, &standing, closures, today) {
            match theirs.get(&change.day()) {
                Some(row) => self.note(change, row, locked),
                None => self
                    .add
                    .push((fresh(pattern, change.day(), now), pattern.places)),
            }
        }
        Ok(())
    }

    /// Decides about turns that no pattern wants or does not want: only closures matter, and not
    /// for visits, which are there because the site is shut.
    fn of_hands(
        &mut self,
        locked: &Locked,
        visits: &BTreeMap<Uuid, ClosureId>,
        closures: &[Closure],
        today: NaiveDate,
    ) -> Result<(), DeskError> {
        let by_hand = |row: &&TurnRow| row.pattern_id.is_none() && !visits.contains_key(&row.id);
        for row in locked.rows.iter().filter(by_hand) {
            let standing = locked.standing(row)?;
            for change in changes(&[row.on_date], &[standing], closures, today) {
                self.note(change, row, locked);
            }
        }
        Ok(())
    }

    fn note(&mut self, change: Change, row: &TurnRow, locked: &Locked) {
        let id = TurnId(row.id);
        match change {
            // There is one on this day.
            Change::Add(_) => {}
            Change::Remove(_) => self.remove.push(id),
            Change::StrandHeld(_) => self.strand.push(id),
            Change::Unstrand(_) => self.unstrand.push(id),
            Change::CallOff { .. } => {
                self.call_off.push(id);
                self.held_places += locked.held(row.id);
            }
            Change::Reopen(_) => {
                self.reopen.push(id);
                self.held_places += locked.held(row.id);
            }
        }
    }

    /// The days of new turns, in order.
    pub(super) fn days_added(&self) -> Vec<NaiveDate> {
        let mut days: Vec<NaiveDate> = self.add.iter().map(|(row, _)| row.on_date).collect();
        days.sort_unstable();
        days
    }

    /// Whether a turn stays.
    pub(super) fn keeps(&self, turn: Uuid) -> bool {
        !self.remove.contains(&TurnId(turn))
    }

    /// Makes the changes.
    pub(super) async fn make(
        self,
        conn: &mut Conn,
        site: SiteId,
        today: NaiveDate,
    ) -> Result<TurnCounts, DeskError> {
        if !self.add.is_empty() {
            let there = turns::count_from(conn, site, today).await?;
            let there = usize::try_from(there).unwrap_or(usize::MAX);
            if there.saturating_add(self.add.len()) > MOST_TURNS {
                return Err(DeskError::TooMany { what: "turns" });
            }
        }
        let counts = TurnCounts {
            added: self.add.len(),
            removed: self.remove.len(),
            kept_off_pattern: self.strand.len(),
            wanted_again: self.unstrand.len(),
            called_off: self.call_off.len(),
            reopened: self.reopen.len(),
            changed: 0,
            held_places: self.held_places,
        };
        let closure = Some(CalledOffBy::Closure.code());
        turns::delete(conn, site, &self.remove).await?;
        turns::flag(conn, site, &self.strand, true).await?;
        turns::flag(conn, site, &self.unstrand, false).await?;
        turns::call_off(conn, site, &self.call_off, closure).await?;
        bookings::withdraw_of_turns(conn, site, &self.call_off).await?;
        turns::call_off(conn, site, &self.reopen, None).await?;
        add_turns(conn, site, &self.add).await?;
        Ok(counts)
    }
}

/// Adds turns with so many free places each.
pub(super) async fn add_turns(
    conn: &mut Conn,
    site: SiteId,
    new: &[(TurnRow, i16)],
) -> Result<(), DeskError> {
    let rows: Vec<TurnRow> = new.iter().map(|(row, _)| row.clone()).collect();
    let free: Vec<PlaceRow> = new
        .iter()
        .flat_map(|(row, places)| (1..=*places).map(|seat| (row.id, seat)))
        .map(|(turn, seat)| free_place(site, TurnId(turn), seat))
        .collect();
    turns::insert(conn, &rows).await?;
    places::insert(conn, &free).await?;
    Ok(())
}

fn fresh(pattern: &PatternRow, on_date: NaiveDate, now: DateTime<Utc>) -> TurnRow {
    TurnRow {
        site_id: pattern.site_id,
        id: clock::fresh_id(),
        bin_id: pattern.bin_id,
        pattern_id: Some(pattern.id),
        on_date,
        duty: pattern.duty.clone(),
        effort: pattern.effort,
        opens: pattern.opens,
        closes: pattern.closes,
        class_id: pattern.class_id,
        called_off: None,
        off_pattern: false,
        created_at: now,
        revision: 1,
    }
}

/// Brings all turns of a span of days to what patterns and closures want, when the closures of
/// the site have changed there, and gathers what that means for whoever holds a place.
pub(super) async fn settle_span(
    conn: &mut Conn,
    news: &mut TurnNews,
    (first, last): (NaiveDate, NaiveDate),
    today: NaiveDate,
    now: DateTime<Utc>,
) -> Result<TurnCounts, DeskError> {
    let site = news.site();
    let rows = turns::of_days(conn, site, None, first, last).await?;
    let ids: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
    let locked = Locked::take(conn, site, &ids).await?;
    let shut = shut_days(conn, site, first, last).await?;
    let mut settling = Settling::default();
    let visits = visits::among(conn, site, &ids).await?;
    settling.of_hands(&locked, &visits, &shut, today)?;
    let mut patterns: BTreeMap<Uuid, (PatternRow, Vec<NaiveDate>)> = BTreeMap::new();
    for row in patterns::going_on(conn, site, None, ALL_PATTERNS).await? {
        let mut days = days_of(&row).map_err(|_| unreadable("patterns.rule"))?;
        days.retain(|day| (first..=last).contains(day));
        patterns.insert(row.id, (row, days));
    }
    // Of ended ones only what somebody holds is left.
    let of_turns = locked.rows.iter().filter_map(|row| row.pattern_id);
    let ended: BTreeSet<Uuid> = of_turns.filter(|id| !patterns.contains_key(id)).collect();
    for id in ended {
        let row = patterns::by_id(conn, site, PatternId(id)).await?;
        let row = row.ok_or_else(|| unreadable("turns.pattern_id"))?;
        patterns.insert(id, (row, Vec::new()));
    }
    for (pattern, wanted) in patterns.values() {
        settling.of_pattern(pattern, wanted, &locked, &shut, today, now)?;
    }
    let counts = settling.make(conn, site, today).await?;
    news.since(conn, &locked).await?;
    Ok(counts)
}

/// Ends the patterns of a class that ends, and takes its turns from tomorrow on away, but for
/// those that somebody holds. The class is locked, and its pupils hold no place any more.
pub(super) async fn end_turns_of_class(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let today = zone_of_site(conn, site).await?.local_date(now);
    let tomorrow = today.checked_add_days(Days::new(1)).unwrap_or(today);
    patterns::end_of_class(conn, site, class, now).await?;
    let ids = turns::of_class(conn, site, class, tomorrow).await?;
    let locked = Locked::take(conn, site, &ids).await?;
    let (stay, go): (Vec<&TurnRow>, Vec<&TurnRow>) =
        locked.rows.iter().partition(|row| locked.held(row.id) > 0);
    let keys = |rows: Vec<&TurnRow>| rows.iter().map(|row| TurnId(row.id)).collect::<Vec<_>>();
    turns::delete(conn, site, &keys(go)).await?;
    turns::flag(conn, site, &keys(stay), true).await?;
    Ok(())
}

/// Days on which a site is shut, as far as they touch a span.
pub(super) async fn shut_days(
    conn: &mut Conn,
    site: SiteId,
    first: NaiveDate,
    last: NaiveDate,
) -> Result<Vec<Closure>, DeskError> {
    let closure = |row: ClosureRow| Closure {
        first: row.first_day,
        last: row.last_day,
    };
    let rows = closures::of_days(conn, site, first, last).await?;
    Ok(rows.into_iter().map(closure).collect())
}

/// The days of a pattern.
pub(super) fn days_of(row: &PatternRow) -> Result<Vec<NaiveDate>, Refusal> {
    let pattern = Pattern::parse(&row.rule, row.first_day, row.last_day)?;
    Ok(pattern.days().to_vec())
}

/// What is wrong with a rule, by field and in words.
pub(super) fn refused(refusal: &Refusal) -> FieldError {
    let pointer = match refusal {
        Refusal::LastDayBeforeFirstDay => "/last_day",
        Refusal::FirstDay | Refusal::FirstDayNotInRule => "/first_day",
        Refusal::WindowBackwards => "/closes",
        _ => "/rule",
    };
    // What was sent is not said back.
    let words = match refusal {
        Refusal::UnknownPart { .. } => "it has a part that no rule has".to_owned(),
        Refusal::Value { part, .. } => format!("{} has a value that it cannot have", part.name()),
        Refusal::Endless => {
            "it never ends; give it a COUNT or an UNTIL, or the pattern a last_day".to_owned()
        }
        known => known.to_string(),
    };
    FieldError::new(pointer, format!("must be another: {words}"))
}
