//! Branch and bound: one aim after the other, each proven before the next is begun.

use super::board::{Board, Change};
use super::diary::Clash;
use super::linear::bound;
use super::linear::dual::End;
use super::linear::relaxation::Relaxation;
use super::problem::Problem;
use super::score::{Aim, Score, aims};
use super::steps::{round_up, step};
use std::sync::Arc;

/// How near to a whole number counts as whole.
const WHOLE: f64 = 1e-5;
/// Simplex steps between two looks at the bound.
const SLICE: u64 = 100;

/// A part of the plans still to be looked at.
#[derive(Debug, Clone)]
struct Node {
    /// Narrowed columns.
    boxes: Vec<(usize, i64, i64)>,
    /// No plan in here has less of the aim.
    bound: i64,
}

/// What a stretch of work came to.
#[derive(Debug, Clone)]
pub(super) enum Event {
    /// More to do.
    Working,
    /// A plan better than the best known.
    Found(Box<Board>),
    /// Every aim is proven, or no further one can be.
    Over,
}

/// The search under way.
#[derive(Debug, Clone)]
pub(super) struct Exact {
    problem: Arc<Problem>,
    relaxation: Relaxation,
    /// The aims that are proven so far.
    pub(super) proven: Vec<(Aim, i64)>,
    /// The bound of the aim under work over all plans, once there is one.
    root: Option<i64>,
    open: Vec<Node>,
    current: Option<Node>,
    /// Simplex steps done, each as many as the program's rows ask for.
    pub(super) spent: u64,
    begun: bool,
    over: bool,
}

/// Less is better for every aim in here.
fn inward(aim: Aim, value: i64) -> i64 {
    if aim == Aim::Wishes { -value } else { value }
}

impl Exact {
    pub(super) fn new(problem: &Arc<Problem>) -> Self {
        Self {
            problem: Arc::clone(problem),
            relaxation: Relaxation::new(problem),
            proven: Vec::new(),
            root: None,
            open: Vec::new(),
            current: None,
            spent: 0,
            begun: false,
            over: false,
        }
    }

    /// Whether every aim is proven or no further one can be.
    pub(super) fn is_over(&self) -> bool {
        self.over || self.aim().is_none()
    }

    /// The aim under work.
    pub(super) fn aim(&self) -> Option<Aim> {
        aims(&self.problem.snapshot).get(self.proven.len()).copied()
    }

    /// The bound of the aim under work, in the aim's own sense, once there is one. It holds
    /// for plans that reach the proven values of the aims before it.
    pub(super) fn bound(&self, best: &Score) -> Option<i64> {
        let aim = self.aim()?;
        let value = inward(aim, best.value(aim));
        let open = (self.open.iter().chain(&self.current)).map(|node| node.bound);
        let least = open.min().unwrap_or(value).max(self.root?);
        Some(inward(aim, self.rounded(aim, least, best)))
    }

    fn rounded(&self, aim: Aim, bound: i64, best: &Score) -> i64 {
        let step = step(&self.problem, aim, best.empty_places);
        round_up(bound, inward(aim, best.value(aim)), step)
    }

    /// Takes an aim as proven from elsewhere, if it is the one under work.
    pub(super) fn take_as_proven(&mut self, aim: Aim, value: i64) {
        if self.aim() == Some(aim) {
            self.conclude(aim, inward(aim, value));
        }
    }

    /// A member's effort stays within these numbers in every plan that still counts.
    pub(super) fn narrow_load(&mut self, member: usize, low: i64, high: i64) {
        let mut from: i64 = self.relaxation.kept_effort(member);
        for segment in self.relaxation.segments[member].clone() {
            let to = from + segment.width;
            if to <= low {
                self.relaxation
                    .fix(segment.column, segment.width, segment.width);
            } else if from >= high {
                self.relaxation.fix(segment.column, 0, 0);
            }
            from = to;
        }
    }

    fn conclude(&mut self, aim: Aim, value: i64) {
        self.clear_boxes();
        self.relaxation.hold(aim, value);
        self.proven.push((aim, inward(aim, value)));
        self.open.clear();
        self.root = None;
        self.begun = false;
    }

