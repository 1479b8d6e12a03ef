//! Adding a bin to a site. It takes no food until it is stocked.

use super::fields::Check;
use super::membership::admit;
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::bins::{self, BinRow, TrayRow};
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::site::{Spot, Vessel};

/// Trays that a bin may have.
const MOST_TRAYS: i16 = 12;

/// A bin to be added.
#[derive(Debug, Clone)]
pub struct NewBin {
    /// What people will call it.
    pub name: String,
    /// Where it stands.
    pub spot: Spot,
    /// How it is made.
    pub vessel: Vessel,
    /// The surface that can be fed, in square centimetres.
    pub surface_cm2: i32,
    /// What each layer holds in millilitres, lowest first; a tub has one.
    pub tray_volumes_ml: Vec<i32>,
}

/// Adds a bin.
pub async fn add_bin(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewBin,
) -> Result<BinId, DeskError> {
    let mut check = Check::default();
    let id = clock::fresh_id();
    let row = BinRow {
        site_id: site.0,
        id,
        name: check.name("/name", &new.name, 60),
        spot: new.spot.code().to_owned(),
        vessel: new.vessel.code().to_owned(),
        surface_cm2: new.surface_cm2,
        created_at: errand.now,
        retired_at: None,
        next_seq: 1,
        head_event: None,
    };
    if !(100..=1_000_000).contains(&new.surface_cm2) {
        check.wrong("/surface_m2", "must be 0.01 to 100 square metres");
    }
    match (new.vessel, new.tray_volumes_ml.len()) {
        (Vessel::Tub, 1) | (Vessel::Trays, 1..=12) => {}
        (Vessel::Tub, _) => check.wrong("/trays", "must have one entry for a tub: its own volume"),
        (Vessel::Trays, _) => {
            check.wrong("/trays", format!("must have 1 to {MOST_TRAYS} entries"));
        }
    }
    for (index, volume) in new.tray_volumes_ml.iter().enumerate() {
        if !(100..=2_000_000).contains(volume) {
            check.wrong(
                format!("/trays/{index}/volume_l"),
                "must be 0.1 to 2000 litres",
            );
        }
    }
    check.done()?;
    let trays: Vec<TrayRow> = (1..)
        .zip(new.tray_volumes_ml)
        .map(|(position, volume_ml)| TrayRow {
            site_id: site.0,
            id: clock::fresh_id(),
            bin_id: id,
            position,
            volume_ml,
        })
        .collect();

    desk.write(
        "add a bin",
        errand,
        (row, trays),
        move |conn, errand, (row, trays)| {
            async move {
                admit(conn, errand, site, Deed::AddBin).await?;
                bins::insert(conn, row, trays).await.map_err(|error| {
                    DeskError::from(error).where_taken(
                        "bins_name_unique",
                        DeskError::NameTaken { pointer: "/name" },
                    )
                })?;
                Ok(BinId(row.id))
            }
            .boxed()
        },
    )
    .await
}
