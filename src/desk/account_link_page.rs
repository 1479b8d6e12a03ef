//! What the pages behind the links of an account have in common: whose the link is, and what is
//! said of one that does nothing any more.

use super::ask_for_link::LinkKind;
use super::letter_links::{Elsewhere, LinkPage, Stage};
use super::letters::speech_of_account;
use super::my_links::{self, LinkState};
use super::{Desk, DeskError};
use crate::clock;
use crate::store::{Conn, account_links, accounts};
use futures_util::FutureExt;
use std::borrow::Cow;
use wormrota_domain::ids::{AccountId, LinkId};
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::speech::SpeechOf;

/// Somebody at the link of their account.
pub(super) struct Owner {
    pub speech: SpeechOf,
    pub email: String,
}

/// Whose link it is; of one that does nothing any more the page that says why.
pub(super) type Found = Result<Owner, LinkPage>;

/// Who is at a link.
pub(super) async fn at_link(desk: &Desk, kind: LinkKind, token: &str) -> Result<Found, DeskError> {
    let Ok(link) = my_links::of_token(desk, kind, token) else {
        return Ok(Err(unknown(kind)));
    };
    desk.store()
        .read("look at a link", link, move |conn, link| {
            find(conn, kind, *link).boxed()
        })
        .await
}

async fn find(conn: &mut Conn, kind: LinkKind, link: LinkId) -> Result<Found, DeskError> {
    let row = account_links::by_id(conn, link).await?;
    let row = row.filter(|row| row.kind == kind.code());
    let owner = row.and_then(|row| row.account_id.map(|id| (AccountId(id), row)));
    let Some((account, row)) = owner else {
        return Ok(Err(unknown(kind)));
    };
    let found = accounts::by_id(conn, account).await?;
    let Some(email) = found.and_then(|account| account.email_lower) else {
        return Ok(Err(unknown(kind)));
    };
    let speech = speech_of_account(conn, account).await?;
    let why = match LinkState::of(&row, clock::wall()) {
        LinkState::Open => return Ok(Ok(Owner { speech, email })),
        LinkState::Used => "page-link-used",
        LinkState::Revoked => "page-link-revoked",
        LinkState::Expired => "page-link-expired",
    };
    let why = Phrase::of(why).with("kind", Value::Code(kind.code()));
    let title = Phrase::of("page-over-title");
    let page = LinkPage::saying(Stage::Over, Some(speech), title, vec![why]);
    Ok(Err(with_another(page, kind)))
}

fn unknown(kind: LinkKind) -> LinkPage {
    with_another(LinkPage::unknown(), kind)
}

/// The same with the way to another link.
fn with_another(page: LinkPage, kind: LinkKind) -> LinkPage {
    LinkPage {
        elsewhere: Some(another(kind)),
        ..page
    }
}

/// Where a link of a kind can be asked for.
pub(super) const fn another(kind: LinkKind) -> Elsewhere {
    let label = match kind {
        LinkKind::Reset => "page-ask-reset-link",
        LinkKind::SignIn => "page-ask-signin-link",
    };
    Elsewhere {
        label: Phrase::of(label),
        path: Cow::Borrowed(kind.path()),
    }
}