    fn begin(&mut self, aim: Aim) {
        self.relaxation.aim_at(aim);
        let least: i64 = (self.relaxation.costs().iter().zip(self.relaxation.boxes()))
            .map(|(cost, (low, high))| (cost * low).min(cost * high))
            .sum();
        let bound = least + self.relaxation.aim_start(aim);
        self.root = Some(bound);
        self.open.push(Node {
            boxes: Vec::new(),
            bound,
        });
        self.begun = true;
    }

    /// Works for about this many steps.
    pub(super) fn run(&mut self, steps: u64, best: &Score) -> Event {
        let end = self.spent + steps;
        while self.spent < end {
            let Some(aim) = self.aim().filter(|_| !self.over) else {
                return Event::Over;
            };
            self.spent += 1;
            if !self.begun {
                self.begin(aim);
            }
            let value = inward(aim, best.value(aim));
            if self.current.is_none() {
                let Some(node) = self.open.pop() else {
                    self.conclude(aim, value);
                    continue;
                };
                if self.rounded(aim, node.bound, best) >= value {
                    continue;
                }
                for (column, low, high) in &node.boxes {
                    self.relaxation.narrow(*column, *low, *high);
                }
                self.current = Some(node);
            }
            match self.work(aim, best) {
                Event::Working => {}
                other => return other,
            }
        }
        Event::Working
    }

    fn clear_boxes(&mut self) {
        if let Some(node) = self.current.take() {
            for (column, ..) in node.boxes {
                self.relaxation.widen(column);
            }
        }
    }

    /// A slice of work on the current node.
    fn work(&mut self, aim: Aim, best: &Score) -> Event {
        let before = self.relaxation.dual.steps;
        let end = self.relaxation.dual.run(SLICE);
        let rows = u64::try_from(self.relaxation.dual.row_count()).unwrap_or(u64::MAX);
        self.spent += (self.relaxation.dual.steps - before) * (1 + rows / 200);
        match end {
            End::Infeasible => {
                self.clear_boxes();
                return Event::Working;
            }
            End::Lost => {
                self.over = true;
                return Event::Over;
            }
            End::Optimal | End::Unfinished => {}
        }
        let bound = self.node_bound(aim);
        let value = inward(aim, best.value(aim));
        let at_root = self
            .current
            .as_ref()
            .is_some_and(|node| node.boxes.is_empty());
        if let Some(node) = &mut self.current {
            node.bound = node.bound.max(bound);
        }
        if at_root {
            self.root = self.root.max(Some(bound));
        }
        if self.rounded(aim, bound, best) >= value {
            if at_root {
                self.fix_by_cost(aim, value);
            }
            self.clear_boxes();
            return Event::Working;
        }
        if end == End::Unfinished || self.relaxation.separate() > 0 {
            return Event::Working;
        }
        if at_root {
            self.fix_by_cost(aim, value);
        }
        match self.branching(aim) {
            Some((column, low, high)) => {
                self.branch(column, low, high);
                Event::Working
            }
            None => self.whole(best),
        }
    }

    fn node_bound(&mut self, aim: Aim) -> i64 {
        let mut boxes = self.relaxation.boxes();
        if let Some(node) = &self.current {
            for (column, low, high) in &node.boxes {
                boxes[*column] = (*low, *high);
            }
        }
        bound::within(&mut self.relaxation, &boxes) + self.relaxation.aim_start(aim)
    }

    /// Columns whose move would cost more than there is to gain stay where they are.
    fn fix_by_cost(&mut self, aim: Aim, value: i64) {
        let gain = self.relaxation.gain(aim, value);
        for column in 0..self.relaxation.boxes().len() {
            let (low, high) = self.relaxation.boxes()[column];
            if low == high {
                continue;
            }
            let reduced = self.relaxation.true_reduced(column);
            if reduced > gain {
                self.relaxation.fix(column, low, low);
            } else if -reduced > gain {
                self.relaxation.fix(column, high, high);
            }
        }
    }

