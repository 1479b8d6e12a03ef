//! Putting food in, if the bin can take it. Decision and entry are one transaction that
//! holds the bin's row, so that two people at the same second cannot overload it.

use super::at_hand::{BinAtHand, Hold, SiteAtHand, write};
use super::membership::{Membership, admit};
use super::offers::{Item, offer_of};
use super::spine::Entry;
use super::stocked_bins::other_bins;
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::bookings::{self, BookingState};
use crate::store::decisions::DecisionRow;
use crate::store::{Conn, decisions};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::food::Offer;
use wormrota_domain::ids::{BinId, BookingId, DecisionId, EventId, SiteId};
use wormrota_domain::living_bin::decide::Asked;
use wormrota_domain::living_bin::decision::{Condition, Decision, Outcome};
use wormrota_domain::living_bin::event::{Event, FedLine, How};
use wormrota_domain::living_bin::meal::allowed_meal;
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::units::Grams;

/// What an offer got.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// Under which the decision is kept; nothing is kept when somebody only asked.
    pub decision_id: Option<DecisionId>,
    /// The decision.
    pub decision: Decision,
    /// The entry on the bin's spine, if food went in.
    pub feeding: Option<EventId>,
    /// The moment at which it was decided.
    pub decided_at: DateTime<Utc>,
}

/// Asks whether an offer may go in now. Nothing is written.
pub async fn ask(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    items: Vec<Item>,
) -> Result<Answer, DeskError> {
    let model = desk.model();
    desk.store()
        .read(
            "ask before feeding",
            (errand, items),
            move |conn, (errand, items)| {
                let model = model.clone();
                async move {
                    let who = admit(conn, errand, site, Deed::Ask).await?;
                    let site = SiteAtHand::load(conn, site).await?;
                    let offer = offer_of(conn, &site, items).await?;
                    let bin =
                        BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Look).await?;
                    let (decision, _) = decide(conn, &model, &site, &bin, &who, &offer).await?;
                    let decided_at = bin.now;
                    Ok(Answer {
                        decision_id: None,
                        decision,
                        feeding: None,
                        decided_at,
                    })
                }
                .boxed()
            },
        )
        .await
}

/// Puts an offer in as far as it is allowed; a refusal is an answer too, and is kept.
pub async fn put_in(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    items: Vec<Item>,
) -> Result<Answer, DeskError> {
    let model = desk.model();
    desk.write("put food in", errand, items, move |conn, errand, items| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::PutIn).await?;
            let site = SiteAtHand::load(conn, site).await?;
            let offer = offer_of(conn, &site, items).await?;
            let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await?;
            let (decision, own) = decide(conn, &model, &site, &bin, &who, &offer).await?;
            let feeding = if decision.outcome == Outcome::Refused {
                None
            } else {
                if let Some(own) = own {
                    bookings::end(conn, site.id, BookingId(own), BookingState::Used).await?;
                }
                Some(record(conn, &site, &bin, &who, &decision).await?)
            };
            let id = keep(conn, &bin, &who, &decision, "put_in", feeding, None).await?;
            let decided_at = bin.now;
            Ok(Answer {
                decision_id: Some(id),
                decision,
                feeding,
                decided_at,
            })
        }
        .boxed()
    })
    .await
}

/// The decision on an offer for now, and the caller's own booking for today, which it may
/// use up.
async fn decide(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    bin: &BinAtHand,
    who: &Membership,
    offer: &Offer,
) -> Result<(Decision, Option<Uuid>), DeskError> {
    let own = bin.own_booking(site, who.member);
    let decision = Asked {
        habitat: &bin.habitat,
        state: &bin.state,
        bookings: &bin.kept_bookings(site, own),
        at: bin.now,
        offer,
        list: &site.list,
        moments: &site.days_after(bin.now),
    }
    .decide();
    Ok((sent_elsewhere(conn, model, site, bin, decision).await?, own))
}

/// Looks at the site's other bins when an offer was refused.
pub(super) async fn sent_elsewhere(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    bin: &BinAtHand,
    decision: Decision,
) -> Result<Decision, DeskError> {
    if decision.outcome != Outcome::Refused {
        return Ok(decision);
    }
    let others = other_bins(conn, model, site, bin.id, bin.now).await?;
    Ok(decision.sent_elsewhere(&others, &site.outlets))
}

/// What was allowed goes on the spine at once, with the bedding that was asked for: the
/// condition was part of the answer, and a look into the bin will tell.
async fn record(
    conn: &mut Conn,
    site: &SiteAtHand,
    bin: &BinAtHand,
    who: &Membership,
    decision: &Decision,
) -> Result<EventId, DeskError> {
    let bedding = decision
        .conditions
        .iter()
        .find_map(|condition| match condition {
            Condition::AddBedding { dry } => Some(*dry),
            _ => None,
        });
    let lines = decision
        .lines
        .iter()
        .filter(|line| line.allowed > Grams::ZERO);
    let event = Event::Fed {
        lines: lines
            .map(|line| FedLine {
                food: line.food.clone(),
                amount: line.allowed,
            })
            .collect(),
        meal: allowed_meal(decision, &site.list),
        bedding: bedding.unwrap_or(Grams::ZERO),
        how: How::Allowed,
    };
    let entry = Entry::told(event, bin.now, who.member);
    bin.append(conn, site, &[entry]).await?.id()
}

/// Keeps a decision with what it was reckoned from.
pub(super) async fn keep(
    conn: &mut Conn,
    bin: &BinAtHand,
    who: &Membership,
    decision: &Decision,
    deed: &str,
    feeding: Option<EventId>,
    booking: Option<BookingId>,
) -> Result<DecisionId, DeskError> {
    let id = DecisionId(clock::fresh_id());
    let row = DecisionRow {
        site_id: who.site.0,
        id: id.0,
        bin_id: bin.id.0,
        member_id: who.member.0,
        event_id: feeding.map(|event| event.0),
        booking_id: booking.map(|booking| booking.0),
        deed: deed.to_owned(),
        outcome: decision.outcome.code().to_owned(),
        decided_at: bin.now,
        offered_g: decision.offered.0,
        allowed_g: decision.allowed.0,
        decision: write(decision)?,
        inputs: write(&bin.inputs())?,
    };
    decisions::insert(conn, &row).await?;
    Ok(id)
}
