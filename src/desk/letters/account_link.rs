//! A link that sets a new password, or signs in.

use super::content::{Content, Letter, PageLink, Part, Request};
use super::invitation::until;
use super::receiver::greeting;
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::ask_for_link::LinkKind;
use crate::desk::credentials::LinkFor;
use crate::desk::post::{For, Owing};
use crate::store::letter_sources::{self, Speech};
use crate::store::letters::LetterRow;
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{AccountId, LinkId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::Phrase;
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::speech::SpeechOf;

#[derive(Serialize, Deserialize)]
struct Keys {
    link: LinkId,
}

/// The letter of a link. For an address that has no account a row is written that nobody sends,
/// so that asking takes as long.
pub(in crate::desk) fn of_link(
    kind: LetterKind,
    account: Option<AccountId>,
    link: LinkId,
    expires_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind,
        purpose: link.to_string(),
        whom: For::Account(account),
        too_late_at: expires_at,
        links_until: None,
    }
    .row(&Keys { link }, wall)
}

pub(super) async fn read(
    conn: &mut Conn,
    kind: LetterKind,
    at: &Reading,
) -> Result<Found, DeskError> {
    let Keys { link: id } = at.keys()?;
    let row = letter_sources::link(conn, id).await?;
    let open = row.filter(|row| {
        let unused = row.used_at.is_none() && row.revoked_at.is_none();
        row.kind == kind.code() && unused && row.expires_at > at.by.wall
    });
    let Some((row, address)) = open.and_then(|row| row.email_lower.clone().map(|to| (row, to)))
    else {
        return Ok(Found::Settled);
    };
    let speech = speech_of_account(conn, AccountId(row.account_id)).await?;
    let purpose = match kind {
        LetterKind::Reset => LinkFor::Reset,
        _ => LinkFor::SignIn,
    };
    let token = at.credentials.links.token(purpose, id.0);
    Ok(Found::Letter(Box::new(Letter {
        address,
        name: None,
        speech,
        content: content(kind, token, row.expires_at),
        fewer: None,
        not_before: None,
        speaks_for: Vec::new(),
    })))
}

fn content(kind: LetterKind, token: String, expires_at: DateTime<Utc>) -> Content {
    match kind {
        LetterKind::Reset => to_reset(token, expires_at),
        _ => to_sign_in(token, expires_at),
    }
}

fn to_reset(token: String, expires_at: DateTime<Utc>) -> Content {
    let sentence = |code| Part::sentence(Phrase::of(code));
    Content::of(
        Phrase::of("letter-reset-subject"),
        vec![
            greeting(None),
            sentence("letter-reset"),
            Part::Page(PageLink {
                label: Phrase::of("letter-reset-link"),
                path: LinkKind::Reset.path(),
                token: Some(token.clone()),
            }),
            Part::sentence(until(expires_at)),
            sentence("letter-link-secret"),
            sentence("letter-reset-unexpected"),
            Part::Aside(vec![Phrase::of("letter-for-programs")]),
            Part::Request(Request {
                path: "/v1/password_resets/use",
                token,
                rest: ", \"new_password\": \"…\"",
            }),
        ],
    )
}

fn to_sign_in(token: String, expires_at: DateTime<Utc>) -> Content {
    let sentence = |code| Part::sentence(Phrase::of(code));
    Content::of(
        Phrase::of("letter-signin-subject"),
        vec![
            greeting(None),
            sentence("letter-signin"),
            sentence("letter-signin-how"),
            Part::Page(PageLink {
                label: Phrase::of("letter-signin-link"),
                path: LinkKind::SignIn.path(),
                token: Some(token.clone()),
            }),
            Part::sentence(until(expires_at)),
            sentence("letter-link-secret"),
            sentence("letter-signin-unexpected"),
            Part::Page(PageLink {
                label: Phrase::of("letter-signin-password"),
                path: LinkKind::Reset.path(),
                token: None,
            }),
            Part::Aside(vec![Phrase::of("letter-for-programs")]),
            Part::Request(Request {
                path: "/v1/sign_in_links/use",
                token,
                rest: "",
            }),
        ],
    )
}

/// How an account wants things said: as in its oldest membership, or plainly.
///
/// # Errors
/// [`StoreError::Unreadable`] for words that nobody knows.
pub(in crate::desk) async fn speech_of_account(
    conn: &mut Conn,
    account: AccountId,
) -> Result<SpeechOf, StoreError> {
    spoken(letter_sources::speech_of_account(conn, account).await?)
}

fn spoken(speech: Option<Speech>) -> Result<SpeechOf, StoreError> {
    let unreadable = |what| StoreError::Unreadable { what };
    let plain = SpeechOf::plain_english();
    let Some(speech) = speech else {
        return Ok(plain);
    };
    let language = speech.language.as_ref().unwrap_or(&speech.site_language);
    Ok(SpeechOf {
        language: Language::from_code(language).ok_or(unreadable("a language"))?,
        units: UnitSystem::from_code(&speech.units).ok_or(unreadable("sites.units"))?,
        zone: speech.zone.parse().map_err(|_| unreadable("sites.zone"))?,
        ..plain
    })
}

/// Letters of these kinds, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let until = now + chrono::TimeDelta::minutes(10);
    let kinds = [LetterKind::Reset, LetterKind::SignIn];
    kinds
        .map(|kind| content(kind, "TOKEN".to_owned(), until))
        .into()
}
