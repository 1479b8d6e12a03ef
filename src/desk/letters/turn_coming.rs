//! A turn that is coming: what its holder has to know.

use super::receiver::Receiver;
use super::turn_coming_words::{Feeding, Shared, Told, When, content};
use super::turn_words::{Help, TurnTold};
use super::{Found, Reading};
use crate::desk::at_hand::{BinAtHand, Hold, SiteAtHand, unreadable};
use crate::desk::book::usual_mix;
use crate::desk::closure_ground::serving_at;
use crate::desk::credentials::LinkFor;
use crate::desk::due::window;
use crate::desk::membership::Membership;
use crate::desk::people::names_seen;
use crate::desk::post::{For, Owing};
use crate::desk::{DeskError, keepers, sites};
use crate::store::letters::{self, LetterRow};
use crate::store::turns::TurnRow;
use crate::store::{Conn, bins, places, turns, visits};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::access::HOUSE;
use wormrota_domain::food::Class;
use wormrota_domain::ids::{BinId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::{HeldTurn, LetterDeed, LetterKind};
use wormrota_domain::living_bin::decide::Asked;
use wormrota_domain::living_bin::decision::Condition;
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// The most days before a turn that a rule can say.
const MOST_DAYS: u8 = 7;

/// Which reminder of which turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(in crate::desk) struct Coming {
    /// The turn.
    pub turn: TurnId,
    /// Its local day.
    pub on_date: NaiveDate,
    /// The rule: so many days before.
    pub days_before: u8,
}

impl Coming {
    /// What owes the letter once.
    fn purpose(self, member: MemberId) -> String {
        let (turn, day, rule) = (self.turn, self.on_date, self.days_before);
        format!("{turn}:{member}:{day}:{rule}")
    }
}

/// The letter of a reminder that helps until an instant of the machine's clock.
pub(in crate::desk) fn of_coming_turn(
    site: SiteId,
    member: MemberId,
    coming: Coming,
    until: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::TurnComing,
        purpose: coming.purpose(member),
        whom: For::Member(site, member),
        too_late_at: until,
        links_until: Some(until),
    }
    .row(&coming, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let coming: Coming = at.keys()?;
    let Some(turn) = turns::by_id(conn, receiver.site, coming.turn).await? else {
        return Ok(Found::Settled);
    };
    let held = places::of_turns(conn, receiver.site, &[coming.turn]).await?;
    let mut others: Vec<MemberId> = Vec::new();
    let mut held_since = None;
    for place in held {
        match place.member_id.map(MemberId) {
            Some(member) if member == receiver.member => held_since = place.held_since,
            Some(member) => others.push(member),
            None => {}
        }
    }
    let Some(held_since) = held_since else {
        return Ok(Found::Settled);
    };
    let zone = receiver.speech.zone;
    let window = window(turn.opens, turn.closes)?;
    let on_date = turn.on_date;
    let held = HeldTurn {
        on_date,
        window,
        held_since,
    };
    let is_off = turn.called_off.is_some() || on_date != coming.on_date;
    if is_off || held.over_at(zone) <= at.by.now {
        return Ok(Found::Settled);
    }
    let Some(bin) = bins::by_id(conn, receiver.site, BinId(turn.bin_id)).await? else {
        return Ok(Found::Settled);
    };
    let who = receiver.membership(conn).await?;
    let duty = Duty::from_code(&turn.duty).ok_or_else(|| unreadable("turns.duty"))?;
    let is_visit = !visits::among(conn, receiver.site, &[coming.turn])
        .await?
        .is_empty();
    let feeding = match duty {
        Duty::Feeding => Some(feeding(conn, at, &who, &turn, &others, is_visit).await?),
        _ => None,
    };
    let site = sites::load(conn, receiver.site).await?;
    let today = zone.local_date(at.by.now);
    let (with, unnamed) = companions(conn, &who, &others).await?;
    let told = Told {
        name: receiver.name.clone(),
        turn_id: coming.turn,
        member: receiver.member,
        turn: TurnTold {
            bin: bin.name,
            on_date,
            duty,
            hours: window.map(|window| window.on(on_date, zone)),
            with,
        },
        unnamed,
        when: When::of(on_date, today),
        site: receiver.site_name.clone(),
        is_visit,
        is_brief: coming.days_before == 0,
        feeding,
        help: Help {
            ask: keepers::names(conn, receiver.site, HOUSE, receiver.member).await?,
            give_back_days: site.give_back_days,
            today,
        },
        cannot_come: at
            .credentials
            .links
            .token(LinkFor::Letter(LetterDeed::CannotCome), at.row.id),
        is_first: is_first(conn, coming, receiver.member).await?,
    };
    Ok(receiver.letter(content(&told)))
}

