//! A link whose time is over: it says so, and what can still be done.

use super::Visit;
use super::page::{LinkPage, Stage, whom};
use crate::desk::{DeskError, keepers};
use crate::store::Conn;
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
    let until = visit.letter.links_until;
    let Some(until) = until.filter(|until| *until <= visit.by.wall && deed != LetterDeed::Stop)
    else {
        return Ok(None);
    };
    // Said in the time that the reader's site lives in.
    let until = visit.by.now - (visit.by.wall - until);
    let late = Phrase::of("page-late")
        .with("date", Value::Date(until))
        .with("time", Value::Time(until));
    let is_over = visit.letter.too_late_at <= visit.by.wall;
    let how = match deed {
        LetterDeed::Fed | LetterDeed::NotFed | LetterDeed::FedByOther => "page-late-fed",
        LetterDeed::CoverBack if !is_over => "page-late-back",
        _ => "page-late-turn",
    };
    let names = keepers::names(conn, visit.who.site, HOUSE, visit.who.member).await?;
    let how = Phrase::of(how).with("whom", whom(names));
    let title = Phrase::of("page-late-title");
    let speech = Some(visit.speech.clone());
    let page = LinkPage::saying(Stage::Over, speech, title, vec![late, how]);
    Ok(Some(page))
}
