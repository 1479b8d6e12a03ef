//! Saying by a link that one cannot come to a turn. Letters that name a turn can offer it: their
//! row has its key.

use super::Visit;
use super::late::{since, to_ask};
use super::page::{LinkPage, Stage, Typed};
use crate::desk::DeskError;
use crate::desk::cover::{give_up_one, turn_span, what_then};
use crate::desk::letters::TurnSaid;
use crate::store::{Conn, letters, places, turns};
use serde::Deserialize;
use wormrota_domain::ids::{PlaceId, TurnId};
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::Phrase;

#[derive(Deserialize)]
struct Keys {
    turn: TurnId,
}

pub(super) async fn answer(
    conn: &mut Conn,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    let (site, member) = (visit.who.site, visit.who.member);
    let Ok(Keys { turn }) = Keys::deserialize(&visit.letter.payload) else {
        return Ok(LinkPage::unknown());
    };
    let Some(row) = turns::by_id(conn, site, turn).await? else {
        return Ok(LinkPage::unknown());
    };
    let Some(said) = TurnSaid::of(conn, &row, visit.speech.zone).await? else {
        return Ok(LinkPage::unknown());
    };
    let page = |stage, codes: &[&'static str]| {
        let sentences = codes.iter().map(|code| said.say(code)).collect();
        let speech = Some(visit.speech.clone());
        LinkPage::saying(stage, speech, said.say("page-cover-title"), sentences)
    };
    let held = places::of_turns(conn, site, &[turn]).await?;
    let own = held.iter().find(|place| place.member_id == Some(member.0));
    let Some(own) = own else {
        let mut page = page(Stage::Over, &["page-cover-not-yours"]);
        let whom = to_ask(conn, visit).await?;
        page.sentences
            .push(Phrase::of("page-cover-unexpected").with("whom", whom));
        return Ok(page);
    };
    if row.called_off.is_some() {
        return Ok(page(Stage::Over, &["page-cannot-come-off"]));
    }
    let (_, turn_at) = turn_span(&row, visit.speech.zone)?;
    if turn_at <= visit.by.now {
        return since(conn, visit, turn_at, "page-late-turn").await;
    }
    if typed.is_none() {
        let asks = page(Stage::Asks, &["page-cannot-come"]);
        return Ok(asks.with_button("page-cannot-come-button"));
    }
    let on = (turn, PlaceId(own.id));
    let given_up = match give_up_one(conn, &visit.by.model, &visit.who, on, visit.by.now).await {
        Ok(given_up) => given_up,
        Err(DeskError::TurnOver | DeskError::NotTheHolder) => {
            return Ok(page(Stage::Over, &["page-cover-over"]));
        }
        Err(other) => return Err(other),
    };
    let by = (&*visit.by.model, visit.by.now);
    let then = what_then(conn, by, (site, given_up.call)).await?;
    let deed = LetterDeed::CannotCome;
    letters::keep_answer(conn, visit.letter.id, deed, visit.by.wall).await?;
    let done = ["page-cannot-come-done", then.said(), "page-cannot-come-how"];
    Ok(page(Stage::Done, &done))
}
