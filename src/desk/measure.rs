//! Measured values, by hand and by probe: single and in bulk, late, out of order, doubled.
//! Every value is kept; those that cannot be true are set aside and said; those that say
//! something new become entries on the bin's spine.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::fields::Check;
use super::membership::{Membership, admit};
use super::notices::put_up;
use super::said_time::{is_timely, must_be_timely};
use super::spine::Entry;
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::Conn;
use crate::store::readings::{self, ReadingRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::Arc;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, EventId, ProbeId, SiteId};
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::reading::{SetAside, Value, news};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::warning::{Warning, warnings};

/// The most values in one request: as many as fit into a body of 64 KiB, each with its time
/// to the microsecond.
pub const MOST_VALUES: usize = 500;

/// Values beyond this, either way, are no mistake of a probe but of a program.
const LARGEST: f64 = 1_000.0;

/// How far back a probe may deliver what it could not send, days.
const OLDEST_DAYS: i64 = 60;

/// Who measured.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Source {
    Member(Membership),
    Probe(ProbeId),
}

/// What became of a batch.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Taken {
    /// Values kept for the first time.
    pub kept: usize,
    /// Values that were there already.
    pub repeated: usize,
    /// Values that count for nothing, by the place they had in the request.
    pub set_aside: BTreeMap<usize, SetAside>,
    /// Entries that the spine got from them, each of which can be taken back.
    pub entries: Vec<EventId>,
    /// Heat and cold that they warn of.
    pub warnings: Vec<Warning>,
}

/// Takes values that somebody measured by hand.
pub async fn measure_by_hand(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    values: Vec<Value>,
) -> Result<Taken, DeskError> {
    check_count(&values)?;
    let model = desk.model();
    desk.write(
        "measure a bed",
        errand,
        values,
        move |conn, errand, values| {
            let model = model.clone();
            async move {
                let who = admit(conn, errand, site, Deed::Measure).await?;
                let source = Source::Member(who);
                take(conn, &model, site, bin, errand.now, source, values).await
            }
            .boxed()
        },
    )
    .await
}

/// Takes values that a probe measured; it signs in with its own key, whose SHA-256 this is.
///
/// # Errors
/// [`DeskError::UnknownProbe`].
pub async fn measure_by_probe(
    desk: &Desk,
    now: DateTime<Utc>,
    key_hash: [u8; 32],
    values: Vec<Value>,
) -> Result<Taken, DeskError> {
    check_count(&values)?;
    let model = desk.model();
    desk.store()
        .transact("take a probe's values", values, move |conn, values| {
            let model = Arc::clone(&model);
            async move {
                let probe = readings::probe_by_key(conn, &key_hash).await?;
                let probe = probe.ok_or(DeskError::UnknownProbe)?;
                let (site, bin) = (SiteId(probe.site_id), BinId(probe.bin_id));
                let source = Source::Probe(ProbeId(probe.id));
                take(conn, &model, site, bin, now, source, values).await
            }
            .boxed()
        })
        .await
}

fn check_count(values: &[Value]) -> Result<(), DeskError> {
    if values.is_empty() || values.len() > MOST_VALUES {
        let detail = format!("must have 1 to {MOST_VALUES} values");
        return Err(DeskError::field("/values", detail));
    }
    Ok(())
}

async fn take(
    conn: &mut Conn,
    model: &ModelSettings,
    site: SiteId,
    bin: BinId,
    now: DateTime<Utc>,
    source: Source,
    values: &[Value],
) -> Result<Taken, DeskError> {
    let site = SiteAtHand::load(conn, site).await?;
    let bin = BinAtHand::load(conn, model, &site, bin, now, Hold::Lock).await?;
    let values = timely(&bin, values)?;
    let rows: Vec<ReadingRow> = values
        .iter()
        .map(|value| row(&site, &bin, &source, value))
        .collect();
    let new = readings::insert_new(conn, &rows).await?;
    let mut fresh: Vec<Value> = rows
        .iter()
        .zip(&values)
        .filter(|(row, _)| new.contains(&row.id))
        .map(|(_, v)| *v)
        .collect();
    fresh.sort_by_key(|value| value.at);
    let first = fresh.first().map_or(bin.now, |value| value.at);
    let last = bin.state.reading.filter(|reading| reading.at <= first);
    let entries: Vec<Entry> = news(
        &bin.habitat.settings,
        last.map(|reading| (reading.at, reading.bed)),
        &fresh,
    )
    .into_iter()
    .map(|(at, bed, moisture)| Entry {
        event: Event::Measured { bed, moisture },
        occurred_at: at,
        member: match &source {
            Source::Member(who) => Some(who.member),
            Source::Probe(_) => None,
        },
        supersedes: None,
    })
    .collect();
    let (mut ids, mut warned) = (Vec::new(), Vec::new());
    if !entries.is_empty() {
        let appended = bin.append(conn, &site, &entries).await?;
        warned = warnings(&bin.habitat, &appended.after, &[bin.now]);
        if appended.after.vitals.too_hot && !bin.state.vitals.too_hot {
            let who = match source {
                Source::Member(ref who) => Some(who),
                Source::Probe(_) => None,
            };
            put_up(conn, &bin, who, appended.id()?, &[Trouble::TooHot]).await?;
        }
        ids = appended.ids;
    }
    let aside = |(index, value): (usize, &Value)| Some((index, value.set_aside()?));
    Ok(Taken {
        kept: new.len(),
        repeated: values.len() - new.len(),
        set_aside: values.iter().enumerate().filter_map(aside).collect(),
        entries: ids,
        warnings: warned,
    })
}

/// The values, none of them from the future, from too long ago or from before the bin was
/// stocked, and none so large that it can only be a mistake.
fn timely(bin: &BinAtHand, values: &[Value]) -> Result<Vec<Value>, DeskError> {
    let mut check = Check::default();
    let mut timely = Vec::with_capacity(values.len());
    for (index, value) in values.iter().enumerate() {
        if !is_timely(bin, value.at, OLDEST_DAYS) {
            let pointer = format!("/values/{index}/measured_at");
            check.conflict(pointer, must_be_timely(OLDEST_DAYS));
        }
        if !(-LARGEST..=LARGEST).contains(&value.value) {
            let detail = format!("must be {} to {LARGEST}", -LARGEST);
            check.wrong(format!("/values/{index}/value"), detail);
        }
        timely.push(Value {
            at: value.at.min(bin.now),
            ..*value
        });
    }
    check.done()?;
    Ok(timely)
}

fn row(site: &SiteAtHand, bin: &BinAtHand, source: &Source, value: &Value) -> ReadingRow {
    let (probe_id, member_id) = match source {
        Source::Probe(probe) => (Some(probe.0), None),
        Source::Member(who) => (None, Some(who.member.0)),
    };
    ReadingRow {
        site_id: site.id.0,
        id: clock::fresh_id(),
        bin_id: bin.id.0,
        probe_id,
        member_id,
        measured_at: value.at,
        recorded_at: bin.now,
        quantity: value.quantity.code().to_owned(),
        value: value.value,
        set_aside: value.set_aside().map(|reason| reason.code().to_owned()),
    }
}
