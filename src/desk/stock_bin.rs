//! Putting worms and bedding into a bin: the beginning of its history, or a new beginning
//! once hardly a worm is left.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::membership::admit;
use super::spine::{Entry, begin_history};
use super::{Desk, DeskError, Errand};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::units::Grams;

/// A bin that was stocked longer ago than this must have been looked at since; its state
/// could not be told from its start.
const OLDEST_STOCKING: TimeDelta = TimeDelta::days(366);
/// The most worms in one bin: four times what a square metre carries, a slip of the key
/// beyond.
const MOST_WORMS: Grams = Grams(20_000);
/// The most dry bedding at the start.
const MOST_BEDDING: Grams = Grams(50_000);

/// What goes into a new bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stocking {
    /// When; now if not said.
    pub stocked_at: Option<DateTime<Utc>>,
    /// Live worms.
    pub worms: Grams,
    /// Dry bedding.
    pub bedding: Grams,
}

/// Stocks a bin.
///
/// # Errors
/// [`DeskError::StockedAlready`]; [`DeskError::Invalid`] for amounts that cannot be, and
/// [`DeskError::Conflicting`] for such times.
pub async fn stock_bin(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    stocking: Stocking,
) -> Result<EventId, DeskError> {
    let at = stocking.stocked_at.unwrap_or(errand.now);
    if at > errand.now || at < errand.now - OLDEST_STOCKING {
        return Err(DeskError::conflict(
            "/stocked_at",
            "must lie within the past year",
        ));
    }
    if stocking.worms <= Grams::ZERO || stocking.worms > MOST_WORMS {
        return Err(DeskError::field(
            "/worms_kg",
            "must be above 0 and at most 20 kilograms",
        ));
    }
    if stocking.bedding < Grams::ZERO || stocking.bedding > MOST_BEDDING {
        return Err(DeskError::field("/bedding_kg", "must be 0 to 50 kilograms"));
    }
    let model = desk.model();
    let event = Event::Stocked {
        worms: stocking.worms,
        bedding: stocking.bedding,
    };
    desk.write("stock a bin", errand, event, move |conn, errand, event| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::StockBin).await?;
            let site = SiteAtHand::load(conn, site).await?;
            let entry = Entry::told(event.clone(), at, who.member);
            match BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await {
                Err(DeskError::NotStocked) => {}
                Err(error) => return Err(error),
                Ok(bin) if bin.state.is_without_worms(&bin.habitat) && at >= bin.head.at => {
                    return bin.append(conn, &site, &[entry]).await?.id();
                }
                Ok(_) => return Err(DeskError::StockedAlready),
            }
            begin_history(conn, &model, &site, bin, errand.now, &entry).await
        }
        .boxed()
    })
    .await
}
