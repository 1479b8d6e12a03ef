//! The fairest loads that any plan without an empty place could have, rest and company left
//! out: a flow of effort from turns to members.
//!
//! It begins with a plan and moves effort along chains of turns from those who pay most for
//! it to those who pay least, until nobody can be relieved. A member's part of fairness is
//! taken along the straight lines between the effort they can really reach.

use super::board::Board;
use super::problem::Problem;
use std::collections::VecDeque;
use std::sync::Arc;

/// A member's reachable effort with its cost along straight lines.
#[derive(Debug, Clone)]
struct Curve {
    points: Vec<i64>,
    costs: Vec<i64>,
}

impl Curve {
    /// The cost of one unit more; none at the end of what can be reached.
    fn up(&self, load: i64) -> Option<i64> {
        let at = self.points.partition_point(|point| *point <= load);
        self.slope(at.checked_sub(1)?)
    }

    /// What one unit less saves; none at the beginning of what can be reached.
    fn down(&self, load: i64) -> Option<i64> {
        let at = self.points.partition_point(|point| *point < load);
        self.slope(at.checked_sub(1)?)
    }

    /// The part of fairness is a square: between whole numbers its slope is whole.
    fn slope(&self, at: usize) -> Option<i64> {
        let wide = self.points.get(at + 1)? - self.points[at];
        Some((self.costs[at + 1] - self.costs[at]) / wide)
    }

    fn cost(&self, load: i64) -> i64 {
        let at = self.points.partition_point(|point| *point <= load);
        let at = at.saturating_sub(1);
        self.costs[at] + self.slope(at).unwrap_or(0) * (load - self.points[at])
    }
}

/// Whom effort can be moved to.
struct Reached {
    /// For each member the way there: from whom, and on which turn.
    came: Vec<Option<(usize, usize)>>,
    order: Vec<usize>,
    /// Pairs of member and turn looked at.
    looked: u64,
}

/// The balancing under way.
#[derive(Debug, Clone)]
pub(super) struct Balance {
    problem: Arc<Problem>,
    curves: Vec<Curve>,
    /// For each turn the effort that each candidate carries.
    carried: Vec<Vec<i64>>,
    /// For each member their turns, with their place among the candidates.
    of: Vec<Vec<(usize, usize)>>,
    loads: Vec<i64>,
    /// Members that nobody can relieve any more.
    settled: Vec<bool>,
    /// For each settled member what one unit cost the dearest of those settled together.
    pub(super) level: Vec<i64>,
    done: bool,
    /// How many pairs of member and turn were looked at so far.
    pub(super) looked: u64,
}

impl Balance {
    /// Begins with a plan that has no empty place.
    pub(super) fn new(problem: &Arc<Problem>, board: &Board) -> Self {
        let members = problem.members.len();
        let mut of = vec![Vec::new(); members];
        let mut carried = Vec::with_capacity(problem.turns.len());
        for (at, turn) in problem.turns.iter().enumerate() {
            let mut here = vec![0; turn.candidates.len()];
            for (place, member) in turn.candidates.iter().enumerate() {
                of[*member].push((at, place));
                if board.on[at].contains(member) {
                    here[place] = turn.effort;
                }
            }
            carried.push(here);
        }
        let curves = (0..members)
            .map(|member| {
                let points = problem.efforts[member].clone();
                let costs = points.iter().map(|p| problem.part(member, *p)).collect();
                Curve { points, costs }
            })
            .collect();
        Self {
            problem: Arc::clone(problem),
            curves,
            carried,
            of,
            loads: board.given.clone(),
            settled: vec![false; members],
            level: vec![i64::MIN; members],
            done: false,
            looked: 0,
        }
    }

    /// One search for somebody to relieve; true when there is nobody left.
    pub(super) fn step(&mut self) -> bool {
        if self.done {
            return true;
        }
        let dearest = (0..self.loads.len())
            .filter(|member| !self.settled[*member])
            .max_by_key(|member| self.curves[*member].down(self.loads[*member]));
        let Some(from) = dearest else {
            self.done = true;
            return true;
        };
        let pays = self.curves[from].down(self.loads[from]);
        let Reached {
            came,
            order,
            looked,
        } = self.reach_from(from);
        self.looked += looked;
        let cheapest = (order.iter().copied())
            .filter_map(|member| Some((self.curves[member].up(self.loads[member])?, member)))
            .min();
        match (pays, cheapest) {
            (Some(pays), Some((price, to))) if price < pays => self.shift(from, to, &came),
            _ => {
                for member in order {
                    self.settled[member] = true;
                    self.level[member] = pays.unwrap_or(i64::MIN);
                }
            }
        }
        false
    }

    /// Everybody whom effort can be moved to, directly or through others.
    fn reach_from(&self, from: usize) -> Reached {
        let mut looked = self.loads.len();
        let mut came = vec![None; self.loads.len()];
        let mut seen = vec![false; self.loads.len()];
        let mut turn_seen = vec![false; self.carried.len()];
        let mut queue = VecDeque::from([from]);
        let mut order = vec![from];
        seen[from] = true;
        while let Some(member) = queue.pop_front() {
            looked += self.of[member].len();
            for (turn, place) in &self.of[member] {
                let movable =
                    self.carried[*turn][*place] > 0 && !self.problem.kept.has(member, *turn);
                if turn_seen[*turn] || !movable {
                    continue;
                }
                turn_seen[*turn] = true;
                let t = &self.problem.turns[*turn];
                looked += t.candidates.len();
                for (other, carries) in t.candidates.iter().zip(&self.carried[*turn]) {
                    if *carries < t.effort && !seen[*other] && !self.settled[*other] {
                        seen[*other] = true;
                        came[*other] = Some((member, *turn));
                        order.push(*other);
                        queue.push_back(*other);
                    }
                }
            }
        }
        Reached {
            came,
            order,
            looked: looked as u64,
        }
    }

    fn shift(&mut self, from: usize, to: usize, came: &[Option<(usize, usize)>]) {
        let mut at = to;
        while let Some((before, turn)) = came[at] {
            let candidates = &self.problem.turns[turn].candidates;
            for (who, change) in [(before, -1), (at, 1)] {
                if let Ok(place) = candidates.binary_search(&who) {
                    self.carried[turn][place] += change;
                }
            }
            at = before;
        }
        self.loads[from] -= 1;
        self.loads[to] += 1;
    }

    /// No plan without an empty place is fairer than this. Holds once [`Self::step`] has
    /// said that it is done.
    pub(super) fn bound(&self) -> i64 {
        let parts = (self.curves.iter().zip(&self.loads)).map(|(curve, load)| curve.cost(*load));
        self.problem.snapshot.fairness().start() + parts.sum::<i64>()
    }

    /// The least and most effort that a member has in any plan as fair as the bound.
    pub(super) fn span(&self, member: usize) -> (i64, i64) {
        let curve = &self.curves[member];
        let (mut low, mut high) = (curve.points[0], curve.points[0]);
        for (at, to) in curve.points.iter().enumerate().skip(1) {
            match curve.slope(at - 1) {
                Some(slope) if slope < self.level[member] => (low, high) = (*to, *to),
                Some(slope) if slope == self.level[member] => high = *to,
                _ => break,
            }
        }
        (low, high)
    }
}
