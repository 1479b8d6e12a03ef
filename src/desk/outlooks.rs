//! Reading what a bin can take, and how it will go on.

use super::at_hand::{BinAtHand, Hold, SiteAtHand, read};
use super::membership::{Membership, admit};
use super::{Desk, DeskError, Errand, Page};
use crate::store::bookings::BookingRow;
use crate::store::events::{self, EventRow};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, BookingId, EventId, MemberId, SiteId};
use wormrota_domain::living_bin::climate::BedTemperature;
use wormrota_domain::living_bin::event::{Event, FedLine, How};
use wormrota_domain::living_bin::facts::{SpeedFacts, check_due_at, speed_facts};
use wormrota_domain::living_bin::forecast::{Band, ForecastDay, appetite, forecast, uneaten};
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::living_bin::outlook::{Outlook, Room};
use wormrota_domain::living_bin::settings::MODEL_VERSION;
use wormrota_domain::living_bin::warning::{Warning, warnings};
use wormrota_domain::units::{Grams, Kg};

/// What a bin can take now.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomNow {
    /// The moment.
    pub at: DateTime<Utc>,
    /// The room with the rules behind it.
    pub room: Room,
    /// What the bin eats in a day.
    pub appetite: Band,
    /// What is not eaten yet.
    pub uneaten: Band,
    /// Live worms.
    pub worms: Kg,
    /// The bed's temperature.
    pub bed: BedTemperature,
    /// The version of the equations.
    pub model_version: i32,
    /// The fingerprint of the constants.
    pub settings_revision: String,
}

/// The room of a bin, now.
pub async fn see_room(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<RoomNow, DeskError> {
    let model = desk.model();
    desk.store()
        .read("see a bin's room", errand, move |conn, errand| {
            let model = model.clone();
            async move {
                admit(conn, errand, site, Deed::SeeBins).await?;
                let site = SiteAtHand::load(conn, site).await?;
                let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Look).await?;
                let (habitat, state) = (&bin.habitat, &bin.state);
                let bookings = bin.kept_bookings(&site, None);
                Ok(RoomNow {
                    at: bin.now,
                    room: Outlook::cautious(habitat, state).room(&bookings),
                    appetite: appetite(habitat, state),
                    uneaten: uneaten(habitat, state),
                    worms: Kg(state.vitals.worms_kg),
                    bed: habitat.bed_temperature(state.reading, bin.now),
                    model_version: MODEL_VERSION,
                    settings_revision: habitat.settings.revision(),
                })
            }
            .boxed()
        })
        .await
}

/// How well a bin is known, and what is about to happen to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    /// The moment.
    pub at: DateTime<Utc>,
    /// Its speed beside the handbook's.
    pub speed: SpeedFacts,
    /// When somebody last looked.
    pub last_check_at: Option<DateTime<Utc>>,
    /// When a look would teach most.
    pub check_due_at: Option<DateTime<Utc>>,
    /// Whether it rests.
    pub gate: Gate,
    /// Share of the surface that is fed.
    pub fed_share: f64,
    /// When worms were put in.
    pub stocked_at: DateTime<Utc>,
    /// Of heat and cold, over the days looked ahead.
    pub warnings: Vec<Warning>,
}

/// What is known of a bin, now.
pub async fn see_facts(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<Facts, DeskError> {
    let model = desk.model();
    desk.store()
        .read("see a bin's facts", errand, move |conn, errand| {
            let model = model.clone();
            async move {
                admit(conn, errand, site, Deed::SeeBins).await?;
                let site = SiteAtHand::load(conn, site).await?;
                let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Look).await?;
                let (habitat, state) = (&bin.habitat, &bin.state);
                let mut moments = site.days_after(bin.now);
                moments.insert(0, bin.now);
                Ok(Facts {
                    at: bin.now,
                    speed: speed_facts(habitat, state),
                    last_check_at: state.last_check_at,
                    check_due_at: check_due_at(habitat, state),
                    gate: state.gate,
                    fed_share: state.fed_share,
                    stocked_at: state.stocked_at,
                    warnings: warnings(habitat, state, &moments),
                })
            }
            .boxed()
        })
        .await
}

/// A day of a forecast with its local date.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// The local date.
    pub date: NaiveDate,
    /// What is forecast.
    pub forecast: ForecastDay,
}

