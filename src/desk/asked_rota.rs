//! What a rota is drafted from and what was found, as both are kept: by key, with the numbers
//! of the planner.

use super::DeskError;
use super::at_hand::read;
use super::membership::Membership;
use super::rota_at_hand::{RotaAtHand, Whom};
use crate::store::rotas::RotaRow;
use crate::store::{Conn, rotas};
use chrono::{NaiveDate, TimeDelta};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, MemberId, RotaId, SiteId, TurnId};
use wormrota_domain::rota::index::{Day, MemberIndex, Place, TurnIndex};
use wormrota_domain::rota::input::InForceInput;
use wormrota_domain::rota::owing;
use wormrota_domain::rota::planner::Standing;
use wormrota_domain::rota::rules::HardRule;
use wormrota_domain::rota::score::Aim;
use wormrota_domain::rota::{Input, Plan, Refusal, Snapshot};

/// Everything that a rota is drafted from. Two that are equal lead to the same plan, which is
/// why a draft is put up only while what is read then equals what was read first.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Asked {
    /// The member of each position, in the order of their keys.
    pub members: Vec<MemberId>,
    /// The bin of each position, in the order of their keys.
    pub bins: Vec<BinId>,
    /// The turn of each position, in order of day.
    pub turns: Vec<TurnId>,
    /// What each member brings along, in thousandths of effort: exactly, while the planner
    /// gets whole effort.
    pub carried_milli: Vec<i64>,
    /// Who held which place then, whether it is kept or not.
    pub held: BTreeSet<Place>,
    /// What the planner gets.
    pub input: Input,
}

impl Asked {
    /// Reads what a rota is drafted from. `from` is the first day that may change when one in
    /// force is changed; what members bring along is given.
    pub(super) async fn read(
        conn: &mut Conn,
        site: SiteId,
        span: (NaiveDate, NaiveDate),
        from: Option<NaiveDate>,
        carried: &BTreeMap<MemberId, i64>,
    ) -> Result<(Self, RotaAtHand), DeskError> {
        let none = BTreeMap::new();
        let at_hand = RotaAtHand::load(conn, site, span, Whom::InTheRota(from), &none).await?;
        let carried_milli: Vec<i64> = (at_hand.members.iter())
            .map(|member| carried.get(member).copied().unwrap_or(0))
            .collect();
        let mut input = at_hand.input.clone();
        for (member, balance) in (input.members.iter_mut()).zip(owing::whole(&carried_milli)) {
            member.balance = balance;
        }
        let held: BTreeSet<Place> = at_hand.held(|_| true).into_iter().collect();
        let first_open_day = from.map(|day| at_hand.day(day));
        // What is closed to change is the rota in force's, kept or not: there an absence that
        // was told too late leaves a place empty, and is not refused.
        let open =
            |(_, turn): &Place| first_open_day.is_none_or(|first| input.turns[turn.0].day >= first);
        let mut kept = at_hand.held(|place| place.kept);
        kept.retain(open);
        kept.sort_unstable();
        input.kept = kept;
        input.in_force = first_open_day.map(|first_open_day| InForceInput {
            places: held.iter().copied().collect(),
            first_open_day,
        });
        let asked = Self {
            members: at_hand.members.clone(),
            bins: at_hand.bins.clone(),
            turns: at_hand.turns.iter().map(|row| TurnId(row.id)).collect(),
            carried_milli,
            held,
            input,
        };
        Ok((asked, at_hand))
    }

    /// The same as kept with a rota, with what was found, if anything was yet.
    pub(super) async fn kept(
        conn: &mut Conn,
        row: &RotaRow,
    ) -> Result<(Self, Option<Found>), DeskError> {
        let (asked, found) = rotas::contents(conn, SiteId(row.site_id), RotaId(row.id))
            .await?
            .ok_or_else(|| DeskError::broken("a rota went away while it was read"))?;
        let found = found.map(|found| read("rotas.found", found)).transpose()?;
        Ok((read("rotas.asked", asked)?, found))
    }

    /// What every member brings along.
    pub(super) fn carried(&self) -> BTreeMap<MemberId, i64> {
        let carried = self.carried_milli.iter().copied();
        self.members.iter().copied().zip(carried).collect()
    }

