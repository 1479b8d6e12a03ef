//! The page behind the link of a letter that sets a new password.

use super::account_link_page::{Owner, at_link};
use super::ask_for_link::LinkKind;
use super::chosen_password::{chosen, complaint, fields, length};
use super::letter_links::{Form, LinkPage, Stage, Typed};
use super::reset_password::reset_password;
use super::{Desk, DeskError};
use wormrota_domain::phrase::Phrase;

/// What the link is for, without setting anything.
///
/// # Errors
/// When the database cannot be reached.
pub async fn look(desk: &Desk, token: &str) -> Result<LinkPage, DeskError> {
    let owner = at_link(desk, LinkKind::Reset, token).await?;
    Ok(owner.map_or_else(|over| over, |owner| asks(&owner, None)))
}

/// Sets what was typed.
///
/// # Errors
/// When the database cannot be reached.
pub async fn act(desk: &Desk, token: &str, typed: &Typed) -> Result<LinkPage, DeskError> {
    let owner = match at_link(desk, LinkKind::Reset, token).await? {
        Ok(owner) => owner,
        Err(over) => return Ok(over),
    };
    let password = match chosen(typed) {
        Ok(Some(password)) => password,
        Ok(None) => return Ok(asks(&owner, Some(length()))),
        Err(differs) => return Ok(asks(&owner, Some(differs))),
    };
    match reset_password(desk, token, password).await {
        Ok(()) => Ok(set(&owner)),
        // Somebody was quicker: the page says so.
        Err(DeskError::LinkRefused) => look(desk, token).await,
        Err(error) => Ok(asks(&owner, Some(complaint(error)?))),
    }
}

fn page(owner: &Owner, stage: Stage, sentences: Vec<Phrase>) -> LinkPage {
    let speech = Some(owner.speech.clone());
    LinkPage::saying(stage, speech, Phrase::of("page-reset-title"), sentences)
}

/// The page that asks, with what was wrong before if something was.
fn asks(owner: &Owner, wrong: Option<Phrase>) -> LinkPage {
    let stage = match wrong {
        None => Stage::Asks,
        Some(_) => Stage::AsksAgain,
    };
    let about = Phrase::of("page-reset").with_text("email", &owner.email);
    let mut sentences: Vec<Phrase> = wrong.into_iter().collect();
    sentences.push(about);
    if !sentences.contains(&length()) {
        sentences.push(length());
    }
    let form = Form {
        fields: fields(),
        button: Phrase::of("page-reset-button"),
    };
    LinkPage {
        form: Some(form),
        ..page(owner, stage, sentences)
    }
}

fn set(owner: &Owner) -> LinkPage {
    let sentences = vec![
        Phrase::of("page-reset-done").with_text("email", &owner.email),
        Phrase::of("page-reset-ended"),
    ];
    page(owner, Stage::Done, sentences)
}