/// The coming days of a bin: today (now) and the days after it.
pub async fn see_forecast(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<Vec<Day>, DeskError> {
    let model = desk.model();
    desk.store()
        .read("see a bin's forecast", errand, move |conn, errand| {
            let model = model.clone();
            async move {
                admit(conn, errand, site, Deed::SeeForecast).await?;
                let site = SiteAtHand::load(conn, site).await?;
                let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Look).await?;
                let mut moments = site.days_after(bin.now);
                // Today and 27 more.
                moments.insert(0, bin.now);
                moments.pop();
                let bookings = bin.kept_bookings(&site, None);
                let days = forecast(&bin.habitat, &bin.state, &bookings, &moments);
                let dated = |day: ForecastDay| Day {
                    date: site.day(day.at),
                    forecast: day,
                };
                Ok(days.into_iter().map(dated).collect())
            }
            .boxed()
        })
        .await
}

/// An open booking with what the bin will really be able to take of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenBooking {
    /// The booking.
    pub id: BookingId,
    /// Its holder.
    pub member: Option<MemberId>,
    /// The local day.
    pub on_date: NaiveDate,
    /// What was promised.
    pub promised: Grams,
    /// What is kept: less than promised when the weather turned.
    pub kept: Grams,
}

/// The open bookings of a bin, from today on.
pub async fn list_bookings(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<Vec<OpenBooking>, DeskError> {
    let model = desk.model();
    desk.store()
        .read("list bookings", errand, move |conn, errand| {
            let model = model.clone();
            async move {
                let who = admit(conn, errand, site, Deed::SeeBins).await?;
                let site = SiteAtHand::load(conn, site).await?;
                let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Look).await?;
                let bookings = bin.kept_bookings(&site, None);
                let room = Outlook::cautious(&bin.habitat, &bin.state).room(&bookings);
                let open = |(row, kept): (&BookingRow, _)| OpenBooking {
                    id: BookingId(row.id),
                    member: who.sees(Some(row.member_id)),
                    on_date: row.on_date,
                    promised: Grams(row.promised_g),
                    kept,
                };
                let kept = room.kept.iter().map(|kept| kept.amount);
                Ok(bin.bookings.iter().zip(kept).map(open).collect())
            }
            .boxed()
        })
        .await
}

/// A feeding on a bin's spine.
#[derive(Debug, Clone, PartialEq)]
pub struct Feeding {
    /// The entry.
    pub id: EventId,
    /// Its number on the spine.
    pub seq: i64,
    /// Who brought it.
    pub member: Option<MemberId>,
    /// When it went in.
    pub fed_at: DateTime<Utc>,
    /// When the service heard of it.
    pub recorded_at: DateTime<Utc>,
    /// What went in.
    pub lines: Vec<FedLine>,
    /// Dry bedding that went in with it.
    pub bedding: Grams,
    /// Asked first, or told afterwards.
    pub how: How,
}

/// Feedings of a bin, newest first, before a point of its spine. Those that were taken back
/// are left out.
pub async fn list_feedings(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    before: Option<(DateTime<Utc>, i64)>,
    limit: u16,
) -> Result<Page<Feeding>, DeskError> {
    desk.store()
        .read("list feedings", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeBins).await?;
                super::bins::load(conn, site, bin).await?;
                let rows =
                    events::page(conn, site, bin, &["fed"], before, i64::from(limit) + 1).await?;
                let page = Page::cut(rows, limit);
                let items = page
                    .items
                    .into_iter()
                    .map(|row| feeding(&who, row))
                    .collect::<Result<Vec<_>, _>>()?;
                Ok(Page {
                    items: items.into_iter().flatten().collect(),
                    more: page.more,
                })
            }
            .boxed()
        })
        .await
}

fn feeding(who: &Membership, row: EventRow) -> Result<Option<Feeding>, DeskError> {
    let event: Event = read("bin_events.payload", row.payload)?;
    let Event::Fed {
        lines,
        bedding,
        how,
        ..
    } = event
    else {
        return Ok(None);
    };
    Ok(Some(Feeding {
        id: EventId(row.id),
        seq: row.seq,
        member: who.sees(row.member_id),
        fed_at: row.occurred_at,
        recorded_at: row.recorded_at,
        lines,
        bedding,
        how,
    }))
}
