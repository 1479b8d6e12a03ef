//! What stands in a calendar that somebody subscribes to, before it is words.

use super::at_hand::unreadable;
use super::credentials::LinkFor;
use super::sites::{self, Words};
use super::turn_view::hours;
use super::turns::Hours;
use super::{Desk, DeskError};
use crate::store::calendar_addresses::{self as addresses, CalendarAddressRow};
use crate::store::places::{self, PlaceRow};
use crate::store::turns::{self, TurnRow};
use crate::store::{Conn, members};
use chrono::{DateTime, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::access::{Deed, any_may};
use wormrota_domain::ids::{BinId, MemberId, SiteId, TurnId};
use wormrota_domain::speech::SpeechOf;
use wormrota_domain::turns::Duty;

/// Days that have passed and still stand in a calendar.
const BACK_DAYS: u64 = 28;
/// Days ahead that stand in it: turns are known for a year.
const AHEAD_DAYS: u64 = 366;

/// A calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct Calendar {
    /// How its owner wants things said.
    pub speech: SpeechOf,
    /// What the site is called.
    pub site_name: String,
    /// What the bin is called whose turns it has; none for the owner's own.
    pub bin_name: Option<String>,
    /// What is in it, in order of day.
    pub entries: Vec<Entry>,
}

/// A turn in a calendar.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Which.
    pub turn: TurnId,
    /// Who holds a place of it, where it is the owner's own.
    pub holder: Option<MemberId>,
    /// What the bin is called.
    pub bin_name: String,
    /// The local day.
    pub on_date: NaiveDate,
    /// From when to when.
    pub hours: Option<Hours>,
    /// What is to be done.
    pub duty: Duty,
    /// Whether a class does it.
    pub is_of_a_class: bool,
    /// Whether it does not take place.
    pub is_off: bool,
    /// Since when it stands there: since it is known, or since it is the owner's.
    pub since: DateTime<Utc>,
    /// Grows with every change of the turn.
    pub revision: i64,
}

/// The calendar at an address, if there is one: not when it was never made, was taken back, or
/// its owner left.
///
/// # Errors
/// When the database cannot be reached.
pub async fn at_address(desk: &Desk, token: &str) -> Result<Option<Calendar>, DeskError> {
    let links = &desk.credentials().links;
    let Some(id) = links.verify(LinkFor::Calendar, token) else {
        return Ok(None);
    };
    let now = desk.now().await?;
    desk.store()
        .read("read a calendar", id, move |conn, id| {
            async move {
                match addresses::by_link(conn, *id).await? {
                    Some(row) => calendar(conn, &row, now).await,
                    None => Ok(None),
                }
            }
            .boxed()
        })
        .await
}

async fn calendar(
    conn: &mut Conn,
    row: &CalendarAddressRow,
    now: DateTime<Utc>,
) -> Result<Option<Calendar>, DeskError> {
    let (site, member) = (SiteId(row.site_id), MemberId(row.member_id));
    let person = members::person(conn, site, member).await?;
    let Some(person) = person.filter(|person| any_may(&person.roles, Deed::SeeTurns)) else {
        return Ok(None);
    };
    let words = sites::words(conn, site).await?;
    let today = words.site.zone.wall(now).date();
    let from = today
        .checked_sub_days(Days::new(BACK_DAYS))
        .unwrap_or(today);
    let to = today
        .checked_add_days(Days::new(AHEAD_DAYS))
        .unwrap_or(today);
    let entries = match row.bin_id.map(BinId) {
        Some(bin) => {
            let rows = turns::of_days(conn, site, Some(bin), from, to).await?;
            let entry = |row: &TurnRow| entry(&words, row, None);
            rows.iter().map(entry).collect::<Result<_, _>>()?
        }
        None => own(conn, &words, member, (from, to)).await?,
    };
    Ok(Some(Calendar {
        speech: words.speech_of_member(person.member.language.as_deref())?,
        bin_name: row.bin_id.map(|bin| name_of(&words, bin)).transpose()?,
        site_name: words.site.name,
        entries,
    }))
}

/// Those of which a member holds a place. One that is called off stays, as cancelled: it would
/// only vanish otherwise, and nobody could tell whether it was overlooked.
async fn own(
    conn: &mut Conn,
    words: &Words,
    member: MemberId,
    days: (NaiveDate, NaiveDate),
) -> Result<Vec<Entry>, DeskError> {
    let site = words.site.id;
    let rows = turns::about(conn, site, &[], &[member], days).await?;
    let ids: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
    let held: BTreeMap<Uuid, PlaceRow> = (places::of_turns(conn, site, &ids).await?)
        .into_iter()
        .filter(|place| place.member_id == Some(member.0))
        .map(|place| (place.turn_id, place))
        .collect();
    let entry = |row: &TurnRow| entry(words, row, held.get(&row.id));
    rows.iter().map(entry).collect()
}

fn entry(words: &Words, row: &TurnRow, own: Option<&PlaceRow>) -> Result<Entry, DeskError> {
    let held_since = own.and_then(|place| place.held_since);
    Ok(Entry {
        turn: TurnId(row.id),
        holder: own.and_then(|place| place.member_id).map(MemberId),
        bin_name: name_of(words, row.bin_id)?,
        on_date: row.on_date,
        hours: hours(row, words.site.zone)?,
        duty: Duty::from_code(&row.duty).ok_or_else(|| unreadable("turns.duty"))?,
        is_of_a_class: row.class_id.is_some(),
        is_off: row.called_off.is_some(),
        since: held_since.map_or(row.created_at, |since| since.max(row.created_at)),
        revision: row.revision,
    })
}

fn name_of(words: &Words, bin: Uuid) -> Result<String, DeskError> {
    let named = words.bins.iter().find(|(id, _)| id.0 == bin);
    named
        .map(|(_, name)| name.clone())
        .ok_or_else(|| unreadable("turns.bin_id"))
}