    /// The column to divide at and the two boxes' inner ends; none when all is whole.
    fn branching(&self, aim: Aim) -> Option<(usize, i64, i64)> {
        let relaxation = &self.relaxation;
        // Before fairness counts, loads fill in any order and a part of one is no doubt.
        let counts = matches!(aim, Aim::Fairness | Aim::Wishes);
        let loads = || {
            let mut best: Option<(f64, (usize, i64, i64))> = None;
            for segment in relaxation.segments.iter().flatten() {
                let part = relaxation.dual.value(segment.column) / segment.real_width();
                let off = part.min(1.0 - part);
                if off > WHOLE && best.is_none_or(|(most, _)| off > most) {
                    best = Some((off, (segment.column, 0, segment.width)));
                }
            }
            best
        };
        // What weighs more comes first: how much each member has, how much is left empty,
        // of which kind, and only then single places.
        let found = counts
            .then(|| loads().or_else(|| self.least_whole(relaxation.empty_count_columns())))
            .flatten();
        let found = found.or_else(|| {
            let kinds = aim == Aim::Wishes;
            kinds
                .then(|| self.least_whole(relaxation.count_columns()))
                .flatten()
        });
        let found = found.or_else(|| self.least_whole(relaxation.whole_columns()));
        found.map(|(_, column)| column)
    }

    /// Of some columns the one that is furthest from a whole number.
    fn least_whole(
        &self,
        columns: impl Iterator<Item = usize>,
    ) -> Option<(f64, (usize, i64, i64))> {
        let mut best: Option<(f64, (usize, i64, i64))> = None;
        for column in columns {
            let value = self.relaxation.dual.value(column);
            let off = value - value.floor();
            let off = off.min(1.0 - off);
            if off > WHOLE && best.is_none_or(|(most, _)| off > most) {
                let below = self.relaxation.floor(column);
                best = Some((off, (column, below, below + 1)));
            }
        }
        best
    }

    /// Divides the current node; the half nearer to the present values is looked at first.
    fn branch(&mut self, column: usize, low: i64, high: i64) {
        let Some(node) = self.current.take() else {
            return;
        };
        for (other, ..) in &node.boxes {
            self.relaxation.widen(*other);
        }
        let (least, most) = (node.boxes.iter().rev())
            .find(|(other, ..)| *other == column)
            .map_or(self.relaxation.boxes()[column], |(_, l, h)| (*l, *h));
        let half = |from: i64, to: i64| {
            let mut boxes = node.boxes.clone();
            boxes.retain(|(other, ..)| *other != column);
            // Loads are filled in order: a full part fills those before it, an empty part
            // empties those after it.
            for (other, wide) in self.relaxation.follows(column, from, to) {
                boxes.retain(|(known, ..)| *known != other);
                boxes.push((other, wide, wide));
            }
            boxes.push((column, from, to));
            Node {
                boxes,
                bound: node.bound,
            }
        };
        let (below, above) = (half(least, low), half(high, most));
        let up_first = self.relaxation.is_nearer(column, low, high);
        if up_first {
            self.open.extend([below, above]);
        } else {
            self.open.extend([above, below]);
        }
    }

    /// Values that are all whole are a plan.
    fn whole(&mut self, best: &Score) -> Event {
        let board = self.board();
        self.clear_boxes();
        match board {
            Some(board) if board.score.better(best).is_lt() => Event::Found(Box::new(board)),
            // Whole places that are no better plan: rounding went astray. No proof then.
            _ => {
                self.over = true;
                Event::Over
            }
        }
    }

    fn board(&self) -> Option<Board> {
        let problem = &self.problem;
        let mut board = Board::new(problem);
        let places = (self.relaxation.places.iter().enumerate())
            .filter(|(column, _)| self.relaxation.dual.value(*column) > 0.5)
            .map(|(_, place)| *place)
            .filter(|(member, turn)| !problem.kept.has(*member, *turn));
        let (first, then): (Vec<_>, Vec<_>) =
            places.partition(|(member, _)| problem.members[*member].experienced);
        for (member, turn) in first.into_iter().chain(then) {
            let change = Change {
                turn,
                goes: None,
                comes: Some(member),
            };
            let free = board.clash(member, problem.turns[turn].day, None) == Clash::Free;
            if !free || !board.turn_allows(&change) {
                return None;
            }
            board.put(member, turn);
        }
        Some(board)
    }
}