/// Who comes too as far as the reader may know, and how many more.
async fn companions(
    conn: &mut Conn,
    who: &Membership,
    others: &[MemberId],
) -> Result<(Vec<String>, usize), DeskError> {
    let seen = names_seen(conn, who, others).await?;
    let names: Vec<String> = seen.into_values().flatten().collect();
    let unnamed = others.len().saturating_sub(names.len());
    Ok((names, unnamed))
}

/// Whether no other reminder of the turn went to the member.
async fn is_first(conn: &mut Conn, coming: Coming, member: MemberId) -> Result<bool, DeskError> {
    let others = (0..=MOST_DAYS).filter(|days| *days != coming.days_before);
    let purpose = |days_before| {
        let other = Coming {
            days_before,
            ..coming
        };
        other.purpose(member)
    };
    let purposes: Vec<String> = others.map(purpose).collect();
    let sent = letters::any_sent(conn, LetterKind::TurnComing, &purposes).await?;
    Ok(!sent)
}

/// What the bin will be able to take on the day, as things stand.
async fn feeding(
    conn: &mut Conn,
    at: &Reading,
    who: &Membership,
    turn: &TurnRow,
    others: &[MemberId],
    is_visit: bool,
) -> Result<Feeding, DeskError> {
    let site = SiteAtHand::load(conn, who.site).await?;
    let never = site.list.to_entries().into_iter();
    let never = never.filter(|entry| entry.class == Class::Never);
    let mut feeding = Feeding {
        room: None,
        shared: None,
        booked: None,
        bedding: None,
        visit: None,
        never: never.map(|entry| entry.subject).collect(),
    };
    let id = BinId(turn.bin_id);
    let bin = match BinAtHand::load(conn, &at.by.model, &site, id, at.by.now, Hold::Look).await {
        Ok(bin) => bin,
        Err(DeskError::NotStocked) => return Ok(feeding),
        Err(other) => return Err(other),
    };
    if is_visit {
        feeding.visit = serving_at(conn, &site, bin, turn).await?;
        feeding.room = feeding.visit.map(|serving| serving.meal);
        return Ok(feeding);
    }
    let own = bin.booking_of(who.member, turn.on_date);
    let kept = bin.kept_bookings(&site, own);
    let then = site.zone.start_of_day(turn.on_date).max(bin.now);
    let outlook = Outlook::cautious(&bin.habitat, &bin.state);
    let room = outlook.room_at(then, &kept);
    let row = bin.bookings.iter().find(|row| Some(row.id) == own);
    // What somebody booked may have shrunk since.
    feeding.booked = row.map(|row| Grams(row.promised_g).min(room));
    feeding.room = Some(room);
    if own.is_none() && !others.is_empty() {
        let booked = |member: &MemberId| bin.booking_of(*member, turn.on_date);
        let of_others: BTreeSet<Uuid> = others.iter().filter_map(booked).collect();
        let mut of_nobody_here = kept.clone();
        of_nobody_here.retain(|booking| !of_others.contains(&booking.id.0));
        feeding.shared = Some(Shared {
            in_all: outlook.room_at(then, &of_nobody_here),
            people: others.len() + 1,
            unbooked: others.len() + 1 - of_others.len(),
        });
    }
    let amount = feeding.booked.unwrap_or_else(|| feeding.part(room));
    if amount > Grams::ZERO {
        let decision = Asked {
            habitat: &bin.habitat,
            state: &bin.state,
            bookings: &kept,
            at: then,
            offer: &usual_mix(amount)?,
            list: &site.list,
            moments: &[],
        }
        .decide();
        let mut conditions = decision.conditions.iter();
        feeding.bedding = conditions.find_map(|condition| match condition {
            Condition::AddBedding { dry } => Some(*dry),
            _ => None,
        });
    }
    Ok(feeding)
}
