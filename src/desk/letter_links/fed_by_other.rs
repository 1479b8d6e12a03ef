//! "Somebody else fed it": how much, if the reader knows.

use super::Visit;
use super::fed::{Amount, UNKNOWN, amount, choice, hold, offered, portion, put_down};
use super::page::{Form, LinkPage, Stage, Typed};
use super::question::{self, About};
use crate::desk::DeskError;
use crate::store::Conn;
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
    let Some(amount) = typed.and_then(amount) else {
        let about = About::of(visit, &question);
        let sentences = vec![about.phrase("page-fed-by-other")];
        let page = about.page(Stage::Asks, "page-fed-by-other-title", sentences);
        // Whoever fed may still write down how much: nothing is put down for them.
        let unknown = (UNKNOWN.to_owned(), Phrase::of("page-fed-unknown"));
        let portions = offered(conn, visit, &question)
            .await?
            .into_iter()
            .map(portion);
        let form = Form {
            fields: vec![choice([unknown].into_iter().chain(portions).collect())],
            button: Phrase::of("page-fed-by-other-button"),
        };
        return Ok(LinkPage {
            form: Some(form),
            ..page
        });
    };
    let recorded = match amount {
        Amount::Grams(amount) => Some(put_down(conn, visit, &question, amount).await?),
        Amount::Unknown => None,
    };
    question::keep(conn, visit, &question, LetterDeed::FedByOther, recorded).await
}
