//! What the planner has to know, read in a fixed number of statements: turns of a span of
//! days, who holds which place, and what the members cannot.

use super::DeskError;
use super::at_hand::unreadable;
use crate::store::absences::AbsenceRow;
use crate::store::limits::LimitsRow;
use crate::store::members::{Person, Which};
use crate::store::places::{How, PlaceRow};
use crate::store::turns::TurnRow;
use crate::store::{Conn, absences, bins, limits, members, places, turns};
use chrono::{Datelike, Days, NaiveDate};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{BinId, MemberId, SiteId, TurnId};
use wormrota_domain::rota::Input;
use wormrota_domain::rota::index::{BinIndex, Day, MemberIndex, Place, TurnIndex};
use wormrota_domain::rota::input::{MemberInput, TurnInput};
use wormrota_domain::rota::share::Share;

/// How far before and after a span turns of the same members matter: the longest rest.
const AROUND: u64 = 61;
/// Members that a site can have in a rota, and one more.
const MOST_MEMBERS: i64 = 10_001;

/// Which members are looked at.
#[derive(Debug, Clone, Copy)]
pub(super) enum Whom<'a> {
    /// Everybody who has a part in the rota.
    /// With a day, what lies before it is not to change.
    InTheRota(Option<NaiveDate>),
    /// These, whether they have or not, and of the turns only these and those on which one of
    /// the members holds a place: as much of the rota as rules about them look at.
    These(&'a [MemberId], &'a [TurnId]),
}

/// A span of days as the planner sees it, and which key each of its positions stands for.
#[derive(Debug, Clone)]
pub(super) struct RotaAtHand {
    /// Day 0. The planner counts weekdays from it: see [`RotaAtHand::weekday`].
    pub first_day: NaiveDate,
    /// Members, turns and pairs. Nothing is kept yet and nothing is in force.
    pub input: Input,
    /// The member of each position, in the order of their keys.
    pub members: Vec<MemberId>,
    /// The bin of each position.
    pub bins: Vec<BinId>,
    /// The turn of each position: those that take place, have places for members, and are not
    /// full of people who have no part in the rota.
    pub turns: Vec<TurnRow>,
    /// Every place of these turns.
    pub places: Vec<PlaceRow>,
}

impl RotaAtHand {
    /// Reads a span, both days included. `balances` is the effort that members bring along.
    pub(super) async fn load(
        conn: &mut Conn,
        site: SiteId,
        (from, to): (NaiveDate, NaiveDate),
        whom: Whom<'_>,
        balances: &BTreeMap<MemberId, i64>,
    ) -> Result<Self, DeskError> {
        let people = people(conn, site, whom).await?;
        let keys: Vec<MemberId> = people.iter().map(|(member, _)| *member).collect();
        let limits: BTreeMap<Uuid, LimitsRow> = limits::of_members(conn, site, &keys)
            .await?
            .into_iter()
            .map(|row| (row.member_id, row))
            .collect();
        let mut all_bins: Vec<BinId> = bins::names_of_site(conn, site)
            .await?
            .into_iter()
            .map(|(bin, _)| bin)
            .collect();
        all_bins.sort_unstable();
        let trained = limits::bins_of(conn, site, &keys).await?;
        let (start, end) = around(from, to);
        let away = absences::of_members(conn, site, &keys, start, end).await?;
        let nearby = match whom {
            Whom::InTheRota(_) => turns::of_days(conn, site, None, start, end).await?,
            Whom::These(members, turns) => {
                turns::about(conn, site, turns, members, (start, end)).await?
            }
        };
        let nearby: Vec<TurnRow> = nearby
            .into_iter()
            .filter(|turn| turn.called_off.is_none() && turn.class_id.is_none())
            .collect();
        let ids: Vec<TurnId> = nearby.iter().map(|turn| TurnId(turn.id)).collect();
        let held = places::of_turns(conn, site, &ids).await?;
        let held_on = days_held(&nearby, &held);

        let mut shares = Vec::with_capacity(people.len());
        let households = households(&people, &limits)?;
        for (member, person) in people {
            let own = limits.get(&member.0);
            let together = person
                .member
                .household_id
                .and_then(|household| households.get(&household).copied());
            match (share(&person, own)?.sixtieths(together.unwrap_or(1)), whom) {
                (Some(share), _) => shares.push((member, share)),
                (None, Whom::These(..)) => shares.push((member, 1)),
                (None, Whom::InTheRota(_)) => {}
            }
        }
        let mut at_hand = Self {
            first_day: from,
            input: Input {
                days: u32::try_from((to - from).num_days() + 1).unwrap_or(0),
                bins: all_bins.len(),
                ..Input::default()
            },
            members: shares.iter().map(|(member, _)| *member).collect(),
            bins: all_bins,
            turns: Vec::new(),
            places: Vec::new(),
        };
        for (member, share) in shares {
            let theirs = held_on.get(&member.0).map_or(&[][..], Vec::as_slice);
            let own = Own {
                limits: limits.get(&member.0),
                trained: trained.iter().filter(|(of, _)| *of == member),
                away: away.iter().filter(|row| row.member_id == member.0),
                held_on: theirs,
            };
            let balance = balances.get(&member).copied().unwrap_or(0);
            let member = at_hand.member(share, balance, own, to);
            at_hand.input.members.push(member);
        }
        let makes_room = |turn: &TurnRow, place: &PlaceRow| match whom {
            Whom::InTheRota(first) => {
                first.is_none_or(|first| turn.on_date >= first) && !stays_without_part(place)
            }
            Whom::These(..) => false,
        };
        at_hand.add_turns(nearby, held, to, makes_room);
        for pair in limits::apart(conn, site).await? {
            let of = |id: Uuid| at_hand.position(MemberId(id));
            if let (Some(one), Some(other)) = (of(pair.one_id), of(pair.other_id)) {
                at_hand.input.apart.push((one, other));
            }
        }
        Ok(at_hand)
    }

