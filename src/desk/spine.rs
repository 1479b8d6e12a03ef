//! Writing on a bin's spine: events, and the state after each. All of it happens under the
//! bin's lock. An entry of the past replays what came after it; decisions already given
//! stay as they were.

use super::DeskError;
use super::at_hand::{BinAtHand, Hold, SiteAtHand, bin_and_habitat, read, write};
use super::letters::of_shrunk_booking;
use crate::clock;
use crate::store::events::{EventRow, StateRow};
use crate::store::{Conn, bins, calls, events, letters};
use chrono::{DateTime, Days, SubsecRound, Utc};
use wormrota_domain::ids::{BinId, BookingId, EventId, MemberId};
use wormrota_domain::living_bin::event::{Dated, Event, replay};
use wormrota_domain::living_bin::outlook::{Kept, Outlook};
use wormrota_domain::living_bin::settings::{MODEL_VERSION, ModelSettings};
use wormrota_domain::living_bin::state::BinState;

/// Something to put on the spine.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    pub event: Event,
    pub occurred_at: DateTime<Utc>,
    /// Who told it, unless a probe or the service did.
    pub member: Option<MemberId>,
    /// The entry that this one corrects.
    pub supersedes: Option<EventId>,
}

impl Entry {
    /// Something that a person tells.
    pub(super) fn told(event: Event, occurred_at: DateTime<Utc>, member: MemberId) -> Self {
        Self {
            event,
            occurred_at,
            member: Some(member),
            supersedes: None,
        }
    }
}

/// What came of new entries.
#[derive(Debug, Clone)]
pub(super) struct Appended {
    /// The entries, in the order given.
    pub ids: Vec<EventId>,
    /// The state just before the first of them happened.
    pub before: BinState,
    /// The state now.
    pub after: BinState,
}

impl Appended {
    /// The only entry, where one was given.
    pub(super) fn id(&self) -> Result<EventId, DeskError> {
        self.ids
            .first()
            .copied()
            .ok_or_else(|| DeskError::broken("an entry without a key"))
    }
}

impl BinAtHand {
    /// Puts entries on the spine, and the states after them and after all that happened
    /// later. Holders of bookings that lost room by it are owed word.
    pub(super) async fn append(
        &self,
        conn: &mut Conn,
        site: &SiteAtHand,
        entries: &[Entry],
    ) -> Result<Appended, DeskError> {
        let mut rows = Vec::with_capacity(entries.len());
        for (seq, entry) in (self.row.next_seq..).zip(entries) {
            rows.push(event_row(site, self.id, seq, self.now, entry)?);
        }
        for row in &rows {
            events::insert_event(conn, row).await?;
        }
        let (before, counted) = match self.replay_from(conn, site, entries).await? {
            Start::Head => (Some(self.head.clone()), sorted(rows.clone())),
            Start::Past(at, seq) => {
                let stored = events::state_before(conn, site.id, self.id, at, seq).await?;
                let before = stored
                    .map(|row| read("bin_states.state", row.state))
                    .transpose()?;
                let counted = events::counted_from(conn, site.id, self.id, at, seq).await?;
                (before, counted)
            }
        };
        let dated = counted.iter().map(dated).collect::<Result<Vec<_>, _>>()?;
        let states = replay(&self.habitat, before.clone(), &dated);
        let state_rows = counted
            .iter()
            .zip(&states)
            .filter_map(|(event, state)| Some((event, state.as_ref()?)))
            .map(|(event, state)| state_row(&self.habitat.settings, event, state))
            .collect::<Result<Vec<_>, _>>()?;
        events::replace_states(conn, &state_rows).await?;
        let corrected: Vec<EventId> = entries.iter().filter_map(|e| e.supersedes).collect();
        if !corrected.is_empty() {
            events::remove_states(conn, site.id, &corrected).await?;
        }
        let head = state_rows.last().ok_or(DeskError::NotStocked)?.event_id;
        let newest = states
            .into_iter()
            .flatten()
            .next_back()
            .ok_or(DeskError::NotStocked)?;
        let next_seq = rows.last().map_or(self.row.next_seq, |row| row.seq + 1);
        bins::set_head(conn, site.id, self.id, next_seq, Some(EventId(head))).await?;
        let first = entries
            .iter()
            .map(|entry| entry.occurred_at)
            .min()
            .unwrap_or(self.now);
        // Whether somebody must come is another question now. What a sensor says by itself is heard
        // of when a call is looked at anyway.
        let is_measured = |entry: &Entry| matches!(entry.event, Event::Measured { .. });
        if !entries.iter().all(is_measured) {
            calls::look_at_bin(conn, site.id, self.id, self.now).await?;
        }
        let appended = Appended {
            ids: rows.iter().map(|row| EventId(row.id)).collect(),
            before: before
                .ok_or(DeskError::NotStocked)?
                .advanced(&self.habitat, first),
            after: newest.advanced(&self.habitat, self.now),
        };
        self.owe_word_of_shrunk_bookings(conn, site, &appended)
            .await?;
        Ok(appended)
    }

