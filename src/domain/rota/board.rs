//! A plan that can be changed fast: every change keeps the hard rules and the score.

use super::index::{Day, MemberIndex, TurnIndex};
use super::plan::Plan;
use super::problem::Problem;
use super::score::Score;
use std::sync::Arc;

/// What stands in the way of a member taking a turn, as far as their own diary goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Clash {
    /// Nothing.
    Free,
    /// Giving up this turn would clear the way.
    One(usize),
    /// More than giving up one turn.
    Blocked,
}

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
    /// Each member's days with the turn, in order; earlier turns have no turn.
    diaries: Vec<Vec<(Day, Option<usize>)>>,
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
            diaries: (problem.members.iter())
                .map(|member| member.past.iter().map(|day| (*day, None)).collect())
                .collect(),
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
        let diary = &mut self.diaries[member];
        let at = diary.partition_point(|(day, _)| *day < t.day);
        diary.insert(at, (t.day, Some(turn)));
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
        self.diaries[member].retain(|(_, other)| *other != Some(turn));
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

    /// How the chain changes the score, without doing it.
    pub(super) fn difference(&self, chain: &[Change]) -> Score {
        let mut score = Score::default();
        let mut loads = [(usize::MAX, 0_i64); 2 * LONGEST];
        let mut used = 0;
        for change in chain {
            let effort = self.problem.turns[change.turn].effort;
            for (who, sign) in [(change.goes, -1), (change.comes, 1)] {
                let Some(member) = who else {
                    continue;
                };
                score.empty_places -= sign;
                score.wishes += sign * self.problem.wish(member, change.turn);
                score.changes += sign * self.problem.change(member, change.turn);
                let slot = loads[..used].iter().position(|(other, _)| *other == member);
                let slot = slot.unwrap_or(used);
                used = used.max(slot + 1);
                loads[slot].0 = member;
                loads[slot].1 += sign * effort;
            }
        }
        for (member, change) in &loads[..used] {
            let before = self.given[*member];
            score.fairness +=
                self.problem.part(*member, before + change) - self.problem.part(*member, before);
        }
        score
    }

    pub(super) fn apply(&mut self, chain: &[Change]) {
        for change in chain {
            if let Some(member) = change.goes {
                self.take(member, change.turn);
            }
        }
        for change in chain {
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
        let m = &self.problem.members[member];
        let diary = &self.diaries[member];
        let at = diary.partition_point(|(other, _)| *other < day);
        let mut found = Clash::Free;
        let mut meets = |entry: &(Day, Option<usize>)| {
            found = match (found, entry.1) {
                (Clash::Free, Some(turn)) if !self.problem.kept.has(member, turn) => {
                    Clash::One(turn)
                }
                _ => Clash::Blocked,
            };
        };
        let left_out = |entry: &&(Day, Option<usize>)| without.is_none() || entry.1 != without;
        for entry in diary[..at]
            .iter()
            .rev()
            .take_while(|e| day - e.0 <= m.rest)
            .filter(left_out)
        {
            meets(entry);
        }
        for entry in diary[at..]
            .iter()
            .take_while(|e| e.0 - day <= m.rest)
            .filter(left_out)
        {
            meets(entry);
        }
        if found == Clash::Free && m.most < 28 && self.too_many(member, day, without) {
            // Which of several turns to give up is for the caller to try.
            return Clash::Blocked;
        }
        if let Clash::One(turn) = found
            && m.most < 28
            && (without.is_some() || self.too_many(member, day, Some(turn)))
        {
            return Clash::Blocked;
        }
        found
    }

    fn too_many(&self, member: usize, day: Day, without: Option<usize>) -> bool {
        let m = &self.problem.members[member];
        let near = self.diaries[member].iter().filter(|(other, turn)| {
            (day - other).abs() < 28 && (without.is_none() || *turn != without)
        });
        // Days before and after within reach; a window that is too full holds the new day.
        let mut days = [0; 64];
        let mut count = 0;
        for (other, _) in near {
            if count < days.len() {
                days[count] = *other;
                count += 1;
            }
        }
        if count < m.most {
            return false;
        }
        if m.most == 0 {
            return true;
        }
        let days = &days[..count];
        let before = days.partition_point(|other| *other < day);
        // With the new day at `before`, every run of most + 1 days that holds it.
        (0..=m.most).any(|left| {
            let right = m.most - left;
            if left > before || before + right > count {
                return false;
            }
            let first = if left == 0 { day } else { days[before - left] };
            let last = if right == 0 {
                day
            } else {
                days[before + right - 1]
            };
            last - first < 28
        })
    }

    /// The member's turns within 28 days of a day that may be given up.
    pub(super) fn near(&self, member: usize, day: Day) -> impl Iterator<Item = usize> + '_ {
        self.diaries[member]
            .iter()
            .filter(move |(other, _)| (day - other).abs() < 28)
            .filter_map(|(_, turn)| *turn)
            .filter(move |turn| !self.problem.kept.has(member, *turn))
    }

    /// The member's turns that may be given up, counted from `at` in the diary; none when
    /// that entry may not.
    pub(super) fn turn_at(&self, member: usize, at: usize) -> Option<usize> {
        let turn = self.diaries[member].get(at)?.1?;
        (!self.problem.kept.has(member, turn)).then_some(turn)
    }

    pub(super) fn diary_len(&self, member: usize) -> usize {
        self.diaries[member].len()
    }
}

/// The longest chain of changes.
pub(super) const LONGEST: usize = 4;
