//! The page on which somebody asks for a letter with a link by themselves. Whether the address
//! has an account it tells nobody.

use super::ask_for_link::{LinkKind, ask_for_link};
use super::letter_links::{Field, Form, LinkPage, Stage, Typed};
use super::{Desk, DeskError, fields};
use std::net::IpAddr;
use wormrota_domain::phrase::{Phrase, Value};

/// The name under which the address is sent.
const EMAIL: &str = "email";

/// What can be asked for here.
#[must_use]
pub fn look(kind: LinkKind) -> LinkPage {
    let why = match kind {
        LinkKind::Reset => "page-ask-reset",
        LinkKind::SignIn => "page-ask-signin",
    };
    asks(kind, Stage::Asks, vec![Phrase::of(why)])
}

/// Owes the letter to the address that was typed, if it has an account.
///
/// # Errors
/// [`DeskError::TooOften`], whether or not there is an account.
pub async fn act(
    desk: &Desk,
    kind: LinkKind,
    typed: &Typed,
    from: IpAddr,
) -> Result<LinkPage, DeskError> {
    let email = typed.get(EMAIL).map_or("", String::as_str);
    if fields::email(email).is_none() {
        let wrong = vec![Phrase::of("page-ask-no-address")];
        return Ok(asks(kind, Stage::AsksAgain, wrong));
    }
    let minutes = ask_for_link(desk, kind, email, from).await?;
    let sentences = vec![
        Phrase::of("page-asked").with("minutes", Value::Count(minutes.into())),
        Phrase::of("page-asked-nothing"),
    ];
    Ok(page(kind, Stage::Done, sentences))
}

fn page(kind: LinkKind, stage: Stage, sentences: Vec<Phrase>) -> LinkPage {
    let title = match kind {
        LinkKind::Reset => "page-reset-title",
        LinkKind::SignIn => "page-signin-title",
    };
    LinkPage::saying(stage, None, Phrase::of(title), sentences)
}

fn asks(kind: LinkKind, stage: Stage, sentences: Vec<Phrase>) -> LinkPage {
    let address = Field::Address {
        name: EMAIL,
        label: Phrase::of("page-ask-address"),
    };
    let form = Form {
        fields: vec![address],
        button: Phrase::of("page-ask-button"),
    };
    LinkPage {
        form: Some(form),
        ..page(kind, stage, sentences)
    }
}
