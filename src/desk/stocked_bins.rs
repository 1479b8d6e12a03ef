//! Every bin of a site in which worms live, as it is now: a fixed number of statements, however
//! many bins there are and however long their histories.

use super::DeskError;
use super::at_hand::{SiteAtHand, habitat_of, read};
use crate::store::bins::BinRow;
use crate::store::{Conn, bins, bookings};
use chrono::{DateTime, Utc};
use wormrota_domain::ids::BinId;
use wormrota_domain::living_bin::decision::OtherBin;
use wormrota_domain::living_bin::habitat::Habitat;
use wormrota_domain::living_bin::outlook::{Booking, Outlook};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::state::BinState;
use wormrota_domain::units::Grams;

/// A bin in use with its state at one instant.
pub(super) struct StockedBin {
    pub row: BinRow,
    pub habitat: Habitat,
    pub state: BinState,
    bookings: Vec<Booking>,
}

impl StockedBin {
    pub(super) const fn id(&self) -> BinId {
        BinId(self.row.id)
    }

    /// What it could take, bookings kept.
    pub(super) fn room(&self) -> Grams {
        let outlook = Outlook::cautious(&self.habitat, &self.state);
        outlook.room(&self.bookings).amount
    }
}

/// The site's stocked bins in use.
pub(super) async fn stocked_bins(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    now: DateTime<Utc>,
) -> Result<Vec<StockedBin>, DeskError> {
    let heads = bins::heads_of_site(conn, site.id).await?;
    let ids: Vec<BinId> = heads.iter().map(|(bin, _)| BinId(bin.id)).collect();
    let trays = bins::trays_of(conn, site.id, &ids).await?;
    let (today, last) = site.days_looked_at(now);
    let booked = bookings::open_of_site(conn, site.id, today, last).await?;
    let mut stocked = Vec::with_capacity(heads.len());
    for (row, stored) in heads {
        let volume = trays
            .iter()
            .filter(|tray| tray.bin_id == row.id)
            .map(|tray| tray.volume_ml)
            .sum();
        let habitat = habitat_of(model, site, &row, volume)?;
        let state: BinState = read("bin_states.state", stored.state)?;
        let now = now.max(state.at);
        let state = state.advanced(&habitat, now);
        let bookings = booked
            .iter()
            .filter(|booking| booking.bin_id == row.id)
            .map(|booking| site.booking(booking))
            .collect();
        stocked.push(StockedBin {
            row,
            habitat,
            state,
            bookings,
        });
    }
    Ok(stocked)
}

/// The site's other bins in use, with what they could take now.
pub(super) async fn other_bins(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    but: BinId,
    now: DateTime<Utc>,
) -> Result<Vec<OtherBin>, DeskError> {
    let stocked = stocked_bins(conn, model, site, now).await?;
    let others = stocked.iter().filter(|bin| bin.id() != but);
    Ok(others
        .map(|bin| OtherBin {
            id: bin.id(),
            room: bin.room(),
        })
        .collect())
}
