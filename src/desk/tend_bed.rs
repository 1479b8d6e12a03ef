//! Bedding without food, food taken out again, and which side of a bin is fed.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::membership::admit;
use super::spine::Entry;
use super::{Desk, DeskError, Errand};
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::units::{Fraction, Grams};

/// The most dry bedding at once.
const MOST_BEDDING: Grams = Grams(10_000);

/// The most food taken out at once: the most that can be put in.
const MOST_TAKEN_OUT: Grams = Grams(50_000);

/// Records that dry bedding went in.
pub async fn add_bedding(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    dry: Grams,
) -> Result<EventId, DeskError> {
    if dry <= Grams::ZERO || dry > MOST_BEDDING {
        return Err(DeskError::field(
            "/dry_kg",
            "must be above 0 and at most 10 kilograms",
        ));
    }
    tend(desk, errand, site, bin, Event::Bedded { dry }).await
}

/// Records that food was taken out again.
pub async fn take_out(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    amount: Grams,
) -> Result<EventId, DeskError> {
    if amount <= Grams::ZERO || amount > MOST_TAKEN_OUT {
        return Err(DeskError::field(
            "/amount_kg",
            "must be above 0 and at most 50 kilograms",
        ));
    }
    tend(desk, errand, site, bin, Event::TakenOut { amount }).await
}

/// Chooses how much of the surface is fed from now on; depth and area rules then use that
/// surface only. 1 is all of it.
pub async fn feed_side(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    share: Fraction,
) -> Result<EventId, DeskError> {
    if !(0.1..=1.0).contains(&share.0) {
        return Err(DeskError::field("/share", "must be 0.1 to 1"));
    }
    tend(desk, errand, site, bin, Event::Sided { share }).await
}

async fn tend(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    event: Event,
) -> Result<EventId, DeskError> {
    let model = desk.model();
    desk.write("tend the bed", errand, event, move |conn, errand, event| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::TendBed).await?;
            let site = SiteAtHand::load(conn, site).await?;
            let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await?;
            let entry = Entry::told(event.clone(), bin.now, who.member);
            bin.append(conn, &site, &[entry]).await?.id()
        }
        .boxed()
    })
    .await
}
