//! Ending letters of one sort.

use super::Visit;
use super::page::{Form, LinkPage, Stage, Typed};
use crate::desk::DeskError;
use crate::desk::trail::{self, Subject};
use crate::store::{Conn, members};
use serde_json::json;
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

pub(super) async fn answer(
    conn: &mut Conn,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    let kind = LetterKind::from_code(&visit.letter.kind);
    let Some(group) = kind.and_then(|kind| kind.manner().group) else {
        return Ok(LinkPage::unknown());
    };
    let about = |code| Phrase::of(code).with("group", Value::Code(group.code()));
    let page = |stage, sentences, form| LinkPage {
        stage,
        speech: Some(visit.speech.clone()),
        title: Phrase::of("page-stop-title"),
        sentences,
        aftermath: None,
        form,
    };
    if typed.is_none() {
        let form = Form {
            fields: Vec::new(),
            button: Phrase::of("page-stop-button"),
        };
        let sentences = vec![about("page-stop"), Phrase::of("page-stop-others")];
        return Ok(page(Stage::Asks, sentences, Some(form)));
    }
    let who = &visit.who;
    if members::turn_letters_off(conn, who.site, who.member, group).await? {
        let detail = json!({ "group": group });
        let subject = Subject::Member(who.member.0);
        trail::leave(
            conn,
            who,
            visit.by.now,
            "letters_turned_off",
            subject,
            detail,
        )
        .await?;
    }
    let sentences = vec![about("page-stopped"), Phrase::of("page-stopped-how")];
    Ok(page(Stage::Done, sentences, None))
}
