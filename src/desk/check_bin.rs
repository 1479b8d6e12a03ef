//! Looking into a bin and saying what one sees: the model learns from it, and a bin with
//! signs of overfeeding rests.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::membership::{Membership, admit};
use super::spine::Entry;
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::notices::NoticeRow;
use crate::store::{Conn, notices};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::care::{Care, care_for, is_trouble};
use wormrota_domain::living_bin::check::{Check, Visitor};
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::units::Grams;

/// How far back somebody may say what they saw.
const OLDEST: TimeDelta = TimeDelta::days(7);
/// A phone's clock may be ahead by this much.
const CLOCK_SKEW: TimeDelta = TimeDelta::minutes(5);

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
            let at = time_of(&bin, look.checked_at)?;
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
            if matches!(gate, Gate::Held { .. }) && !matches!(bin.state.gate, Gate::Held { .. }) {
                put_up_notice(conn, &bin, &who, appended.id()?, "bin_rests").await?;
            }
            if is_trouble(&look.check) {
                put_up_notice(conn, &bin, &who, appended.id()?, "trouble_seen").await?;
            }
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

fn time_of(bin: &BinAtHand, said: Option<DateTime<Utc>>) -> Result<DateTime<Utc>, DeskError> {
    let Some(at) = said else {
        return Ok(bin.now);
    };
    if at > bin.now + CLOCK_SKEW || at < bin.now - OLDEST || at < bin.state.stocked_at {
        return Err(DeskError::conflict(
            "/checked_at",
            "must lie within the past 7 days, and not before the bin was stocked",
        ));
    }
    Ok(at.min(bin.now))
}

/// Whoever keeps the bins sees it themselves; everybody else's word reaches them.
async fn put_up_notice(
    conn: &mut Conn,
    bin: &BinAtHand,
    who: &Membership,
    event: EventId,
    kind: &str,
) -> Result<(), DeskError> {
    if who.roles.contains(&Role::Caretaker) {
        return Ok(());
    }
    let row = NoticeRow {
        site_id: who.site.0,
        id: clock::fresh_id(),
        bin_id: bin.id.0,
        event_id: Some(event.0),
        kind: kind.to_owned(),
        created_at: bin.now,
        seen_at: None,
        seen_by: None,
    };
    Ok(notices::insert(conn, &row).await?)
}
