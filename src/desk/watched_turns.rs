//! Feeding turns with what is known of whether somebody fed: what was written down on their day,
//! who was asked, and what they answered.

use super::DeskError;
use super::at_hand::{read, unreadable};
use super::classes::Part;
use super::letters::AskedAbout;
use super::sites::Site;
use crate::store::letters::LetterRow;
use crate::store::places::PlaceRow;
use crate::store::turns::TurnRow;
use crate::store::{Conn, StoreError, classes, events, letters, places};
use chrono::{DateTime, Days, Utc};
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, ClassId, MemberId, TurnId};
use wormrota_domain::letters::{Ask, Course, LetterDeed, LetterKind, Step, middle};
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::turns::{Duty, Window};
use wormrota_domain::units::Grams;

/// A turn with what is known of whether somebody fed.
#[derive(Debug)]
pub(super) struct WatchedTurn {
    /// The turn.
    pub row: TurnRow,
    /// Its hours.
    pub window: Option<Window>,
    /// Its places.
    pub places: Vec<PlaceRow>,
    /// Who can say: the members who hold a place, or the teachers of the class whose it is.
    pub knowing: Vec<MemberId>,
    /// The questions that were asked, in the order in which they were.
    pub questions: Vec<Question>,
    /// What went into the bin on its day, if anything was written down.
    pub fed: Option<Grams>,
}

/// A question that somebody was asked by a letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Question {
    /// The letter.
    pub letter: Uuid,
    /// Who was asked.
    pub member: MemberId,
    /// Which time.
    pub ask: Ask,
    /// When, by the time at which bins live.
    pub at: DateTime<Utc>,
    /// What they answered.
    pub answer: Option<LetterDeed>,
}

impl WatchedTurn {
    /// What is known of some turns, read in a fixed number of statements. Turns on which
    /// nothing is fed, and those called off, are left out.
    pub(super) async fn of(
        conn: &mut Conn,
        site: &Site,
        rows: Vec<TurnRow>,
    ) -> Result<Vec<Self>, DeskError> {
        let rows: Vec<TurnRow> = rows.into_iter().filter(is_feeding).collect();
        let Some(days) = span(&rows) else {
            return Ok(Vec::new());
        };
        let ids: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
        let held = places::of_turns(conn, site.id, &ids).await?;
        let of = keys(&rows, |row| row.class_id, ClassId);
        let adults = classes::adults_of(conn, site.id, &of).await?;
        let kind = LetterKind::TurnUnlogged;
        let asked = letters::about_turns(conn, site.id, kind, &ids).await?;
        let asked = asked.iter().map(question).collect::<Result<Vec<_>, _>>()?;
        let bins = keys(&rows, |row| Some(row.bin_id), BinId);
        let instants = days.map(|day| site.zone.start_of_day(day));
        let fed = events::of_kind_between(conn, site.id, &bins, "fed", instants.into()).await?;
        let mut found = Vec::with_capacity(rows.len());
        for row in rows {
            let own = |place: &&PlaceRow| place.turn_id == row.id;
            let places: Vec<PlaceRow> = held.iter().filter(own).cloned().collect();
            let teaches = |adult: &&classes::ClassAdultRow| {
                Some(adult.class_id) == row.class_id && adult.part == Part::Teacher.code()
            };
            let knowing: BTreeSet<MemberId> = match row.class_id {
                Some(_) => (adults.iter().filter(teaches))
                    .map(|adult| MemberId(adult.member_id))
                    .collect(),
                None => (places.iter())
                    .filter_map(|place| place.member_id.map(MemberId))
                    .collect(),
            };
            let that_day = (fed.iter())
                .filter(|event| event.bin_id == row.bin_id)
                .filter(|event| site.zone.local_date(event.occurred_at) == row.on_date);
            let mut amount = None;
            for event in that_day {
                let event: Event = read("bin_events.payload", event.payload.clone())?;
                amount = Some(amount.unwrap_or(Grams::ZERO) + amount_of(&event));
            }
            found.push(Self {
                window: window(&row)?,
                knowing: knowing.into_iter().collect(),
                questions: (asked.iter())
                    .filter(|(turn, _)| turn.0 == row.id)
                    .map(|(_, question)| *question)
                    .collect(),
                fed: amount,
                places,
                row,
            });
        }
        Ok(found)
    }

