//! Whether the hard rules of the rota allow that somebody gets a place: judged on who is on
//! which turn after the whole of a change.

use super::membership::Membership;
use super::rota_at_hand::{RotaAtHand, Whom};
use super::{BrokenRule, DeskError, Noun};
use crate::store::Conn;
use crate::store::turns::TurnRow;
use chrono::{Days, NaiveDate};
use std::collections::{BTreeMap, BTreeSet};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::rota::index::Place;
use wormrota_domain::rota::rules::{HardRule, broken};
use wormrota_domain::rota::{Plan, Snapshot};

/// How far from a turn others of the same member matter: the longest rest. Turns in any 28 days
/// lie within it.
const REACH: Days = Days::new(60);

/// Somebody on a turn.
pub(super) type On = (MemberId, TurnId);

/// Some turns as they are held, and what is known of everybody who holds or is to hold a place
/// of them.
#[derive(Debug)]
pub(super) struct PlaceRules {
    at_hand: RotaAtHand,
    snapshot: Snapshot,
    plan: Plan,
}

impl PlaceRules {
    /// Reads what rules about some turns look at. The turns are locked, and `members` are all
    /// who hold a place of them and all who are to get one.
    pub(super) async fn load(
        conn: &mut Conn,
        who: &Membership,
        turns: &[&TurnRow],
        members: &BTreeSet<MemberId>,
    ) -> Result<Self, DeskError> {
        let days = || turns.iter().map(|turn| turn.on_date);
        let (Some(first), Some(last)) = (days().min(), days().max()) else {
            return Err(DeskError::broken("rules of no turn"));
        };
        let ids: Vec<TurnId> = turns.iter().map(|turn| TurnId(turn.id)).collect();
        let members: Vec<MemberId> = members.iter().copied().collect();
        let mut at_hand = RotaAtHand::load(
            conn,
            who.site,
            (before(first), after(last)),
            Whom::These(&members, &ids),
            &BTreeMap::new(),
        )
        .await?;
        let input = std::mem::take(&mut at_hand.input);
        let snapshot = Snapshot::parse(input)
            .map_err(|refusal| DeskError::broken(format!("rules of a place: {refusal}")))?;
        let plan = Plan::from_places(&snapshot, at_hand.held(|_| true));
        Ok(Self {
            at_hand,
            snapshot,
            plan,
        })
    }

    /// Insists that nothing breaks when some go from their turns and others come. What was
    /// broken before and stays so is not held against anybody.
    ///
    /// # Errors
    /// [`DeskError::NoFreePlace`] also where only keeping two apart is in the way, and the
    /// caller may not know of pairs; [`DeskError::RulesBroken`].
    pub(super) fn insist(
        &self,
        who: &Membership,
        gone: &[On],
        come: &[On],
    ) -> Result<(), DeskError> {
        let after = self.after(gone, come)?;
        let come: BTreeSet<Place> = self.positions(come)?.into_iter().collect();
        let gone = self.positions(gone)?;
        let touched: BTreeSet<_> = gone.iter().chain(&come).map(|(_, turn)| *turn).collect();
        let mut found = Vec::new();
        for turn in touched {
            for member in after.members_on(turn) {
                let place = (*member, turn);
                let before: Vec<HardRule> = if come.contains(&place) {
                    Vec::new()
                } else {
                    self.broken(&self.plan, place)
                };
                for rule in self.broken(&after, place) {
                    // A pair is told once, for whoever comes.
                    let twice = rule == HardRule::Apart && !come.contains(&place);
                    if !before.contains(&rule) && !twice {
                        found.push(self.told(place, rule)?);
                    }
                }
            }
        }
        refusal(who, found)
    }

    /// The same with who came and went: for a change that is one of several.
    pub(super) fn moved(&mut self, gone: &[On], come: &[On]) -> Result<(), DeskError> {
        self.plan = self.after(gone, come)?;
        Ok(())
    }

    fn after(&self, gone: &[On], come: &[On]) -> Result<Plan, DeskError> {
        let mut plan = self.plan.clone();
        for place in self.positions(gone)? {
            plan.take(place);
        }
        for place in self.positions(come)? {
            plan.put(place);
        }
        Ok(plan)
    }

    fn broken(&self, plan: &Plan, (member, turn): Place) -> Vec<HardRule> {
        let found = broken(&self.snapshot, plan, member, turn);
        found.iter().map(|broken| broken.rule()).collect()
    }

    fn positions(&self, on: &[On]) -> Result<Vec<Place>, DeskError> {
        on.iter()
            .map(|(member, turn)| {
                let member = self.at_hand.position(*member);
                let turn = self.at_hand.turn_position(*turn);
                Ok((
                    member.ok_or(DeskError::NotFound(Noun::Member))?,
                    // A turn that the planner does not see, such as that of a bin that is gone.
                    turn.ok_or(DeskError::TurnOver)?,
                ))
            })
            .collect()
    }

    fn told(&self, (member, turn): Place, rule: HardRule) -> Result<BrokenRule, DeskError> {
        let member = self.at_hand.members.get(member.0).copied();
        let turn = self.at_hand.turns.get(turn.0).map(|row| TurnId(row.id));
        Ok(BrokenRule {
            member: member.ok_or_else(|| DeskError::broken("a position of no member"))?,
            turn: turn.ok_or_else(|| DeskError::broken("a position of no turn"))?,
            rule,
        })
    }
}

/// What is told of broken rules. For whoever may not know that two are kept apart, the turn is
/// as full as any other full one, whatever else is in the way.
fn refusal(who: &Membership, broken: Vec<BrokenRule>) -> Result<(), DeskError> {
    let full = |rule: HardRule| match rule {
        HardRule::Places => true,
        HardRule::Apart => !who.may(Deed::KeepApart),
        _ => false,
    };
    if broken.is_empty() {
        Ok(())
    } else if broken.iter().any(|broken| full(broken.rule)) {
        Err(DeskError::NoFreePlace)
    } else {
        Err(DeskError::RulesBroken(broken))
    }
}

fn before(day: NaiveDate) -> NaiveDate {
    day.checked_sub_days(REACH).unwrap_or(day)
}

fn after(day: NaiveDate) -> NaiveDate {
    day.checked_add_days(REACH).unwrap_or(day)
}
