//! Looking into a bin and saying what one sees: the model learns from it, and a bin with
//! signs of overfeeding rests.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::membership::admit;
use super::notices::put_up;
use super::said_time::said_time;
use super::spine::Entry;
use super::{Desk, DeskError, Errand};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::care::{Care, care_for, is_trouble};
use wormrota_domain::living_bin::check::{Check, Visitor};
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::units::Grams;

/// How far back somebody may say what they saw, days.
const OLDEST_DAYS: i64 = 7;

/// A look into a bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// What was seen.
    pub check: Check,
    /// When; now if not said.
    pub checked_at: Option<DateTime<Utc>>,
    /// Somebody saw it who does not keep the bin, such as a guest: their word never holds
    /// a bin.
    pub by_visitor: bool,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Checked {
    /// The entry on the bin's spine.
    pub id: EventId,
    /// The gate before.
    pub gate_before: Gate,
    /// The gate now.
    pub gate: Gate,
    /// Food that is there and that nobody had logged.
    pub found: Option<Grams>,
    /// What to do about what was seen.
    pub care: Vec<Care>,
    /// What the bin can take now.
    pub room: Grams,
    /// When it was recorded.
    pub recorded_at: DateTime<Utc>,
}

/// Records what somebody saw.
///
/// # Errors
/// [`DeskError::Invalid`] when nothing was said; [`DeskError::Conflicting`] when it lies in
/// the future, too long ago, or before the bin was stocked.
pub async fn check_bin(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    look: Look,
) -> Result<Checked, DeskError> {
    if look.check == Check::default() {
        return Err(DeskError::field(
            "",
            "must say at least one thing that was seen",
        ));
    }
    if look.check.visitors.len() > Visitor::ALL.len() {
        let most = Visitor::ALL.len();
        let detail = format!("must name each at most once, {most} in all");
        return Err(DeskError::field("/visitors", detail));
    }
    let model = desk.model();
    desk.write("check a bin", errand, look, move |conn, errand, look| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::Check).await?;
            let site = SiteAtHand::load(conn, site).await?;
            let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await?;
            let at = said_time(&bin, look.checked_at, OLDEST_DAYS, "/checked_at")?;
            let event = Event::Checked {
                check: look.check.clone(),
                by_visitor: look.by_visitor,
            };
            let appended = bin
                .append(conn, &site, &[Entry::told(event.clone(), at, who.member)])
                .await?;
            let (_, found) = event.seen(&bin.habitat, appended.before.clone(), at);
            let mut after = appended.after.clone();
            if let Some(amount) = found {
                // Its own entry, so that reports count it as food.
                let entry = Entry {
                    event: Event::Found { amount },
                    occurred_at: at,
                    member: None,
                    supersedes: None,
                };
                let bin =
                    BinAtHand::load(conn, &model, &site, bin.id, errand.now, Hold::Lock).await?;
                after = bin.append(conn, &site, &[entry]).await?.after;
            }
            let gate = after.gate;
            let is_held = |gate| matches!(gate, Gate::Held { .. });
            let troubles = [
                (is_held(gate) && !is_held(bin.state.gate)).then_some(Trouble::Rests),
                is_trouble(&look.check).then_some(Trouble::TroubleSeen),
            ];
            let troubles: Vec<Trouble> = troubles.into_iter().flatten().collect();
            put_up(conn, &bin, Some(&who), appended.id()?, &troubles).await?;
            let bookings = bin.kept_bookings(&site, None);
            Ok(Checked {
                id: appended.id()?,
                gate_before: bin.state.gate,
                gate,
                found,
                care: care_for(&look.check),
                room: Outlook::cautious(&bin.habitat, &after)
                    .room(&bookings)
                    .amount,
                recorded_at: bin.now,
            })
        }
        .boxed()
    })
    .await
}
