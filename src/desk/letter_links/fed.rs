//! "Yes, I fed it": about how much, and what that means for the bin.

use super::Visit;
use super::page::{Field, Form, LinkPage, Stage, Typed};
use super::question::{self, About, OpenQuestion, kept_under};
use crate::desk::DeskError;
use crate::desk::at_hand::{BinAtHand, Hold, read};
use crate::desk::book::usual_mix;
use crate::desk::tell::{Fed, record};
use crate::store::bookings::{self, BookingRow, BookingState};
use crate::store::{Conn, events};
use wormrota_domain::ids::BookingId;
use wormrota_domain::letters::{LetterDeed, portions};
use wormrota_domain::living_bin::aftermath::Aftermath;
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

/// Under which name the amount is sent, in grams.
const AMOUNT: &str = "amount";
/// What is sent by who does not know how much it was.
pub(super) const UNKNOWN: &str = "unknown";
/// Of so many feedings of a bin the middle one is its usual one.
const LOOKED_AT: i64 = 9;

pub(super) async fn answer(
    conn: &mut Conn,
    visit: &Visit,
    typed: Option<&Typed>,
) -> Result<LinkPage, DeskError> {
    let question = match question::find(conn, visit, hold(typed)).await? {
        Ok(question) => question,
        Err(page) => return Ok(page),
    };
    let offered = offered(conn, visit, &question).await?;
    // Whoever fed and does not know how much gave the usual, as far as can be told: a meal that
    // is not reckoned with is a bin that gets too much.
    let usual = offered.first().copied().unwrap_or(Grams::ZERO);
    let chosen = typed.and_then(amount).map(|chosen| match chosen {
        Amount::Grams(amount) => amount,
        Amount::Unknown => usual,
    });
    if let Some(amount) = chosen {
        let recorded = put_down(conn, visit, &question, amount).await?;
        return question::keep(conn, visit, &question, LetterDeed::Fed, Some(recorded)).await;
    }
    let about = About::of(visit, &question);
    let sentences = vec![about.phrase("page-fed"), Phrase::of("page-fed-how")];
    // The button without an amount on the page.
    let stage = match typed {
        Some(_) => Stage::AsksAgain,
        None => Stage::Asks,
    };
    let page = about.page(stage, "page-fed-title", sentences);
    let unknown = Phrase::of("page-fed-usual").with("amount", Value::AtMost(usual));
    let portions = offered.into_iter().map(portion);
    let choices = portions.chain([(UNKNOWN.to_owned(), unknown)]);
    let form = Form {
        fields: vec![choice(choices.collect())],
        button: Phrase::of("page-fed-button"),
    };
    Ok(LinkPage {
        form: Some(form),
        ..page
    })
}

/// Whoever only looks keeps nobody waiting.
pub(super) const fn hold(typed: Option<&Typed>) -> Hold {
    match typed {
        Some(_) => Hold::Lock,
        None => Hold::Look,
    }
}

/// How much went in, as it was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Amount {
    /// So much.
    Grams(Grams),
    /// Nobody knows.
    Unknown,
}

/// What was chosen; none where it cannot be meant.
pub(super) fn amount(typed: &Typed) -> Option<Amount> {
    let chosen = typed.get(AMOUNT)?;
    if chosen == UNKNOWN {
        return Some(Amount::Unknown);
    }
    let grams = Grams(chosen.parse().ok()?);
    usual_mix(grams).is_ok().then_some(Amount::Grams(grams))
}

/// The amounts to choose from, the likeliest first: what was booked for the turn, or what the
/// bin usually gets, or what it can take.
pub(super) async fn offered(
    conn: &mut Conn,
    visit: &Visit,
    question: &OpenQuestion,
) -> Result<Vec<Grams>, DeskError> {
    let bin = &question.bin;
    let booked = booking(conn, visit, question).await?;
    let own = booked.as_ref().map(|row| row.id);
    let kept = bin.kept_bookings(&question.at_hand, own);
    let room = Outlook::cautious(&bin.habitat, &bin.state).room(&kept);
    let booked = booked.map(|row| Grams(row.promised_g));
    let likeliest = match booked {
        Some(booked) => Some(booked),
        None => usual(conn, question).await?,
    };
    Ok(portions(likeliest.unwrap_or(room.amount), room.amount))
}

/// An amount, and what it is called.
pub(super) fn portion(amount: Grams) -> (String, Phrase) {
    let called = Phrase::of("page-fed-portion").with("amount", Value::Scraps(amount));
    (amount.0.to_string(), called)
}

/// A choice of amounts.
pub(super) fn choice(values: Vec<(String, Phrase)>) -> Field {
    Field::Choice {
        name: AMOUNT,
        label: Phrase::of("page-fed-amount"),
        values,
    }
}

/// What the reader booked for the turn.
async fn booking(
    conn: &mut Conn,
    visit: &Visit,
    question: &OpenQuestion,
) -> Result<Option<BookingRow>, DeskError> {
    let mut places = question.turn.places.iter();
    let own = places.find(|place| place.member_id == Some(visit.who.member.0));
    match own.and_then(|place| place.booking_id) {
        Some(id) => Ok(bookings::by_id(conn, visit.who.site, BookingId(id)).await?),
        None => Ok(None),
    }
}

/// The middle one of the bin's last feedings, if there were any.
async fn usual(conn: &mut Conn, question: &OpenQuestion) -> Result<Option<Grams>, DeskError> {
    let (site, bin) = (question.site.id, question.bin.id);
    let mut amounts = Vec::new();
    for row in events::page(conn, site, bin, &["fed"], None, LOOKED_AT).await? {
        if let Event::Fed { lines, .. } = read("bin_events.payload", row.payload)? {
            amounts.push(lines.iter().map(|line| line.amount).sum::<Grams>());
        }
    }
    amounts.sort_unstable();
    Ok(amounts.get(amounts.len() / 2).copied())
}

/// Records that so much of the usual mix went in on the turn.
pub(super) async fn put_down(
    conn: &mut Conn,
    visit: &Visit,
    question: &OpenQuestion,
    amount: Grams,
) -> Result<Aftermath, DeskError> {
    let offer = usual_mix(amount)?;
    let bin = match booking(conn, visit, question).await? {
        // It held the room for this food, which is in.
        Some(row) if row.state == BookingState::Open.code() => {
            let id = BookingId(row.id);
            bookings::end(conn, visit.who.site, id, BookingState::Used).await?;
            let (site, bin) = (&question.at_hand, question.bin.id);
            &BinAtHand::load(conn, &visit.model, site, bin, visit.now, Hold::Lock).await?
        }
        _ => &question.bin,
    };
    let middle = question.turn.middle(&question.site);
    let fed = Fed {
        offer: &offer,
        bedding: Grams::ZERO,
        // A bin that was stocked on that day was fed after that.
        occurred_at: middle.max(bin.state.stocked_at).min(bin.now),
        decision: kept_under(visit),
    };
    let recorded = record(conn, &question.at_hand, bin, &visit.who, &fed).await?;
    Ok(recorded.aftermath)
}
