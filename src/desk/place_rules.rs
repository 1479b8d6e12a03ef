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
use wormrota_domain::cover::candidates;
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::rota::change::{Change, ChangeRefusal, judge};
use wormrota_domain::rota::index::{MemberIndex, Place, TurnIndex};
use wormrota_domain::rota::rules::HardRule;
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
        Self::at(conn, who.site, turns, members).await
    }

    /// The same where nobody asks: the service looks for somebody.
    pub(super) async fn at(
        conn: &mut Conn,
        site: SiteId,
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
            site,
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

    /// Those of the members who may come onto a turn under all hard rules.
    pub(super) fn may_come(&self, turn: TurnId) -> Vec<MemberId> {
        let Some(turn) = self.at_hand.turn_position(turn) else {
            return Vec::new();
        };
        let may = candidates::may_come(&self.snapshot, &self.plan, turn);
        may.into_iter()
            .filter_map(|member| self.at_hand.members.get(member.0).copied())
            .collect()
    }

    /// Insists that a member may come onto a turn.
    ///
    /// # Errors
    /// [`DeskError::NoFreePlace`] also where only keeping two apart is in the way, and the
    /// caller may not know of pairs; [`DeskError::RulesBroken`].
    pub(super) fn insist_on_coming(&self, who: &Membership, on: On) -> Result<(), DeskError> {
        self.insist(who, Change::Assign(self.place(on)?))
    }

    /// The same for a member who follows another on a turn: whoever stays there may need the
    /// one who goes.
    pub(super) fn insist_on_following(
        &self,
        who: &Membership,
        from: On,
        to: MemberId,
    ) -> Result<(), DeskError> {
        let (to, _) = self.place((to, from.1))?;
        let from = self.place(from)?;
        self.insist(who, Change::HandOver { from, to })
    }

    /// The same for two who trade: nobody is asked whether they could come before the other has
    /// gone.
    pub(super) fn insist_on_trade(
        &self,
        who: &Membership,
        one: On,
        other: On,
    ) -> Result<(), DeskError> {
        self.insist(who, Change::Trade(self.place(one)?, self.place(other)?))
    }

    /// Goes on with a member on a turn: theirs was one of several changes.
    pub(super) fn came(&mut self, on: On) -> Result<(), DeskError> {
        let place = self.place(on)?;
        self.plan.put(place);
        Ok(())
    }

    /// What was broken before and stays so is not held against anybody.
    fn insist(&self, who: &Membership, change: Change) -> Result<(), DeskError> {
        let judged =
            judge(&self.snapshot, &self.plan, change).map_err(|refused| match refused {
                ChangeRefusal::ThereAlready(_) => DeskError::HeldAlready,
                ChangeRefusal::NotThere(_) => DeskError::NotTheHolder,
                other => DeskError::broken(format!("a change of places: {other}")),
            })?;
        let broken: Vec<BrokenRule> = judged
            .hard
            .iter()
            .map(|(member, turn, broken)| self.told(*member, *turn, broken.rule()))
            .collect::<Result<_, _>>()?;
        refusal(who, broken)
    }

    fn place(&self, (member, turn): On) -> Result<Place, DeskError> {
        let member = self.at_hand.position(member);
        let turn = self.at_hand.turn_position(turn);
        Ok((
            member.ok_or(DeskError::NotFound(Noun::Member))?,
            // A turn that the planner does not see, such as that of a bin that is gone.
            turn.ok_or(DeskError::TurnOver)?,
        ))
    }

    fn told(
        &self,
        member: MemberIndex,
        turn: TurnIndex,
        rule: HardRule,
    ) -> Result<BrokenRule, DeskError> {
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
