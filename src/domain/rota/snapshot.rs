//! What the planner works on: checked once, at one door, and fixed from then on.

use super::checks;
use super::fairness::Fairness;
use super::index::{Day, MemberIndex, Place, TurnIndex, weekday};
use super::input::{Input, MemberInput, TurnInput};
use super::plan::Plan;
use super::refusal::Refusal;
use super::rules::{Broken, broken};
use std::collections::BTreeSet;

/// A rota in force that is to be changed as little as possible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InForce {
    /// Who holds which place.
    pub places: BTreeSet<Place>,
    /// The first day that may change.
    pub first_open_day: Day,
}

/// Everything a planner needs to know, within its limits and free of contradictions that
/// can be seen without planning.
#[derive(Debug, Clone)]
pub struct Snapshot {
    members: Vec<MemberInput>,
    turns: Vec<TurnInput>,
    /// For each member the others kept apart from them, in order.
    apart: Vec<Vec<MemberIndex>>,
    kept: BTreeSet<Place>,
    in_force: Option<InForce>,
    /// For each turn who may be on it as far as rules tell that look at nobody else, in order.
    candidates: Vec<Vec<MemberIndex>>,
    fairness: Fairness,
}

impl Snapshot {
    /// The only door: every limit of [`limits`](super::limits) and every kept place is
    /// checked.
    ///
    /// # Errors
    ///
    /// A [`Refusal`] that names the first entry that is wrong.
    pub fn parse(input: Input) -> Result<Self, Refusal> {
        checks::all(&input)?;
        let fairness = Fairness::parse(&input)?;
        let mut apart = vec![Vec::new(); input.members.len()];
        for (one, other) in &input.apart {
            apart[one.0].push(*other);
            apart[other.0].push(*one);
        }
        for others in &mut apart {
            others.sort_unstable();
            others.dedup();
        }
        let mut snapshot = Self {
            members: input.members,
            turns: input.turns,
            apart,
            kept: input.kept.into_iter().collect(),
            in_force: None,
            candidates: Vec::new(),
            fairness,
        };
        for member in &mut snapshot.members {
            member.past.sort_unstable();
        }
        snapshot.check_kept()?;
        if let Some(rota) = input.in_force {
            snapshot.put_in_force(InForce {
                places: rota.places.into_iter().collect(),
                first_open_day: rota.first_open_day,
            });
        }
        snapshot.find_candidates()?;
        Ok(snapshot)
    }

    /// Every kept place must keep the rules beside all others that are kept. Whether
    /// somebody experienced can join is seen once the candidates are known.
    fn check_kept(&self) -> Result<(), Refusal> {
        let plan = Plan::from_places(self, self.kept.iter().copied());
        for (member, turn) in &self.kept {
            let full = plan.members_on(*turn).len() >= self.turn(*turn).place_count();
            let rules = broken(self, &plan, *member, *turn);
            let hard = |rule: &&Broken| full || !matches!(rule, Broken::NotAlone { .. });
            if let Some(broken) = rules.iter().find(hard) {
                return Err(Refusal::KeptBreaks {
                    member: *member,
                    turn: *turn,
                    broken: *broken,
                });
            }
        }
        Ok(())
    }

    /// Days that may not change keep what the rota in force has there, as far as it still
    /// keeps the rules: an absence told too late leaves a place empty, it is not refused.
    fn put_in_force(&mut self, rota: InForce) {
        let mut plan = Plan::from_places(self, self.kept.iter().copied());
        let closed: Vec<Place> = rota
            .places
            .iter()
            .filter(|(_, turn)| self.turn(*turn).day < rota.first_open_day)
            .filter(|place| !self.kept.contains(place))
            .copied()
            .collect();
        // Experienced members first, so that those beside them are not left out for it.
        let (first, then): (Vec<Place>, Vec<Place>) = closed
            .into_iter()
            .partition(|(member, _)| self.member(*member).experienced);
        for place in first.into_iter().chain(then) {
            if broken(self, &plan, place.0, place.1).is_empty() {
                plan.put(place);
            }
        }
        self.kept = plan.places().collect();
        self.in_force = Some(rota);
    }

