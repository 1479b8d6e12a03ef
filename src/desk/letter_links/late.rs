//! A link whose time is over: it says so, and what can still be done.

use super::Visit;
use super::page::{LinkPage, Stage, whom};
use crate::desk::{DeskError, keepers};
use crate::store::Conn;
use chrono::{DateTime, Utc};
use wormrota_domain::access::HOUSE;
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::{Phrase, Value};

/// The page of a link that nobody followed in time; none while it does something. A link without
/// an end works for as long as its letter is remembered, and so does ending letters of a sort.
pub(super) async fn answer(
    conn: &mut Conn,
    deed: LetterDeed,
    visit: &Visit,
) -> Result<Option<LinkPage>, DeskError> {
    let until = match deed {
        // Until when it can be is looked at behind the link: afterwards it leads on.
        LetterDeed::CoverBack => Some(visit.letter.too_late_at),
        _ => visit.letter.links_until,
    };
    let Some(until) = until.filter(|until| *until <= visit.by.wall && deed != LetterDeed::Stop)
    else {
        return Ok(None);
    };
    // Said in the time that the reader's site lives in.
    let until = visit.by.now - (visit.by.wall - until);
    let how = match deed {
        LetterDeed::Fed | LetterDeed::NotFed | LetterDeed::FedByOther => "page-late-fed",
        _ => "page-late-turn",
    };
    Ok(Some(since(conn, visit, until, how).await?))
}

/// The page of a link that worked until an instant of the site's time, and what can be done now.
pub(super) async fn since(
    conn: &mut Conn,
    visit: &Visit,
    until: DateTime<Utc>,
    how: &'static str,
) -> Result<LinkPage, DeskError> {
    let late = Phrase::of("page-late").with("until", Value::Until(until));
    let how = Phrase::of(how).with("whom", to_ask(conn, visit).await?);
    let title = Phrase::of("page-late-title");
    let speech = Some(visit.speech.clone());
    Ok(LinkPage::saying(
        Stage::Over,
        speech,
        title,
        vec![late, how],
    ))
}

/// Whom the reader can ask, within a sentence.
pub(super) async fn to_ask(conn: &mut Conn, visit: &Visit) -> Result<Value, DeskError> {
    let names = keepers::names(conn, visit.who.site, HOUSE, visit.who.member).await?;
    Ok(whom(names))
}
