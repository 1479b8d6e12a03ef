//! "No, it was not fed": whoever looks after the bins hears of it at once.

use super::Visit;
use super::fed::hold;
use super::page::{LinkPage, Stage, Typed};
use super::question::{self, About};
use crate::desk::DeskError;
use crate::desk::letters::of_missed_turn;
use crate::store::{Conn, letters};
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::Phrase;

pub(super) async fn answer(
    conn: &mut Conn,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    let question = match question::find(conn, visit, hold(typed)).await? {
        Ok(question) => question,
        Err(page) => return Ok(page),
    };
    if typed.is_none() {
        let about = About::of(visit, &question);
        let sentences = vec![about.phrase("page-not-fed"), Phrase::of("page-not-fed-how")];
        let page = about.page(Stage::Asks, "page-not-fed-title", sentences);
        return Ok(page.with_button("page-not-fed-button"));
    }
    let who = &visit.who;
    let said_by = Some(who.member);
    let owed = of_missed_turn(conn, who.site, &question.turn, said_by, visit.by.wall).await?;
    letters::owe(conn, &owed).await?;
    question::keep(conn, visit, &question, LetterDeed::NotFed, None).await
}
