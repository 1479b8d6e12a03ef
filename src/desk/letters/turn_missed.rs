//! A turn on which nobody fed, or of which nobody says whether they did: for whoever keeps the
//! bins.

use super::content::{Content, Part};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::at_hand::{BinAtHand, Hold, SiteAtHand};
use crate::desk::keepers;
use crate::desk::post::{For, Owing};
use crate::desk::sites;
use crate::desk::watched_turns::WatchedTurn;
use crate::store::letters::LetterRow;
use crate::store::{Conn, members, turns};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use wormrota_domain::ids::{BinId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::{LetterDeed, LetterKind};
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

/// So long the word helps: later the bin says by itself how it is (our suggestion).
const HELPS_FOR: TimeDelta = TimeDelta::days(4);

#[derive(Serialize, Deserialize)]
struct Keys {
    turn: TurnId,
}

/// The letters about a missed turn: one for everybody who looks after the bins, and for the
/// teachers of the class whose turn it was, but for whoever said so.
pub(in crate::desk) async fn of_missed_turn(
    conn: &mut Conn,
    site: SiteId,
    turn: &WatchedTurn,
    but: Option<MemberId>,
    wall: DateTime<Utc>,
) -> Result<Vec<LetterRow>, DeskError> {
    let keepers = keepers::hearing(conn, site).await?;
    let teachers = turn.knowing.iter().filter(|_| turn.row.class_id.is_some());
    let whom: BTreeSet<MemberId> = keepers.into_iter().chain(teachers.copied()).collect();
    let id = TurnId(turn.row.id);
    let letter = |member: MemberId| {
        Owing {
            kind: LetterKind::TurnMissed,
            purpose: format!("{id}:{member}"),
            whom: For::Member(site, member),
            too_late_at: wall + HELPS_FOR,
            links_until: None,
        }
        .row(&Keys { turn: id }, wall)
    };
    let others = whom.into_iter().filter(|member| Some(*member) != but);
    Ok(others.map(letter).collect())
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { turn } = at.keys()?;
    let site = sites::load(conn, receiver.site).await?;
    let Some(row) = turns::by_id(conn, site.id, turn).await? else {
        return Ok(Found::Settled);
    };
    let Some(turn) = WatchedTurn::one(conn, &site, row).await? else {
        return Ok(Found::Settled);
    };
    if turn.is_fed() {
        return Ok(Found::Settled);
    }
    let at_hand = SiteAtHand::load(conn, site.id).await?;
    let bin = BinId(turn.row.bin_id);
    let bin = match BinAtHand::load(conn, &at.by.model, &at_hand, bin, at.by.now, Hold::Look).await
    {
        Ok(bin) => bin,
        // It is out of use by now.
        Err(DeskError::NotStocked | DeskError::NotFound(_)) => return Ok(Found::Settled),
        Err(error) => return Err(error),
    };
    let names = members::names_of(conn, site.id, &turn.knowing).await?;
    let called = |id: &MemberId| {
        let known = names.iter().find(|(known, _)| known == id);
        known.map(|(_, name)| name.clone())
    };
    let said = |id: &MemberId| (called(id), turn.answer_of(*id));
    let bookings = bin.kept_bookings(&at_hand, None);
    let content = Missed {
        name: receiver.name.as_deref(),
        bin: &bin.row.name,
        on_date: turn.row.on_date,
        of_a_class: turn.row.class_id.is_some(),
        said: turn.knowing.iter().map(said).collect(),
        room: Outlook::cautious(&bin.habitat, &bin.state)
            .room(&bookings)
            .amount,
        is_hungry: bin.state.vitals.hunger >= 1.0,
        looked_at: (bin.state.last_check_at)
            .filter(|at| *at >= site.zone.start_of_day(turn.row.on_date)),
    }
    .content()
    .about(turn.row.id);
    Ok(receiver.letter(content))
}

/// A missed turn.
struct Missed<'a> {
    name: Option<&'a str>,
    bin: &'a str,
    on_date: NaiveDate,
    of_a_class: bool,
    /// What each who could know is called, and what they said.
    said: Vec<(Option<String>, Option<LetterDeed>)>,
    /// What the bin can take.
    room: Grams,
    /// Whether its worms have nothing left to eat, as far as can be reckoned.
    is_hungry: bool,
    /// When somebody looked into it last, if they did on the day of the turn or since.
    looked_at: Option<DateTime<Utc>>,
}

/// Less room than this is none: a handful (common practice, no source).
const A_HANDFUL: Grams = Grams(50);

impl Missed<'_> {
    fn content(&self) -> Content {
        let about = |code| {
            Phrase::of(code)
                .with_text("bin", self.bin)
                .with("on", Value::OnLocalDay(self.on_date))
                .with(
                    "whose",
                    Value::Code(if self.of_a_class { "class" } else { "own" }),
                )
        };
        let denied = self.said.iter().any(|(_, answer)| answer.is_some());
        let (subject, what) = if denied {
            ("letter-missed-subject", "letter-missed")
        } else {
            ("letter-missed-unknown-subject", "letter-missed-unknown")
        };
        let has_room = self.room >= A_HANDFUL;
        let (state, todo) = match (has_room, self.is_hungry) {
            (false, _) => ("letter-missed-full", "letter-missed-do-leave"),
            (true, true) => ("letter-missed-hungry", "letter-missed-do-feed"),
            (true, false) => ("letter-missed-can-wait", "letter-missed-do-plan"),
        };
        let room = |code| about(code).with("room", Value::AtMost(self.room));
        let mut steps = Vec::new();
        // Whoever said no need not be asked again.
        if self.said.iter().any(|(_, answer)| answer.is_none()) {
            steps.push(Phrase::of("letter-missed-do-ask"));
        }
        steps.push(room(todo));
        if has_room {
            steps.push(Phrase::of("letter-missed-do-write"));
        }
        steps.push(Phrase::of("letter-missed-do-care"));
        let looked = match self.looked_at {
            Some(at) => Phrase::of("letter-missed-looked").with("date", Value::Date(at)),
            None => Phrase::of("letter-missed-unlooked"),
        };
        Content::of(
            about(subject),
            vec![
                greeting(self.name),
                Part::sentence(about(what)),
                Part::Points(self.said.iter().map(said).collect()),
                Part::Paragraph(vec![looked, room(state)]),
                Part::Heading(Phrase::of("letter-missed-do")),
                Part::Points(steps),
            ],
        )
    }
}

fn said((name, answer): &(Option<String>, Option<LetterDeed>)) -> Phrase {
    let answer = match answer {
        Some(_) => "letter-missed-says-no",
        None => "letter-missed-silent",
    };
    match name {
        Some(name) => Phrase::of(answer).with_text("name", name),
        None => Phrase::of(answer).with(
            "name",
            Value::Phrase(Box::new(Phrase::of("letter-missed-gone"))),
        ),
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let day = now.date_naive() - TimeDelta::days(1);
    let missed = |of_a_class, said, room, is_hungry| Missed {
        name: Some("Ana"),
        bin: "Courtyard",
        on_date: day,
        of_a_class,
        said,
        room: Grams(room),
        is_hungry,
        looked_at: of_a_class.then_some(now),
    };
    let (bo, cy) = (Some("Bo".to_owned()), Some("Cy".to_owned()));
    [
        missed(
            false,
            vec![(bo.clone(), Some(LetterDeed::NotFed)), (cy.clone(), None)],
            640,
            true,
        ),
        missed(false, vec![(cy, None), (None, None)], 380, false),
        missed(true, vec![(bo, None)], 0, false),
    ]
    .map(|one| one.content())
    .into()
}
