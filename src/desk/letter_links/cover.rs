//! Answers to a call by a link: yes, no, and giving back what was taken.

use super::Visit;
use super::late::to_ask;
use super::page::{Elsewhere, LinkPage, Stage, Typed};
use crate::desk::cover::{
    CallAtHand, WhatThen, answered_call, give_back, say_no, say_yes, what_then,
};
use crate::desk::letters::{TurnSaid, call_and_turn};
use crate::desk::{BrokenRule, DeskError};
use crate::store::{Conn, letters};
use chrono::{DateTime, Utc};
use serde::Deserialize;
use wormrota_domain::cover::answer::AnswerState;
use wormrota_domain::ids::CallId;
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::{Phrase, Value};

/// What the letters of calls are owed with.
#[derive(Deserialize)]
struct Keys {
    call: CallId,
}

/// The page of one of these deeds, and what its button does.
pub(super) async fn answer(
    conn: &mut Conn,
    deed: LetterDeed,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    let Ok(Keys { call }) = Keys::deserialize(&visit.letter.payload) else {
        return Ok(LinkPage::unknown());
    };
    let of = (visit.who.site, call);
    let Some((call, turn)) = call_and_turn(conn, of, visit.speech.zone).await? else {
        return Ok(LinkPage::unknown());
    };
    let id = call.id();
    let call = match deed {
        LetterDeed::CoverYes => answered_call(conn, call, visit.who.member).await?,
        _ => call,
    };
    let pages = Pages {
        visit,
        deed,
        turn: &turn,
    };
    match pages.settled(&call) {
        Some(Settled::Done) => return done(conn, &pages, id).await,
        Some(Settled::Over(why)) => return Ok(pages.over(turn.say(why))),
        None => {}
    }
    let (who, now) = (&visit.who, visit.by.now);
    if deed == LetterDeed::CoverBack && now >= call.call.settled_at {
        let whom = to_ask(conn, visit).await?;
        return Ok(pages.too_late(call.call.settled_at, whom));
    }
    let stands_in = call.away().is_some();
    if typed.is_none() {
        return Ok(pages.asks(stands_in));
    }
    let done = match deed {
        LetterDeed::CoverYes => say_yes(conn, who, id, now).await.map(|_| ()),
        LetterDeed::CoverNo => say_no(conn, who, id, now).await,
        _ => give_back(conn, who, id, now).await,
    };
    match done {
        Ok(()) => {
            letters::keep_answer(conn, visit.letter.id, deed, visit.by.wall).await?;
            self::done(conn, &pages, id).await
        }
        Err(error) => pages.refused(error),
    }
}

/// What is said to whoever did it, now or before.
async fn done(conn: &mut Conn, pages: &Pages<'_>, call: CallId) -> Result<LinkPage, DeskError> {
    let visit = pages.visit;
    let mut then = None;
    if pages.deed == LetterDeed::CoverBack {
        let by = (&*visit.by.model, visit.by.now);
        then = Some(what_then(conn, by, (visit.who.site, call)).await?);
    }
    Ok(pages.done(then))
}

/// Why there is nothing to be asked any more.
#[derive(Clone, Copy)]
enum Settled {
    /// It was done already.
    Done,
    /// For another reason: the code of the sentence that says it.
    Over(&'static str),
}

struct Pages<'a> {
    visit: &'a Visit,
    deed: LetterDeed,
    turn: &'a TurnSaid,
}