    /// The position of a member.
    pub(super) fn member(&self, member: MemberId) -> Option<MemberIndex> {
        self.members.binary_search(&member).ok().map(MemberIndex)
    }

    /// The position of each turn.
    pub(super) fn turn_positions(&self) -> BTreeMap<TurnId, TurnIndex> {
        let turns = self.turns.iter().enumerate();
        turns.map(|(at, turn)| (*turn, TurnIndex(at))).collect()
    }

    /// Whether a turn may change.
    pub(super) fn is_open(&self, turn: TurnIndex) -> bool {
        let first: Option<Day> = self.input.in_force.as_ref().map(|rota| rota.first_open_day);
        first.is_none_or(|first| self.input.turns[turn.0].day >= first)
    }

    /// The plan that places by key make; those of turns and people that were not asked about
    /// are left out.
    pub(super) fn plan(
        &self,
        snapshot: &Snapshot,
        places: impl IntoIterator<Item = (MemberId, TurnId)>,
    ) -> Plan {
        let turns = self.turn_positions();
        let places = places
            .into_iter()
            .filter_map(|(member, turn)| Some((self.member(member)?, turns.get(&turn).copied()?)));
        Plan::from_places(snapshot, places)
    }

    /// Why this cannot be planned, as the caller hears it.
    pub(super) fn refused(&self, who: &Membership, refusal: &Refusal) -> DeskError {
        let key = |member: MemberIndex| {
            let member = self.members.get(member.0);
            member.map_or_else(String::new, ToString::to_string)
        };
        let turn_key = |turn: TurnIndex| {
            let turn = self.turns.get(turn.0);
            turn.map_or_else(String::new, ToString::to_string)
        };
        let kept = |member, turn, rule: HardRule| {
            format!(
                "must be days on which every kept place is possible: that of member {} on turn \
                 {} breaks the rule {}",
                key(member),
                turn_key(turn),
                told(who, rule).code(),
            )
        };
        let detail = match refusal {
            Refusal::KeptBreaks {
                member,
                turn,
                broken,
            } => kept(*member, *turn, broken.rule()),
            Refusal::NoCompany { member, turn } => kept(*member, *turn, HardRule::NotAlone),
            Refusal::Member { member, what, .. } => {
                format!(
                    "must be days that can be planned: of member {} the {what} cannot",
                    key(*member)
                )
            }
            Refusal::Turn { turn, what, .. } => {
                format!(
                    "must be days that can be planned: of turn {} the {what} cannot",
                    turn_key(*turn)
                )
            }
            other => format!("must be days that can be planned: {other}"),
        };
        DeskError::conflict("/last_day", detail)
    }
}

/// A rule in the words of somebody who may not know of pairs that are kept apart: for them the
/// turn is full.
pub(super) fn told(who: &Membership, rule: HardRule) -> HardRule {
    if rule == HardRule::Apart && !who.may(Deed::KeepApart) {
        HardRule::Places
    } else {
        rule
    }
}

/// What the planner found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Found {
    /// Who is on which turn.
    pub places: Vec<(MemberId, TurnId)>,
    /// What it reaches of each aim, in the order of aims.
    pub standings: Vec<KeptStanding>,
}

/// What is known about one aim, as it is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct KeptStanding {
    aim: Aim,
    value: i64,
    bound: i64,
    proven: bool,
}

impl Found {
    /// A plan with its standings, by key.
    pub(super) fn new(asked: &Asked, plan: &Plan, standings: &[Standing]) -> Self {
        let places = plan.places().filter_map(|(member, turn)| {
            Some((*asked.members.get(member.0)?, *asked.turns.get(turn.0)?))
        });
        let standings = standings.iter().map(|standing| KeptStanding {
            aim: standing.aim,
            value: standing.value,
            bound: standing.bound,
            proven: standing.proven,
        });
        Self {
            places: places.collect(),
            standings: standings.collect(),
        }
    }

    /// What it reaches of each aim.
    pub(super) fn standings(&self) -> Vec<Standing> {
        let standings = self.standings.iter().map(|kept| Standing {
            aim: kept.aim,
            value: kept.value,
            bound: kept.bound,
            proven: kept.proven,
        });
        standings.collect()
    }
}

/// The local day of a day of the planner.
pub(super) fn date(first_day: NaiveDate, day: Day) -> NaiveDate {
    first_day + TimeDelta::days(i64::from(day))
}
