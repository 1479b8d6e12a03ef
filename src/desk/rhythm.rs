//! How often a bin wants to be fed, and what that is for each of those who share it.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::membership::admit;
use super::rota_at_hand::{RotaAtHand, Whom};
use super::{Desk, DeskError, Errand};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::rhythm::{Advice, advise};
use wormrota_domain::rota::index::BinIndex;

/// What a bin advises, for so many people.
#[derive(Debug, Clone, PartialEq)]
pub struct RhythmNow {
    /// Members who have a part in the rota and may take turns at the bin.
    pub people: u32,
    /// The advice.
    pub advice: Advice,
}

/// The rhythm of a bin as things stand.
pub async fn see_rhythm(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<RhythmNow, DeskError> {
    let model = desk.model();
    desk.store()
        .read("see a bin's rhythm", errand, move |conn, errand| {
            let model = model.clone();
            async move {
                admit(conn, errand, site, Deed::SeeTurns).await?;
                let at = SiteAtHand::load(conn, site).await?;
                let at_hand =
                    BinAtHand::load(conn, &model, &at, bin, errand.now, Hold::Look).await?;
                let today = at.day(errand.now);
                let days = (today, today);
                let whom = Whom::InTheRota(None);
                let rota = RotaAtHand::load(conn, site, days, whom, &BTreeMap::new()).await?;
                let position = rota.bins.iter().position(|known| *known == bin);
                let position = position.map(BinIndex);
                let people = rota
                    .input
                    .members
                    .iter()
                    .filter(|member| position.is_some_and(|bin| member.bins.contains(&bin)))
                    .count();
                let people = u32::try_from(people).unwrap_or(u32::MAX);
                Ok(RhythmNow {
                    people,
                    advice: advise(&at_hand.habitat, &at_hand.state, people),
                })
            }
            .boxed()
        })
        .await
}