    /// The same for one turn; none where nothing is fed, or when it was called off.
    pub(super) async fn one(
        conn: &mut Conn,
        site: &Site,
        row: TurnRow,
    ) -> Result<Option<Self>, DeskError> {
        Ok(Self::of(conn, site, vec![row]).await?.pop())
    }

    /// When questions about it are due.
    pub(super) fn course(&self, site: &Site) -> Course {
        Course::of(self.row.on_date, self.window, site.quiet, site.zone)
    }

    /// What is due about it at an instant: nothing once something was written down or answered.
    pub(super) fn step(&self, site: &Site, now: DateTime<Utc>) -> Option<Step> {
        if self.fed.is_some() || self.questions.iter().any(|one| one.answer.is_some()) {
            return None;
        }
        let asked = |ask| {
            let times = self.questions.iter().filter(|one| one.ask == ask);
            times.map(|one| one.at).min()
        };
        self.course(site)
            .step(asked(Ask::First), asked(Ask::Second), now)
    }

    /// Whether it is known that the bin was fed: it was written down, or somebody says so.
    pub(super) fn is_fed(&self) -> bool {
        let says_so =
            |one: &Question| matches!(one.answer, Some(LetterDeed::Fed | LetterDeed::FedByOther));
        self.fed.is_some() || self.questions.iter().any(says_so)
    }

    /// What somebody answered, if they did.
    pub(super) fn answer_of(&self, member: MemberId) -> Option<LetterDeed> {
        let own = self.questions.iter().filter(|one| one.member == member);
        own.rev().find_map(|one| one.answer)
    }

    /// When somebody fed who does not say the hour.
    pub(super) fn middle(&self, site: &Site) -> DateTime<Utc> {
        middle(self.row.on_date, self.window, site.zone)
    }
}

fn is_feeding(row: &TurnRow) -> bool {
    row.duty == Duty::Feeding.code() && row.called_off.is_none()
}

/// The hours of a turn.
pub(super) fn window(row: &TurnRow) -> Result<Option<Window>, DeskError> {
    let window = row.opens.zip(row.closes);
    let window = window.map(|(opens, closes)| Window::new(opens, closes));
    window.transpose().map_err(|_| unreadable("turns.opens"))
}

/// The first day of some turns, and the day after the last.
fn span(rows: &[TurnRow]) -> Option<[chrono::NaiveDate; 2]> {
    let days = rows.iter().map(|row| row.on_date);
    let last = days.clone().max()?;
    Some([days.min()?, last.checked_add_days(Days::new(1))?])
}

fn keys<T: Ord>(
    rows: &[TurnRow],
    key: impl Fn(&TurnRow) -> Option<Uuid>,
    as_key: impl Fn(Uuid) -> T,
) -> Vec<T> {
    let keys: BTreeSet<T> = rows.iter().filter_map(key).map(as_key).collect();
    keys.into_iter().collect()
}

fn question(row: &LetterRow) -> Result<(TurnId, Question), StoreError> {
    let about = AskedAbout::of(row)?;
    let member = row.member_id.ok_or(StoreError::Unreadable {
        what: "letters.member_id",
    })?;
    Ok((
        about.turn,
        Question {
            letter: row.id,
            member: MemberId(member),
            ask: about.ask,
            at: about.at,
            answer: row.answer.as_deref().and_then(LetterDeed::from_code),
        },
    ))
}

fn amount_of(event: &Event) -> Grams {
    match event {
        Event::Fed { lines, .. } => lines.iter().map(|line| line.amount).sum(),
        _ => Grams::ZERO,
    }
}
