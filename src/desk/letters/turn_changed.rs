//! What others changed about somebody's turns: one letter for each thing that somebody did,
//! however many turns it was.
//!
//! A letter says how a turn stands when it is sent, against what its reader knows: what was
//! changed and changed back in a night is not told at all, and of several changes only the last
//! letter speaks.

use super::changes_told::{Item, Told};
use super::receiver::Receiver;
use super::turn_ground::TurnGround;
use super::turn_words::TurnTold;
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::post::{For, Owing};
use crate::desk::turns::Turn;
use crate::store::letters::{self, LetterRow};
use crate::store::{Conn, calls, letter_sources, members, places};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::ids::{BinId, BookingId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::{LetterKind, LetterState, TurnStanding};
use wormrota_domain::turns::{CalledOffBy, Duty};
use wormrota_domain::units::Grams;

#[derive(Serialize, Deserialize)]
struct Keys {
    by: MemberId,
    changes: Vec<ChangedTurn>,
}

/// A turn that stands otherwise for a member than it did. The turn itself may be gone when that
/// is told, so its day stands here too.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(in crate::desk) struct ChangedTurn {
    /// The turn.
    pub turn_id: TurnId,
    /// The bin.
    pub bin_id: BinId,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done.
    pub duty: Duty,
    /// How it stood for the member.
    pub before: TurnStanding,
    /// What the member had booked for it, where that was given back for them.
    pub booking_id: Option<BookingId>,
}

/// The letter about what somebody changed about a member's turns. `cause` is what they changed
/// at `now`, and makes it one letter.
pub(in crate::desk) fn of_changed_turns(
    (site, member): (SiteId, MemberId),
    by: MemberId,
    changes: Vec<ChangedTurn>,
    (cause, now): (Uuid, DateTime<Utc>),
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::TurnChanged,
        purpose: format!("{cause}:{}:{member}", now.timestamp_micros()),
        whom: For::Member(site, member),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { by, changes }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let (site, member) = (receiver.site, receiver.member);
    let Keys { by, changes } = at.keys()?;
    let ground = TurnGround::load(conn, at, &receiver).await?;
    let others = letters::of_member(conn, site, member, LetterKind::TurnChanged).await?;
    let known = Known::of(&at.row, &others);
    let ids: Vec<TurnId> = changes.iter().map(|change| change.turn_id).collect();
    let turns = ground.turns(conn, &ids).await?;
    let turns: BTreeMap<TurnId, Turn> = turns.into_iter().map(|turn| (turn.id, turn)).collect();
    let booked_again: BTreeSet<Uuid> = places::of_turns(conn, site, &ids)
        .await?
        .into_iter()
        .filter(|place| place.member_id == Some(member.0) && place.booking_id.is_some())
        .map(|place| place.turn_id)
        .collect();
    let stands_in: BTreeSet<Uuid> = calls::of_turns(conn, site, &ids)
        .await?
        .into_iter()
        .filter(|call| call.helper_id == Some(member.0))
        .filter(|call| call.away_id.is_some_and(|away| away != member.0))
        .map(|call| call.turn_id)
        .collect();
    let mut items = Vec::new();
    for change in changes {
        if change.on_date < ground.today || known.is_told_later(change.turn_id) {
            continue;
        }
        let (before, booking) = known.before(&change);
        let booking = booking.filter(|_| !booked_again.contains(&change.turn_id.0));
        let turn = turns.get(&change.turn_id);
        let Some(news) = before.news(standing(turn, before), booking.is_some()) else {
            continue;
        };
        let room = match booking {
            Some(booking) => letter_sources::booking(conn, site, booking).await?,
            None => None,
        };
        let hours = before.hours.filter(|_| before.held);
        items.push(Item {
            turn_id: change.turn_id,
            news,
            turn: turn.map_or_else(|| gone(&ground, &change), |turn| ground.told(turn)),
            hours_before: hours.and_then(|hours| ground.instants(change.on_date, hours)),
            stands_in: stands_in.contains(&change.turn_id.0),
            site_shut: turn.is_some_and(|turn| turn.called_off == Some(CalledOffBy::Closure)),
            room: room.map(|row| Grams(row.promised_g)),
        });
    }
    if items.is_empty() {
        return Ok(Found::Settled);
    }
    items.sort_by_key(|item| item.turn.on_date);
    let by = members::person(conn, site, by).await?;
    let told = Told {
        member,
        name: receiver.name.clone(),
        site: receiver.site_name.clone(),
        by: by.and_then(|person| person.name).map(|row| row.name),
        help: ground.help.clone(),
        items,
    };
    Ok(receiver.letter(told.content()))
}

/// How a turn stands for the reader; none is there any more where nobody held a place.
fn standing(turn: Option<&Turn>, before: TurnStanding) -> TurnStanding {
    turn.map_or(
        TurnStanding {
            held: false,
            ..before
        },
        |turn| TurnStanding {
            held: turn.places.iter().any(|place| place.mine),
            called_off: turn.called_off.is_some(),
            hours: turn.hours.map(|hours| (hours.opens, hours.closes)),
        },
    )
}

fn gone(ground: &TurnGround, change: &ChangedTurn) -> TurnTold {
    let hours = change.before.hours;
    TurnTold {
        bin: ground.bin(change.bin_id),
        on_date: change.on_date,
        duty: change.duty,
        hours: hours.and_then(|hours| ground.instants(change.on_date, hours)),
        with: Vec::new(),
    }
}

/// What the other letters of this kind say to the same reader.
struct Known {
    /// Newest first: whether it was sent, and what it is about.
    earlier: Vec<(bool, Vec<ChangedTurn>)>,
    later: BTreeSet<TurnId>,
}

impl Known {
    /// Those that cannot be read say nothing, which the letter itself would hear of.
    fn of(own: &LetterRow, others: &[LetterRow]) -> Self {
        let mut known = Self {
            earlier: Vec::new(),
            later: BTreeSet::new(),
        };
        for row in others {
            let Ok(keys) = Keys::deserialize(&row.payload) else {
                continue;
            };
            // Keys grow with time.
            if row.id > own.id {
                known
                    .later
                    .extend(keys.changes.iter().map(|one| one.turn_id));
            } else if row.id < own.id {
                let sent = row.state == LetterState::Sent.code();
                known.earlier.push((sent, keys.changes));
            }
        }
        known
    }

    /// Whether a later letter speaks of a turn: it says what became of it in the end.
    fn is_told_later(&self, turn: TurnId) -> bool {
        self.later.contains(&turn)
    }

    /// How a turn stands as far as the reader knows, and what they booked for it that is given
    /// back without their knowing.
    fn before(&self, change: &ChangedTurn) -> (TurnStanding, Option<BookingId>) {
        let (mut before, mut booking) = (change.before, change.booking_id);
        for (sent, changes) in &self.earlier {
            let about = changes.iter().find(|one| one.turn_id == change.turn_id);
            match about {
                Some(_) if *sent => break,
                Some(one) => {
                    before = one.before;
                    booking = booking.or(one.booking_id);
                }
                None => {}
            }
        }
        (before, booking)
    }
}