    /// The position of a member.
    pub(super) fn position(&self, member: MemberId) -> Option<MemberIndex> {
        self.members.binary_search(&member).ok().map(MemberIndex)
    }

    /// The position of a turn.
    pub(super) fn turn_position(&self, turn: TurnId) -> Option<TurnIndex> {
        let found = self.turns.iter().position(|row| row.id == turn.0);
        found.map(TurnIndex)
    }

    /// Who holds which place today, those who have no part in the rota left out.
    pub(super) fn held(&self, which: impl Fn(&PlaceRow) -> bool) -> Vec<Place> {
        let positions: BTreeMap<Uuid, usize> =
            (self.turns.iter().enumerate().map(|(at, row)| (row.id, at))).collect();
        self.places
            .iter()
            .filter(|place| which(place))
            .filter_map(|place| {
                let member = self.position(MemberId(place.member_id?))?;
                Some((member, TurnIndex(*positions.get(&place.turn_id)?)))
            })
            .collect()
    }

    /// The day of the planner for a local day.
    pub(super) fn day(&self, date: NaiveDate) -> Day {
        Day::try_from((date - self.first_day).num_days()).unwrap_or(Day::MAX)
    }

    /// The weekday, 1 is Monday, of a weekday of the planner, which counts from the first day.
    pub(super) fn weekday(&self, of_planner: usize) -> usize {
        let first = usize::try_from(self.first_day.weekday().num_days_from_monday()).unwrap_or(0);
        (of_planner + first) % 7 + 1
    }

    fn member<'a>(
        &self,
        share: u32,
        balance: i64,
        own: Own<
            'a,
            impl Iterator<Item = &'a (MemberId, BinId)>,
            impl Iterator<Item = &'a AbsenceRow>,
        >,
        last_day: NaiveDate,
    ) -> MemberInput {
        let on = |weekdays: &[i16], at: usize| {
            i16::try_from(self.weekday(at)).is_ok_and(|weekday| weekdays.contains(&weekday))
        };
        let limits = own.limits;
        let rest_days = limits.map_or(0, |row| u32::try_from(row.rest_days).unwrap_or(0));
        let last = self.day(last_day);
        let mut absences: Vec<(Day, Day)> = own
            .away
            .map(|row| {
                let until = row.last_day.map_or(Day::MAX, |day| self.day(day));
                (self.day(row.first_day), until)
            })
            .collect();
        let mut past = Vec::new();
        for date in own.held_on {
            let day = self.day(*date);
            if day < 0 {
                past.push(day);
            } else if day > last {
                // The planner knows no turns after the span; the rest before one of them is
                // the same to it as being away.
                let rest = Day::try_from(rest_days).unwrap_or(0);
                absences.push((day - rest, day));
            }
        }
        let only_trained = limits.is_some_and(|row| row.only_trained_bins);
        let trained: BTreeSet<BinId> = own.trained.map(|(_, bin)| *bin).collect();
        MemberInput {
            weekdays: std::array::from_fn(|at| {
                !limits.is_some_and(|row| on(&row.cannot_weekdays, at))
            }),
            absences,
            bins: (self.bins.iter().enumerate())
                .filter(|(_, bin)| !only_trained || trained.contains(bin))
                .map(|(at, _)| BinIndex(at))
                .collect(),
            most_in_28_days: limits
                .and_then(|row| row.most_in_28_days)
                .and_then(|most| u32::try_from(most).ok()),
            rest_days,
            share,
            balance,
            wishes: std::array::from_fn(|at| match limits {
                Some(row) if on(&row.likes_weekdays, at) => 1,
                Some(row) if on(&row.rather_not_weekdays, at) => -1,
                _ => 0,
            }),
            experienced: limits.is_some_and(|row| row.experienced),
            not_alone: limits.is_some_and(|row| row.not_alone),
            past,
        }
    }

    /// Turns of the span that have a place for members of the rota. Whoever stays on a place
    /// without a part in the rota takes it out of the turn.
    fn add_turns(
        &mut self,
        nearby: Vec<TurnRow>,
        held: Vec<PlaceRow>,
        to: NaiveDate,
        makes_room: impl Fn(&TurnRow, &PlaceRow) -> bool,
    ) {
        let mut of_turn: BTreeMap<Uuid, Vec<PlaceRow>> = BTreeMap::new();
        for place in held {
            of_turn.entry(place.turn_id).or_default().push(place);
        }
        for turn in nearby {
            if turn.on_date < self.first_day || turn.on_date > to {
                continue;
            }
            let places = of_turn.remove(&turn.id).unwrap_or_default();
            let open = places.iter().filter(|place| match place.member_id {
                Some(member) => {
                    self.position(MemberId(member)).is_some() || makes_room(&turn, place)
                }
                None => place.pupil_id.is_none(),
            });
            let open = u32::try_from(open.count()).unwrap_or(0);
            let bin = self.bins.iter().position(|bin| bin.0 == turn.bin_id);
            let (Some(bin), true) = (bin, open > 0) else {
                continue;
            };
            self.input.turns.push(TurnInput {
                bin: BinIndex(bin),
                day: self.day(turn.on_date),
                places: open,
                effort: u32::try_from(turn.effort).unwrap_or(1),
            });
            self.turns.push(turn);
            self.places.extend(places);
        }
    }
}