    /// From where states have to be reckoned anew.
    async fn replay_from(
        &self,
        conn: &mut Conn,
        site: &SiteAtHand,
        entries: &[Entry],
    ) -> Result<Start, DeskError> {
        let mut first: Option<(DateTime<Utc>, i64)> = None;
        for (seq, entry) in (self.row.next_seq..).zip(entries) {
            let place = (entry.occurred_at, seq);
            first = Some(first.map_or(place, |first| first.min(place)));
            if let Some(old) = entry.supersedes {
                let row = events::by_id(conn, site.id, self.id, old).await?;
                let row = row.ok_or_else(|| DeskError::broken("a corrected entry is missing"))?;
                let place = (row.occurred_at, row.seq);
                first = Some(first.map_or(place, |first| first.min(place)));
            }
        }
        let place = first.ok_or_else(|| DeskError::broken("nothing to append"))?;
        let newest =
            entries.iter().all(|entry| entry.supersedes.is_none()) && place.0 >= self.head.at;
        Ok(if newest {
            Start::Head
        } else {
            Start::Past(place.0, place.1)
        })
    }

    /// A booking that can no longer be kept in full is told to its holder, once for each
    /// new amount.
    async fn owe_word_of_shrunk_bookings(
        &self,
        conn: &mut Conn,
        site: &SiteAtHand,
        appended: &Appended,
    ) -> Result<(), DeskError> {
        if self.bookings.is_empty() {
            return Ok(());
        }
        let bookings = self.kept_bookings(site, None);
        let kept = |state: &BinState| -> Vec<Kept> {
            Outlook::cautious(&self.habitat, state).room(&bookings).kept
        };
        let (was, is) = (kept(&self.state), kept(&appended.after));
        // Letters go by the machine's clock, which the demo does not move.
        let wall = clock::wall();
        for ((was, is), row) in was.iter().zip(&is).zip(&self.bookings) {
            if is.amount >= was.amount {
                continue;
            }
            let day_after = row.on_date + Days::new(1);
            let day_over_at = wall + (site.zone.start_of_day(day_after) - self.now);
            let (member, booking) = (MemberId(row.member_id), BookingId(row.id));
            let kept = is.amount;
            let letter = of_shrunk_booking(site.id, member, booking, kept, day_over_at, wall);
            letters::owe(conn, &[letter]).await?;
        }
        Ok(())
    }
}

/// Where a replay starts.
enum Start {
    /// Right after the newest state.
    Head,
    /// Before this place on the spine.
    Past(DateTime<Utc>, i64),
}

/// The first entry of a bin's history.
pub(super) async fn begin_history(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    bin: BinId,
    recorded_at: DateTime<Utc>,
    entry: &Entry,
) -> Result<EventId, DeskError> {
    let (row, habitat) = bin_and_habitat(conn, model, site, bin, Hold::Lock).await?;
    if row.head_event.is_some() {
        return Err(DeskError::StockedAlready);
    }
    let event = event_row(site, bin, row.next_seq, recorded_at, entry)?;
    events::insert_event(conn, &event).await?;
    let state = entry.event.apply(&habitat, None, event.occurred_at);
    let state = state.ok_or(DeskError::NotStocked)?;
    events::insert_state(conn, &state_row(&habitat.settings, &event, &state)?).await?;
    let id = EventId(event.id);
    bins::set_head(conn, site.id, bin, row.next_seq + 1, Some(id)).await?;
    Ok(id)
}

fn event_row(
    site: &SiteAtHand,
    bin: BinId,
    seq: i64,
    recorded_at: DateTime<Utc>,
    entry: &Entry,
) -> Result<EventRow, DeskError> {
    Ok(EventRow {
        site_id: site.id.0,
        id: clock::fresh_id(),
        bin_id: bin.0,
        seq,
        kind: entry.event.kind().to_owned(),
        // As fine as the store keeps it: the state after it must say the same time.
        occurred_at: entry.occurred_at.trunc_subsecs(6),
        recorded_at,
        member_id: entry.member.map(|member| member.0),
        payload: write(&entry.event)?,
        supersedes: entry.supersedes.map(|event| event.0),
    })
}

fn sorted(mut rows: Vec<EventRow>) -> Vec<EventRow> {
    rows.sort_by_key(|row| (row.occurred_at, row.seq));
    rows
}

fn dated(row: &EventRow) -> Result<Dated, DeskError> {
    let event = read("bin_events.payload", row.payload.clone())?;
    Ok(Dated {
        at: row.occurred_at,
        event,
    })
}

fn state_row(
    settings: &ModelSettings,
    event: &EventRow,
    state: &BinState,
) -> Result<StateRow, DeskError> {
    Ok(StateRow {
        site_id: event.site_id,
        event_id: event.id,
        bin_id: event.bin_id,
        occurred_at: event.occurred_at,
        seq: event.seq,
        state: write(state)?,
        model_version: MODEL_VERSION,
        settings_revision: settings.revision(),
    })
}
