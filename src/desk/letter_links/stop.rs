//! Ending letters of one sort, and turning them on again.

use super::Visit;
use super::page::{Field, Form, LinkPage, Stage, Typed};
use crate::desk::DeskError;
use crate::desk::trail::{self, Subject};
use crate::store::{Conn, members};
use serde_json::json;
use wormrota_domain::letters::{LetterGroup, LetterKind};
use wormrota_domain::phrase::{Phrase, Value};

/// What the button sends that turns letters on. The address alone ends them, also when it is
/// sent twice: it is where mail programs end letters by themselves (RFC 8058, section 3.1).
const ON_AGAIN: (&str, &str) = ("letters", "on");

pub(super) async fn answer(
    conn: &mut Conn,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    let kind = LetterKind::from_code(&visit.letter.kind);
    let Some(group) = kind.and_then(|kind| kind.manner().group) else {
        return Ok(LinkPage::unknown());
    };
    let Some(typed) = typed else {
        return if are_off(conn, visit, group).await? {
            Ok(ended(visit, group))
        } else {
            Ok(asks(visit, group))
        };
    };
    let (name, on) = ON_AGAIN;
    let who = &visit.who;
    let on = typed.get(name).is_some_and(|value| value == on);
    let (deed, page) = if on {
        ("letters_turned_on", goes_on(visit, group))
    } else {
        ("letters_turned_off", ended(visit, group))
    };
    if members::turn_letters(conn, who.site, who.member, (group, on)).await? {
        let detail = json!({ "group": group });
        let subject = Subject::Member(who.member.0);
        trail::leave(conn, who, visit.by.now, deed, subject, detail).await?;
    }
    Ok(page)
}

/// Whether the reader gets none of them as it is.
async fn are_off(conn: &mut Conn, visit: &Visit, group: LetterGroup) -> Result<bool, DeskError> {
    let person = members::person(conn, visit.who.site, visit.who.member).await?;
    let off = person.and_then(|person| person.wishes.letters_off);
    Ok(off
        .unwrap_or_default()
        .iter()
        .any(|code| code == group.code()))
}

fn page(visit: &Visit, stage: Stage, title: &'static str, sentences: Vec<Phrase>) -> LinkPage {
    let speech = Some(visit.speech.clone());
    LinkPage::saying(stage, speech, Phrase::of(title), sentences)
}

fn about(code: &'static str, group: LetterGroup) -> Phrase {
    Phrase::of(code).with("group", Value::Code(group.code()))
}

fn asks(visit: &Visit, group: LetterGroup) -> LinkPage {
    let sentences = vec![about("page-stop", group), Phrase::of("page-stop-others")];
    page(visit, Stage::Asks, "page-stop-title", sentences).with_button("page-stop-button")
}

fn ended(visit: &Visit, group: LetterGroup) -> LinkPage {
    let sentences = vec![
        about("page-stopped", group),
        Phrase::of("page-stop-others"),
        Phrase::of("page-stopped-how"),
    ];
    let (name, value) = ON_AGAIN;
    let form = Form {
        fields: vec![Field::Unseen { name, value }],
        button: Phrase::of("page-stopped-button"),
    };
    LinkPage {
        form: Some(form),
        ..page(visit, Stage::Done, "page-stopped-title", sentences)
    }
}

fn goes_on(visit: &Visit, group: LetterGroup) -> LinkPage {
    let sentences = vec![about("page-on-again", group)];
    page(visit, Stage::Done, "page-on-again-title", sentences)
}