    fn find_candidates(&mut self) -> Result<(), Refusal> {
        let kept = Plan::from_places(self, self.kept.iter().copied());
        let mut pairs = 0_usize;
        let mut candidates = Vec::with_capacity(self.turns.len());
        for turn in (0..self.turns.len()).map(TurnIndex) {
            let mut may: Vec<MemberIndex> = (0..self.members.len())
                .map(MemberIndex)
                .filter(|member| self.may(&kept, *member, turn))
                .collect();
            if !may.iter().any(|member| self.member(*member).experienced) {
                if let Some(member) =
                    (kept.members_on(turn).iter()).find(|member| self.member(**member).not_alone)
                {
                    return Err(Refusal::KeptBreaks {
                        member: *member,
                        turn,
                        broken: Broken::NotAlone { member: *member },
                    });
                }
                may.retain(|member| !self.member(*member).not_alone);
            }
            // Who is not to be alone takes a place and needs another for their company.
            let on = kept.members_on(turn);
            let company = on.iter().any(|member| self.member(*member).experienced);
            if !company && self.turn(turn).place_count() < on.len() + 2 {
                may.retain(|member| {
                    let m = self.member(*member);
                    !m.not_alone || m.experienced || on.contains(member)
                });
            }
            pairs += may.len();
            checks::pairs(pairs)?;
            candidates.push(may);
        }
        self.candidates = candidates;
        Ok(())
    }

    /// Whether nothing but the other open places could be in the way.
    fn may(&self, kept: &Plan, member: MemberIndex, turn: TurnIndex) -> bool {
        let m = self.member(member);
        let t = self.turn(turn);
        m.weekdays[weekday(t.day)]
            && m.bins.contains(&t.bin)
            && broken(self, kept, member, turn)
                .iter()
                .all(|rule| matches!(rule, Broken::NotAlone { .. }))
    }

    /// The members, by position.
    #[must_use]
    pub fn members(&self) -> &[MemberInput] {
        &self.members
    }

    /// The turns, by position.
    #[must_use]
    pub fn turns(&self) -> &[TurnInput] {
        &self.turns
    }

    /// A member.
    ///
    /// # Panics
    ///
    /// When the position is not one of this snapshot's.
    #[must_use]
    pub fn member(&self, member: MemberIndex) -> &MemberInput {
        &self.members[member.0]
    }

    /// A turn.
    ///
    /// # Panics
    ///
    /// When the position is not one of this snapshot's.
    #[must_use]
    pub fn turn(&self, turn: TurnIndex) -> &TurnInput {
        &self.turns[turn.0]
    }

    /// Whether two members are never on one turn.
    #[must_use]
    pub fn apart(&self, one: MemberIndex, other: MemberIndex) -> bool {
        self.apart_from(one).binary_search(&other).is_ok()
    }

    /// Who is kept apart from a member, in order.
    #[must_use]
    pub fn apart_from(&self, member: MemberIndex) -> &[MemberIndex] {
        self.apart.get(member.0).map_or(&[], Vec::as_slice)
    }

    /// The places that stay as they are: those asked for, and those of closed days.
    #[must_use]
    pub const fn kept(&self) -> &BTreeSet<Place> {
        &self.kept
    }

    /// Whether a place stays as it is.
    #[must_use]
    pub fn is_kept(&self, place: Place) -> bool {
        self.kept.contains(&place)
    }

    /// The rota in force, when this is a re-planning.
    #[must_use]
    pub const fn in_force(&self) -> Option<&InForce> {
        self.in_force.as_ref()
    }

    /// The first day that may change; none when every day may.
    #[must_use]
    pub fn first_open_day(&self) -> Option<Day> {
        self.in_force.as_ref().map(|rota| rota.first_open_day)
    }

    /// Who may be on a turn as far as rules and kept places alone can tell, in order.
    #[must_use]
    pub fn candidates(&self, turn: TurnIndex) -> &[MemberIndex] {
        self.candidates.get(turn.0).map_or(&[], Vec::as_slice)
    }

    /// How fairness is reckoned.
    #[must_use]
    pub const fn fairness(&self) -> &Fairness {
        &self.fairness
    }

    /// The wish of a member for the day of a turn: 1, 0 or -1.
    #[must_use]
    pub fn wish(&self, member: MemberIndex, turn: TurnIndex) -> i64 {
        i64::from(self.member(member).wishes[weekday(self.turn(turn).day)])
    }
}

impl TurnInput {
    /// How many people the turn takes.
    #[must_use]
    pub fn place_count(&self) -> usize {
        usize::try_from(self.places).unwrap_or(usize::MAX)
    }
}
