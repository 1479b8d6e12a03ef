//! The page behind the link of a letter that signs in. Whoever has a program for the bins gets
//! from it, once, what that program needs; whoever has none is told that they need not sign in.

use super::account_link_page::{Owner, another, at_link};
use super::ask_for_link::LinkKind;
use super::letter_links::{LinkPage, Shown, Stage};
use super::sessions::Session;
use super::sign_in_by_link::sign_in_by_link;
use super::{Desk, DeskError};
use chrono::{DateTime, Utc};
use std::net::IpAddr;
use wormrota_domain::phrase::{Phrase, Value};

/// What the link is for, without signing anybody in.
///
/// # Errors
/// When the database cannot be reached.
pub async fn look(desk: &Desk, token: &str) -> Result<LinkPage, DeskError> {
    let owner = at_link(desk, LinkKind::SignIn, token).await?;
    Ok(owner.map_or_else(|over| over, |owner| asks(&owner)))
}

/// Signs in and shows what a program needs, once.
///
/// # Errors
/// When the database cannot be reached.
pub async fn act(desk: &Desk, token: &str, from: IpAddr) -> Result<LinkPage, DeskError> {
    let owner = match at_link(desk, LinkKind::SignIn, token).await? {
        Ok(owner) => owner,
        Err(over) => return Ok(over),
    };
    match sign_in_by_link(desk, token, None, from).await {
        Ok(session) => Ok(signed_in(&owner, session)),
        // Somebody was quicker: the page says so.
        Err(DeskError::LinkRefused) => look(desk, token).await,
        Err(error) => Err(error),
    }
}

fn page(owner: &Owner, stage: Stage, sentences: Vec<Phrase>) -> LinkPage {
    let speech = Some(owner.speech.clone());
    LinkPage::saying(stage, speech, Phrase::of("page-signin-title"), sentences)
}

fn asks(owner: &Owner) -> LinkPage {
    let sentences = vec![
        Phrase::of("page-signin").with_text("email", &owner.email),
        Phrase::of("page-signin-no-program"),
    ];
    page(owner, Stage::Asks, sentences).with_button("page-signin-button")
}

fn signed_in(owner: &Owner, session: Session) -> LinkPage {
    let sentences = vec![
        Phrase::of("page-signin-done").with_text("email", &owner.email),
        Phrase::of("page-signin-once"),
        Phrase::of("page-signin-astray"),
    ];
    let shown = |code, until: DateTime<Utc>, secret| Shown {
        label: Phrase::of(code).with("until", Value::Until(until)),
        secret,
    };
    let Session {
        token,
        refresh_token,
        refresh_expires_at,
        ..
    } = session;
    let refresh_token = refresh_token.text().to_owned();
    LinkPage {
        shown: vec![
            shown("page-signin-access", token.expires_at, token.text),
            shown("page-signin-refresh", refresh_expires_at, refresh_token),
        ],
        elsewhere: Some(another(LinkKind::Reset)),
        ..page(owner, Stage::Done, sentences)
    }
}