/// Whether somebody stays on a place without a part in the rota. Whom a rota put there when
/// they had one makes room for others; who took it, or was sent, stays.
pub(super) fn stays_without_part(place: &PlaceRow) -> bool {
    place.kept || place.how.as_deref() != Some(How::Rota.code())
}

/// What is known about one member.
struct Own<'a, T, A> {
    limits: Option<&'a LimitsRow>,
    trained: T,
    away: A,
    held_on: &'a [NaiveDate],
}

/// Those looked at, in the order of their keys.
async fn people(
    conn: &mut Conn,
    site: SiteId,
    whom: Whom<'_>,
) -> Result<Vec<(MemberId, Person)>, DeskError> {
    let which = match whom {
        Whom::InTheRota(_) => Which::Members,
        Whom::These(these, _) => Which::These(these.iter().map(|member| member.0).collect()),
    };
    let people = members::people(conn, site, which, None, MOST_MEMBERS).await?;
    if i64::try_from(people.len()).is_ok_and(|count| count >= MOST_MEMBERS) {
        return Err(DeskError::TooMany { what: "members" });
    }
    Ok(people
        .into_iter()
        .map(|person| (MemberId(person.member.id), person))
        .collect())
}

/// What part of the turns is a member's: residents share, and keepers have none unless they
/// say so (common practice, no source).
pub(super) fn share(person: &Person, limits: Option<&LimitsRow>) -> Result<Share, DeskError> {
    if let Some(code) = limits.and_then(|row| row.share.as_deref()) {
        return Share::from_code(code).ok_or_else(|| unreadable("member_limits.share"));
    }
    Ok(if !person.roles.contains(&Role::Resident) {
        Share::None
    } else if person.member.household_id.is_some() {
        Share::Household
    } else {
        Share::Full
    })
}

/// How many people of each household divide one share among them.
fn households(
    people: &[(MemberId, Person)],
    limits: &BTreeMap<Uuid, LimitsRow>,
) -> Result<BTreeMap<Uuid, usize>, DeskError> {
    let mut sizes = BTreeMap::new();
    for (member, person) in people {
        let Some(household) = person.member.household_id else {
            continue;
        };
        if share(person, limits.get(&member.0))? == Share::Household {
            *sizes.entry(household).or_default() += 1;
        }
    }
    Ok(sizes)
}

/// The days on which each member holds a place.
fn days_held(turns: &[TurnRow], held: &[PlaceRow]) -> BTreeMap<Uuid, Vec<NaiveDate>> {
    let dates: BTreeMap<Uuid, NaiveDate> =
        turns.iter().map(|turn| (turn.id, turn.on_date)).collect();
    let mut days: BTreeMap<Uuid, Vec<NaiveDate>> = BTreeMap::new();
    for place in held {
        if let (Some(member), Some(date)) = (place.member_id, dates.get(&place.turn_id)) {
            days.entry(member).or_default().push(*date);
        }
    }
    days
}

fn around(from: NaiveDate, to: NaiveDate) -> (NaiveDate, NaiveDate) {
    let days = Days::new(AROUND);
    (
        from.checked_sub_days(days).unwrap_or(from),
        to.checked_add_days(days).unwrap_or(to),
    )
}
