//! "It is in already": always recorded, over the limit or not. Honest reporting is never
//! punished; the answer says what to do now, and the caretaker hears of trouble.

use super::at_hand::{BinAtHand, Hold, SiteAtHand, write};
use super::membership::{Membership, admit};
use super::notices::put_up;
use super::offers::{Item, offer_of};
use super::said_time::said_time;
use super::spine::{Appended, Entry};
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::decisions::DecisionRow;
use crate::store::{Conn, decisions};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use wormrota_domain::access::Deed;
use wormrota_domain::food::Offer;
use wormrota_domain::ids::{BinId, DecisionId, EventId, SiteId};
use wormrota_domain::living_bin::aftermath::{Aftermath, Told};
use wormrota_domain::living_bin::event::{Event, FedLine, How};
use wormrota_domain::living_bin::meal::meal_of;
use wormrota_domain::units::Grams;

/// How far back somebody may tell of a feeding, days: after that it is eaten or found.
const OLDEST_DAYS: i64 = 60;
/// The most dry bedding that goes in with one feeding.
const MOST_BEDDING: Grams = Grams(10_000);

/// A feeding that has happened.
#[derive(Debug, Clone, PartialEq)]
pub struct Telling {
    /// When; now if not said.
    pub fed_at: Option<DateTime<Utc>>,
    /// What went in.
    pub items: Vec<Item>,
    /// Dry bedding that went in with it.
    pub bedding: Grams,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recorded {
    /// The entry on the bin's spine.
    pub feeding: EventId,
    /// Under which the answer is kept.
    pub decision_id: DecisionId,
    /// What to do now.
    pub aftermath: Aftermath,
    /// When it was recorded.
    pub recorded_at: DateTime<Utc>,
}

/// Records a feeding that nobody asked about.
///
/// # Errors
/// [`DeskError::Conflicting`] when it lies in the future, too long ago, or before the bin was
/// stocked.
pub async fn tell(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    telling: Telling,
) -> Result<Recorded, DeskError> {
    if telling.bedding < Grams::ZERO || telling.bedding > MOST_BEDDING {
        return Err(DeskError::field("/bedding_kg", "must be 0 to 10 kilograms"));
    }
    let model = desk.model();
    desk.write(
        "tell of a feeding",
        errand,
        telling,
        move |conn, errand, telling| {
            let model = model.clone();
            async move {
                let who = admit(conn, errand, site, Deed::Tell).await?;
                let site = SiteAtHand::load(conn, site).await?;
                let offer = offer_of(conn, &site, &telling.items).await?;
                let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await?;
                let occurred_at = said_time(&bin, telling.fed_at, OLDEST_DAYS, "/fed_at")?;
                let fed = Fed {
                    offer: &offer,
                    bedding: telling.bedding,
                    occurred_at,
                    decision: DecisionId(clock::fresh_id()),
                };
                record(conn, &site, &bin, &who, &fed).await
            }
            .boxed()
        },
    )
    .await
}

/// A feeding that is to be recorded.
#[derive(Debug)]
pub(super) struct Fed<'a> {
    /// What went in.
    pub offer: &'a Offer,
    /// Dry bedding that went in with it.
    pub bedding: Grams,
    /// When: not later than now, and not before the bin was stocked.
    pub occurred_at: DateTime<Utc>,
    /// Under which the answer is to be kept.
    pub decision: DecisionId,
}

/// Records a feeding in a bin whose row is locked.
pub(super) async fn record(
    conn: &mut Conn,
    site: &SiteAtHand,
    bin: &BinAtHand,
    who: &Membership,
    fed: &Fed<'_>,
) -> Result<Recorded, DeskError> {
    let lines = fed.offer.lines().iter();
    let event = Event::Fed {
        lines: lines
            .clone()
            .map(|line| FedLine {
                food: line.item.key.to_owned(),
                amount: line.amount,
            })
            .collect(),
        meal: meal_of(lines.map(|line| (line.item, line.amount)), &site.list),
        bedding: fed.bedding,
        how: How::Told,
    };
    let entry = Entry::told(event, fed.occurred_at, who.member);
    let appended = bin.append(conn, site, &[entry]).await?;
    let aftermath = aftermath(site, bin, &appended, fed);
    let troubles = &aftermath.troubles;
    put_up(conn, bin, Some(who), appended.id()?, troubles).await?;
    keep(conn, bin, who, &appended, &aftermath, fed.decision).await?;
    Ok(Recorded {
        feeding: appended.id()?,
        decision_id: fed.decision,
        aftermath,
        recorded_at: bin.now,
    })
}

fn aftermath(site: &SiteAtHand, bin: &BinAtHand, appended: &Appended, fed: &Fed<'_>) -> Aftermath {
    Told {
        habitat: &bin.habitat,
        before: &appended.before,
        now: &appended.after,
        bookings: &bin.kept_bookings(site, None),
        offer: fed.offer,
        bedding: fed.bedding,
        list: &site.list,
        moments: &site.days_after(bin.now),
    }
    .aftermath()
}

async fn keep(
    conn: &mut Conn,
    bin: &BinAtHand,
    who: &Membership,
    appended: &Appended,
    aftermath: &Aftermath,
    id: DecisionId,
) -> Result<(), DeskError> {
    let row = DecisionRow {
        site_id: who.site.0,
        id: id.0,
        bin_id: bin.id.0,
        member_id: who.member.0,
        event_id: Some(appended.id()?.0),
        booking_id: None,
        deed: "tell".to_owned(),
        outcome: "recorded".to_owned(),
        decided_at: bin.now,
        offered_g: aftermath.recorded.0,
        allowed_g: aftermath.recorded.0,
        decision: write(aftermath)?,
        inputs: write(&bin.inputs())?,
    };
    Ok(decisions::insert(conn, &row).await?)
}
