//! A plan that can be changed fast: every change keeps the hard rules and the score.

use super::diary::{Clash, Diary};
use super::index::{Day, MemberIndex, TurnIndex};
use super::plan::Plan;
use super::problem::{Member, Problem};
use super::score::Score;
use std::sync::Arc;

/// One step of a chain: on a turn, one goes and another comes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Change {
    pub(super) turn: usize,
    pub(super) goes: Option<usize>,
    pub(super) comes: Option<usize>,
}

/// A plan that can be changed fast.
#[derive(Debug, Clone)]
pub(super) struct Board {
    problem: Arc<Problem>,
    /// Who is on each turn, in no order.
    pub(super) on: Vec<Vec<usize>>,
    diaries: Vec<Diary>,
    pub(super) given: Vec<i64>,
    experienced: Vec<usize>,
    not_alone: Vec<usize>,
    pub(super) score: Score,
}

impl Board {
    /// The kept places and nobody else.
    pub(super) fn new(problem: &Arc<Problem>) -> Self {
        let members = problem.members.len();
        let score = Score {
            empty_places: (problem.turns.iter())
                .map(|turn| i64::try_from(turn.places).unwrap_or(i64::MAX))
                .sum(),
            changes: problem.in_force_places,
            fairness: problem.snapshot.fairness().value(&vec![0; members]),
            wishes: 0,
        };
        let mut board = Self {
            problem: Arc::clone(problem),
            on: vec![Vec::new(); problem.turns.len()],
            diaries: problem.members.iter().map(earlier).collect(),
            given: vec![0; members],
            experienced: vec![0; problem.turns.len()],
            not_alone: vec![0; problem.turns.len()],
            score,
        };
        for (member, turn) in problem.snapshot.kept() {
            board.put(member.0, turn.0);
        }
        board
    }

    pub(super) fn plan(&self) -> Plan {
        let places = (self.on.iter().enumerate())
            .flat_map(|(turn, on)| on.iter().map(move |m| (MemberIndex(*m), TurnIndex(turn))));
        Plan::from_places(&self.problem.snapshot, places)
    }

    pub(super) fn put(&mut self, member: usize, turn: usize) {
        let problem = Arc::clone(&self.problem);
        let t = &problem.turns[turn];
        let m = &problem.members[member];
        self.on[turn].push(member);
        let open = (!problem.kept.has(member, turn)).then_some(turn);
        self.diaries[member].insert(t.day, open);
        self.experienced[turn] += usize::from(m.experienced);
        self.not_alone[turn] += usize::from(m.not_alone);
        self.score.empty_places -= 1;
        self.count(member, turn, 1);
    }

    pub(super) fn take(&mut self, member: usize, turn: usize) {
        let problem = Arc::clone(&self.problem);
        let m = &problem.members[member];
        if let Some(at) = self.on[turn].iter().position(|other| *other == member) {
            self.on[turn].swap_remove(at);
        }
        self.diaries[member].remove(problem.turns[turn].day, turn);
        self.experienced[turn] -= usize::from(m.experienced);
        self.not_alone[turn] -= usize::from(m.not_alone);
        self.score.empty_places += 1;
        self.count(member, turn, -1);
    }

    fn count(&mut self, member: usize, turn: usize, sign: i64) {
        let problem = &self.problem;
        let before = self.given[member];
        let after = before + sign * problem.turns[turn].effort;
        self.given[member] = after;
        self.score.fairness += problem.part(member, after) - problem.part(member, before);
        self.score.wishes += sign * problem.wish(member, turn);
        self.score.changes += sign * problem.change(member, turn);
    }

    /// Makes the changes one after the other.
    pub(super) fn apply(&mut self, changes: &[Change]) {
        for change in changes {
            if let Some(member) = change.goes {
                self.take(member, change.turn);
            }
            if let Some(member) = change.comes {
                self.put(member, change.turn);
            }
        }
    }

    /// Whether the turn keeps its own rules when one goes and another comes: places, not
    /// alone, kept apart, and nobody twice.
    pub(super) fn turn_allows(&self, change: &Change) -> bool {
        let problem = &self.problem;
        let on = &self.on[change.turn];
        let mut experienced = self.experienced[change.turn];
        let mut not_alone = self.not_alone[change.turn];
        if let Some(member) = change.goes {
            if problem.kept.has(member, change.turn) {
                return false;
            }
            experienced -= usize::from(problem.members[member].experienced);
            not_alone -= usize::from(problem.members[member].not_alone);
        } else if change.comes.is_some() && on.len() >= problem.turns[change.turn].places {
            return false;
        }
        if let Some(member) = change.comes {
            let m = &problem.members[member];
            experienced += usize::from(m.experienced);
            not_alone += usize::from(m.not_alone);
            let meets = |other: &usize| {
                Some(*other) != change.goes && (*other == member || m.apart.contains(other))
            };
            if on.iter().any(meets) {
                return false;
            }
        }
        not_alone == 0 || experienced > 0
    }

    /// Whether nobody on the turn is alone who is not to be.
    pub(super) fn keeps_company(&self, turn: usize) -> bool {
        self.not_alone[turn] == 0 || self.experienced[turn] > 0
    }

    /// What in the member's diary stands in the way of a day, were they not on `without`.
    pub(super) fn clash(&self, member: usize, day: Day, without: Option<usize>) -> Clash {
        self.diaries[member].clash(self.problem.members[member].pace, day, without)
    }

    pub(super) fn diary(&self, member: usize) -> &Diary {
        &self.diaries[member]
    }
}

/// The days of earlier turns.
fn earlier(member: &Member) -> Diary {
    let mut diary = Diary::default();
    for day in &member.past {
        diary.insert(*day, None);
    }
    diary
}

/// The longest chain of changes.
pub(super) const LONGEST: usize = 4;
