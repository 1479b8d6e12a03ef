//! Troubles of bins that nobody told: their state and the coming days say so.

use super::DueAt;
use crate::desk::DeskError;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::hourly::looked_this_hour;
use crate::desk::membership::lock_people;
use crate::desk::notices::{TROUBLE_STANDS, is_heat_open, put_up_unasked};
use crate::desk::stocked_bins::stocked_bins;
use crate::store::notices::{self, NoticeRow};
use crate::store::{Conn, jobs};
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::ailment::ailments;

/// The kind of the rows that say in which hour somebody looked.
const KIND: &str = "bin_troubles";

/// Puts up a notice for each trouble of a bin that stands in no notice of the last days. Looks
/// once an hour, since it reckons every bin anew.
pub(super) async fn look(conn: &mut Conn, at: &DueAt) -> Result<(), DeskError> {
    let hour = looked_this_hour(KIND, at.site.id, at.by.now, at.by.wall);
    if !jobs::owe(conn, &hour).await? {
        return Ok(());
    }
    // Two copies that look at the turn of an hour put up one notice.
    lock_people(conn, at.site.id).await?;
    let site = SiteAtHand::load(conn, at.site.id).await?;
    let stocked = stocked_bins(conn, &at.by.model, &site, at.by.now).await?;
    let standing = notices::since(conn, site.id, at.by.now - TROUBLE_STANDS).await?;
    let coming = site.days_soon(at.by.now);
    for bin in &stocked {
        let heat_open = is_heat_open(&standing, bin.id());
        let is_told = |trouble: Trouble| {
            let same = |row: &NoticeRow| row.bin_id == bin.row.id && row.kind == trouble.code();
            standing.iter().any(same)
        };
        let found = ailments(&bin.habitat, &bin.state, &coming);
        let troubles: Vec<Trouble> = (found.iter().map(|one| one.trouble))
            .filter(|trouble| !is_told(*trouble))
            .filter(|trouble| *trouble != Trouble::Hungry || !heat_open)
            .collect();
        put_up_unasked(conn, site.id, bin.id(), &troubles, at.by.now).await?;
    }
    Ok(())
}