impl Pages<'_> {
    fn page(&self, stage: Stage, title: Phrase, sentences: Vec<Phrase>) -> LinkPage {
        let speech = Some(self.visit.speech.clone());
        LinkPage::saying(stage, speech, title, sentences)
    }

    fn codes(&self) -> [&'static str; 4] {
        match self.deed {
            LetterDeed::CoverYes => [
                "page-cover-yes",
                "page-cover-yes-button",
                "page-cover-yes-done",
                "page-cover-yes-how",
            ],
            LetterDeed::CoverNo => [
                "page-cover-no",
                "page-cover-no-button",
                "page-cover-no-done",
                "page-cover-no-how",
            ],
            _ => [
                "page-cover-back",
                "page-cover-back-button",
                "page-cover-back-done",
                "page-cover-back-how",
            ],
        }
    }

    fn title(&self) -> Phrase {
        self.turn.say("page-cover-title")
    }

    fn asks(&self, stands_in: bool) -> LinkPage {
        let [asks, button, ..] = self.codes();
        let asks = match self.deed {
            LetterDeed::CoverYes if !stands_in => "page-cover-yes-free",
            _ => asks,
        };
        let page = self.page(Stage::Asks, self.title(), vec![self.turn.say(asks)]);
        page.with_button(button)
    }

    fn done(&self, then: Option<WhatThen>) -> LinkPage {
        let [.., done, how] = self.codes();
        let then = then.map(|then| self.turn.say(then.said()));
        let [done, how] = [done, how].map(|code| self.turn.say(code));
        let sentences = [done].into_iter().chain(then).chain([how]).collect();
        self.page(Stage::Done, self.title(), sentences)
    }

    /// It cannot be given back any more, but they can say that they cannot come.
    fn too_late(&self, until: DateTime<Utc>, whom: Value) -> LinkPage {
        let why = self.turn.say("page-cover-too-late");
        let why = why.with("until", Value::Until(until)).with("whom", whom);
        let page = self.page(Stage::Over, self.title(), vec![why]);
        // A letter of an older program does not know its turn.
        let leads_on = self.visit.letter.payload.get("turn").is_some();
        LinkPage {
            elsewhere: leads_on.then(|| Elsewhere {
                label: Phrase::of("page-cannot-come-button"),
                path: self.visit.path_of(LetterDeed::CannotCome).into(),
            }),
            ..page
        }
    }

    fn over(&self, why: Phrase) -> LinkPage {
        let sentences = vec![why, Phrase::of("page-cover-thanks")];
        self.page(Stage::Over, self.title(), sentences)
    }

    /// What is shown where there is nothing to be asked any more.
    fn settled(&self, call: &CallAtHand) -> Option<Settled> {
        let me = self.visit.who.member;
        let own = call.call.answers.get(&me).map(|answer| answer.state);
        let comes = call.call.helper == Some(me);
        let over = self.visit.by.now >= call.call.turn_at;
        let why = match self.deed {
            LetterDeed::CoverYes if comes => return Some(Settled::Done),
            LetterDeed::CoverNo if own == Some(AnswerState::Assigned) => "page-cover-there",
            LetterDeed::CoverNo if comes || own == Some(AnswerState::Yes) => "page-cover-comes",
            LetterDeed::CoverNo if own == Some(AnswerState::No) => return Some(Settled::Done),
            LetterDeed::CoverBack if own == Some(AnswerState::GivenBack) => {
                return Some(Settled::Done);
            }
            _ if over => "page-cover-over",
            LetterDeed::CoverYes if call.call.helper.is_some() => "page-cover-quicker",
            LetterDeed::CoverYes if call.row.closed_at.is_some() => "page-cover-settled",
            LetterDeed::CoverBack if !comes => "page-cover-not-yours",
            _ => return None,
        };
        Some(Settled::Over(why))
    }

    /// Why it did not go; nothing was changed.
    fn refused(&self, error: DeskError) -> Result<LinkPage, DeskError> {
        let why = match error {
            DeskError::NoFreePlace => "page-cover-quicker",
            DeskError::EndedAlready | DeskError::NotFound(_) => "page-cover-settled",
            DeskError::TurnOver => "page-cover-over",
            DeskError::HeldAlready => "page-cover-there",
            DeskError::NotTheHolder => "page-cover-not-yours",
            DeskError::RulesBroken(broken) => return Ok(self.over(self.rules(&broken))),
            other => return Err(other),
        };
        Ok(self.over(self.turn.say(why)))
    }

    /// Rules about others are not told: only that there are some.
    fn rules(&self, broken: &[BrokenRule]) -> Phrase {
        let me = self.visit.who.member;
        let own = broken.iter().find(|broken| broken.member == me);
        let rule = own.map_or("others", |broken| broken.rule.code());
        self.turn
            .say("page-cover-rule")
            .with("rule", Value::Code(rule))
    }
}
