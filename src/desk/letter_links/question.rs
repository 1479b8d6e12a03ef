//! What the answers to "was the bin fed?" have in common: what they are about, and the pages of
//! questions that are answered.

use super::Visit;
use super::page::{LinkPage, Stage};
use crate::desk::DeskError;
use crate::desk::at_hand::{BinAtHand, Hold, SiteAtHand, read};
use crate::desk::letters::AskedAbout;
use crate::desk::sites::{self, Site};
use crate::desk::watched_turns::WatchedTurn;
use crate::store::{Conn, bins, decisions, letters, turns};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, DecisionId};
use wormrota_domain::letters::{LetterDeed, LetterKind};
use wormrota_domain::living_bin::aftermath::Aftermath;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

/// A question that nobody has answered.
pub(super) struct OpenQuestion {
    /// The site.
    pub site: Site,
    /// The same as the living bin needs it.
    pub at_hand: SiteAtHand,
    /// The turn.
    pub turn: WatchedTurn,
    /// Its bin.
    pub bin: BinAtHand,
}

/// A question at whose link somebody is: open, or the page that says what came of it.
pub(super) type Found = Result<OpenQuestion, LinkPage>;

/// The question of a letter. With [`Hold::Lock`] the bin's row is locked first: whoever answers
/// for the same turn by another letter waits, and then finds what was said.
pub(super) async fn find(conn: &mut Conn, visit: &Visit, hold: Hold) -> Result<Found, DeskError> {
    let letter = &visit.letter;
    let may_tell = visit.who.may(Deed::Tell);
    if !may_tell || letter.kind != LetterKind::TurnUnlogged.code() {
        return Ok(Err(LinkPage::unknown()));
    }
    let about = AskedAbout::of(letter)?;
    let site = sites::load(conn, visit.who.site).await?;
    let Some(row) = turns::by_id(conn, site.id, about.turn).await? else {
        return Ok(Err(LinkPage::unknown()));
    };
    let id = BinId(row.bin_id);
    if hold == Hold::Lock {
        bins::lock(conn, site.id, id).await?;
    }
    let Some(bin) = bins::by_id(conn, site.id, id).await? else {
        return Ok(Err(LinkPage::unknown()));
    };
    let about = About {
        visit,
        bin: &bin.name,
        on_date: row.on_date,
    };
    if let Some(answer) = letter.answer.as_deref().and_then(LetterDeed::from_code) {
        let recorded = recorded(conn, visit).await?;
        return Ok(Err(about.answered(answer, recorded)));
    }
    let Some(turn) = WatchedTurn::one(conn, &site, row).await? else {
        return Ok(Err(LinkPage::unknown()));
    };
    if turn.is_fed() {
        return Ok(Err(about.known(turn.fed)));
    }
    let at_hand = SiteAtHand::load(conn, site.id).await?;
    match BinAtHand::load(conn, &visit.by.model, &at_hand, id, visit.by.now, hold).await {
        Ok(bin) => Ok(Ok(OpenQuestion {
            site,
            at_hand,
            turn,
            bin,
        })),
        // It is out of use by now.
        Err(DeskError::NotStocked | DeskError::NotFound(_)) => Ok(Err(LinkPage::unknown())),
        Err(error) => Err(error),
    }
}

/// What came of the feeding that was told by this letter's link, if one was. It is kept under
/// the key of the letter, so that it cannot be written twice and is found again.
async fn recorded(conn: &mut Conn, visit: &Visit) -> Result<Option<Aftermath>, DeskError> {
    let row = decisions::by_id(conn, visit.who.site, kept_under(visit)).await?;
    row.map(|row| read("decisions.decision", row.decision))
        .transpose()
}

/// The key under which it is kept what came of a feeding that was told by this letter's link.
pub(super) const fn kept_under(visit: &Visit) -> DecisionId {
    DecisionId(visit.letter.id)
}

/// Keeps an answer; gives the page that says so.
pub(super) async fn keep(
    conn: &mut Conn,
    visit: &Visit,
    question: &OpenQuestion,
    answer: LetterDeed,
    recorded: Option<Aftermath>,
) -> Result<LinkPage, DeskError> {
    letters::keep_answer(conn, visit.letter.id, answer, visit.by.wall).await?;
    Ok(About::of(visit, question).answered(answer, recorded))
}

/// What a page is about.
pub(super) struct About<'a> {
    visit: &'a Visit,
    bin: &'a str,
    on_date: chrono::NaiveDate,
}

impl<'a> About<'a> {
    /// An open question.
    pub(super) fn of(visit: &'a Visit, question: &'a OpenQuestion) -> Self {
        Self {
            visit,
            bin: &question.bin.row.name,
            on_date: question.turn.row.on_date,
        }
    }

    /// A phrase that names bin and day.
    pub(super) fn phrase(&self, code: &'static str) -> Phrase {
        Phrase::of(code)
            .with_text("bin", self.bin)
            .with("on", Value::OnLocalDay(self.on_date))
    }

    /// A page about it.
    pub(super) fn page(
        &self,
        stage: Stage,
        title: &'static str,
        sentences: Vec<Phrase>,
    ) -> LinkPage {
        let speech = Some(self.visit.speech.clone());
        LinkPage::saying(stage, speech, Phrase::of(title), sentences)
    }

    /// What the reader answered, now or before.
    fn answered(&self, answer: LetterDeed, recorded: Option<Aftermath>) -> LinkPage {
        let (said, how) = match (answer, recorded.is_some()) {
            (LetterDeed::NotFed, _) => ("page-not-fed-done", "page-not-fed-done-how"),
            (_, true) => ("page-fed-done", "page-fed-done-how"),
            (_, false) => ("page-fed-by-other-done", "page-fed-by-other-done-how"),
        };
        let sentences = vec![self.phrase(said), Phrase::of(how)];
        LinkPage {
            aftermath: recorded,
            ..self.page(Stage::Done, "page-answered-title", sentences)
        }
    }

    /// It was answered by somebody else, or written down.
    fn known(&self, fed: Option<Grams>) -> LinkPage {
        let said = match fed {
            Some(amount) => self
                .phrase("page-fed-known-amount")
                .with("amount", Value::AtLeast(amount)),
            None => self.phrase("page-fed-known"),
        };
        let sentences = vec![said, Phrase::of("page-fed-known-how")];
        self.page(Stage::Done, "page-fed-known-title", sentences)
    }
}
