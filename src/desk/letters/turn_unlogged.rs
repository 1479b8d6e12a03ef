//! Whether a bin was fed on a turn of which nothing was written down, with links to answer by.

use super::content::{Answer, Content, Part};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::credentials::LinkFor;
use crate::desk::post::{For, Owing};
use crate::desk::sites;
use crate::desk::watched_turns::WatchedTurn;
use crate::store::letters::LetterRow;
use crate::store::{Conn, StoreError, bins, turns};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{BinId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::{Ask, LetterDeed, LetterKind};
use wormrota_domain::phrase::{Phrase, Value};

/// What a question is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(in crate::desk) struct AskedAbout {
    /// The turn.
    pub turn: TurnId,
    /// Which time its receiver is asked.
    pub ask: Ask,
    /// Since when, by the time at which bins live.
    pub at: DateTime<Utc>,
}

impl AskedAbout {
    /// That of a letter of this kind.
    pub(in crate::desk) fn of(row: &LetterRow) -> Result<Self, StoreError> {
        Self::deserialize(&row.payload).map_err(|_| StoreError::Unreadable {
            what: "letters.payload",
        })
    }
}

/// The letter that asks somebody about a turn; one for each time they are asked. `lasts` is
/// until when it helps, and until when its links do something.
pub(in crate::desk) fn of_unlogged_turn(
    (site, member): (SiteId, MemberId),
    turn: &WatchedTurn,
    ask: Ask,
    now: DateTime<Utc>,
    (too_late_at, links_until): (DateTime<Utc>, DateTime<Utc>),
    wall: DateTime<Utc>,
) -> LetterRow {
    let turn = TurnId(turn.row.id);
    Owing {
        kind: LetterKind::TurnUnlogged,
        purpose: format!("{turn}:{member}:{}", ask.code()),
        whom: For::Member(site, member),
        too_late_at,
        links_until: Some(links_until),
    }
    .row(&AskedAbout { turn, ask, at: now }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let AskedAbout { turn, ask, .. } = at.keys()?;
    let site = sites::load(conn, receiver.site).await?;
    let Some(row) = turns::by_id(conn, site.id, turn).await? else {
        return Ok(Found::Settled);
    };
    let Some(turn) = WatchedTurn::one(conn, &site, row).await? else {
        return Ok(Found::Settled);
    };
    let asked_again = |question: &&_| is_newer(question, receiver.member, ask);
    let answered = turn.questions.iter().any(|one| one.answer.is_some());
    let replaced = turn.questions.iter().any(|one| asked_again(&one));
    if turn.is_fed() || answered || replaced || !turn.knowing.contains(&receiver.member) {
        return Ok(Found::Settled);
    }
    let bin = BinId(turn.row.bin_id);
    let Some(bin) = bins::by_id(conn, site.id, bin).await? else {
        return Ok(Found::Settled);
    };
    let links = &at.credentials.links;
    let tokens = DEEDS.map(|deed| links.token(LinkFor::Letter(deed), at.row.id));
    let content = Asking {
        name: receiver.name.as_deref(),
        bin: &bin.name,
        on_date: turn.row.on_date,
        of_a_class: turn.row.class_id.is_some(),
        ask,
        // Said in the time that the reader's site lives in.
        until: at.by.now + (at.row.links_until.unwrap_or(at.by.wall) - at.by.wall),
    }
    .content(tokens)
    .about(turn.row.id);
    Ok(receiver.letter(content))
}

/// Of two questions about one turn only the newer one still says something.
fn is_newer(question: &crate::desk::watched_turns::Question, whose: MemberId, ask: Ask) -> bool {
    question.member == whose && question.ask > ask
}

/// The answers, in the order in which they stand.
const DEEDS: [LetterDeed; 3] = [LetterDeed::Fed, LetterDeed::NotFed, LetterDeed::FedByOther];

struct Asking<'a> {
    name: Option<&'a str>,
    bin: &'a str,
    on_date: NaiveDate,
    of_a_class: bool,
    ask: Ask,
    until: DateTime<Utc>,
}

impl Asking<'_> {
    fn content(&self, tokens: [String; 3]) -> Content {
        let about = |code| {
            Phrase::of(code)
                .with_text("bin", self.bin)
                .with("on", Value::OnLocalDay(self.on_date))
                .with(
                    "whose",
                    Value::Code(if self.of_a_class { "class" } else { "own" }),
                )
        };
        let what = match self.ask {
            Ask::First => "letter-fed",
            Ask::Second => "letter-fed-again",
        };
        let labels = ["letter-fed-yes", "letter-fed-no", "letter-fed-other"].map(about);
        let answers = labels.into_iter().zip(DEEDS).zip(tokens);
        let answer = |((label, deed), token)| Answer { label, deed, token };
        Content::of(
            about("letter-fed-subject"),
            vec![
                greeting(self.name),
                Part::Paragraph(vec![about(what), Phrase::of("letter-fed-why")]),
                Part::Answers(answers.map(answer).collect()),
                Part::sentence(Phrase::of("letter-fed-fine")),
                Part::Aside(vec![
                    Phrase::of("letter-fed-links").with("date", Value::Date(self.until)),
                ]),
            ],
        )
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let asking = |name, of_a_class, ask| Asking {
        name,
        bin: "Courtyard",
        on_date: now.date_naive() - chrono::TimeDelta::days(1),
        of_a_class,
        ask,
        until: now + chrono::TimeDelta::days(6),
    };
    let tokens = || ["FED", "NOT", "OTHER"].map(str::to_owned);
    [
        asking(Some("Ana"), false, Ask::First),
        asking(Some("Ana"), false, Ask::Second),
        asking(None, true, Ask::First),
    ]
    .map(|one| one.content(tokens()))
    .into()
}
