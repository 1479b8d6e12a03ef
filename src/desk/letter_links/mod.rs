//! What a link in a letter does. Following it shows a page that asks; only the button on that
//! page does something, so that a program that follows every link changes nothing.
//!
//! A link is the letter's row and one deed, signed. It ends when the letter is forgotten, when
//! its time is over, when it was answered, and when its receiver left. The one that ends letters
//! of a sort has no time: it works for as long as the letter is remembered.

mod cannot_come;
mod cover;
mod fed;
mod fed_by_other;
mod late;
mod not_fed;
mod page;
mod question;
mod stop;

pub(super) use page::whom;
pub use page::{Elsewhere, Field, Form, LinkPage, Shown, Stage, Typed};

use super::credentials::{Credentials, LinkFor};
use super::membership::Membership;
use super::reckoning::Reckoning;
use super::{Desk, DeskError};
use crate::clock;
use crate::store::letters::{self, LetterRow};
use crate::store::{Conn, members};
use futures_util::FutureExt;
use std::sync::Arc;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::speech::SpeechOf;

/// Somebody at the link of a letter.
pub(super) struct Visit {
    /// The letter.
    pub letter: LetterRow,
    /// Its receiver, as they are now.
    pub who: Membership,
    /// How they want things said.
    pub speech: SpeechOf,
    /// The clocks and constants.
    pub by: Reckoning,
    credentials: Arc<Credentials>,
}

impl Visit {
    /// The path of another link of the same letter.
    fn path_of(&self, deed: LetterDeed) -> String {
        let links = &self.credentials.links;
        let token = links.token(LinkFor::Letter(deed), self.letter.id);
        format!("/letters/{}/{token}", deed.code())
    }
}

/// What stands behind a link, without doing it.
///
/// # Errors
/// When the database cannot be reached.
pub async fn look(desk: &Desk, deed: LetterDeed, token: &str) -> Result<LinkPage, DeskError> {
    come(desk, deed, token, None).await
}

/// Does what a link is for, with what was typed on its page. Doing it again does nothing more.
///
/// # Errors
/// When the database cannot be reached.
pub async fn act(
    desk: &Desk,
    deed: LetterDeed,
    token: &str,
    typed: Typed,
) -> Result<LinkPage, DeskError> {
    come(desk, deed, token, Some(typed)).await
}

async fn come(
    desk: &Desk,
    deed: LetterDeed,
    token: &str,
    typed: Option<Typed>,
) -> Result<LinkPage, DeskError> {
    let links = &desk.credentials().links;
    let Some(id) = links.verify(LinkFor::Letter(deed), token) else {
        return Ok(LinkPage::unknown());
    };
    let by = Reckoning::at(desk, clock::wall()).await?;
    let input = (typed, by, desk.credentials_shared());
    desk.store()
        .transact(
            "follow a link",
            input,
            move |conn, (typed, by, credentials)| {
                async move {
                    let letter = letters::lock(conn, id).await?;
                    let Some(letter) = letter.filter(|letter| letter.links_revoked_at.is_none())
                    else {
                        return Ok(LinkPage::unknown());
                    };
                    let Some((who, speech)) = receiver(conn, &letter).await? else {
                        return Ok(LinkPage::unknown());
                    };
                    let visit = Visit {
                        letter,
                        who,
                        speech,
                        by: by.clone(),
                        credentials: Arc::clone(credentials),
                    };
                    match late::answer(conn, deed, &visit).await? {
                        Some(page) => Ok(page),
                        None => answer(conn, deed, &visit, typed.as_ref()).await,
                    }
                }
                .boxed()
            },
        )
        .await
}

async fn answer(
    conn: &mut Conn,
    deed: LetterDeed,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    match deed {
        LetterDeed::Stop => stop::answer(conn, visit, typed).await,
        LetterDeed::Fed => fed::answer(conn, visit, typed).await,
        LetterDeed::NotFed => not_fed::answer(conn, visit, typed).await,
        LetterDeed::FedByOther => fed_by_other::answer(conn, visit, typed).await,
        LetterDeed::CannotCome => cannot_come::answer(conn, visit, typed).await,
        LetterDeed::CoverYes | LetterDeed::CoverNo | LetterDeed::CoverBack => {
            cover::answer(conn, deed, visit, typed).await
        }
    }
}

/// The letter's receiver, unless they left.
async fn receiver(
    conn: &mut Conn,
    letter: &LetterRow,
) -> Result<Option<(Membership, SpeechOf)>, DeskError> {
    let (Some(site), Some(member)) = (letter.site_id, letter.member_id) else {
        return Ok(None);
    };
    let (site, member) = (SiteId(site), MemberId(member));
    let Some(person) = members::person(conn, site, member).await? else {
        return Ok(None);
    };
    let words = super::sites::words(conn, site).await?;
    let speech = words.speech_of_member(person.member.language.as_deref())?;
    let who = Membership {
        site,
        member,
        roles: person.roles,
    };
    Ok(Some((who, speech)))
}
