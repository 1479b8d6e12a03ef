//! Drafting and re-planning: a snapshot and a seed in, a plan with its proofs out.
//!
//! Three engines share the work. A local search takes a plan that was filled place by place and
//! finds better ones, a balancing of loads bounds fairness fast, counting bounds changes, and
//! branch and bound over a linear program proves aim by aim. Nothing looks at a clock: work is
//! counted in steps, and the same steps give the same plan, however they are sliced.

use super::anneal::Anneal;
use super::balance::Balance;
use super::begin;
use super::exact::{Event, Exact};
use super::fill::Fill;
use super::least_changes::LeastChanges;
use super::plan::Plan;
use super::problem::Problem;
use super::refusal::Refusal;
use super::schedule::Schedule;
use super::score::{Aim, Score, aims};
use super::snapshot::Snapshot;
use super::steps::{round_up, step};
use std::sync::Arc;

/// Chains of the search that count as one step, while a problem lies near the processor, and
/// beyond so many pairs of member and turn, when it has to be fetched.
const CHAINS: u64 = 128;
const FAR: usize = 50_000;
const FAR_CHAINS: u64 = 64;
const FARTHER: usize = 400_000;
const FARTHER_CHAINS: u64 = 24;
/// Pairs of member and turn that balancing looks at in one step.
const LOOKS_PER_STEP: u64 = 1_000;
/// Above so many pairs of member and turn the linear program is used only once fairness is
/// proven, and above the second number not at all: it would take too long and too much memory.
const PROVABLE: usize = 20_000;
const TOO_LARGE: usize = 100_000;
/// Up to so many pairs most of the work goes into proofs.
const SMALL: usize = 2_000;
/// The first rounds do not keep the proofs waiting for longer than this.
const MOST_FIRST: u64 = 200_000;
/// Steps that one slice of an engine takes.
const SLICE: u64 = 200;

/// Candidates that are looked at for a first plan in one slice.
const LOOKS: usize = 50_000;

/// What is known about one aim.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Which aim.
    pub aim: Aim,
    /// What the best plan so far reaches.
    pub value: i64,
    /// No plan can be better than this, among those that reach the values of the aims before
    /// it. Where an aim before it is not proven, it holds for every plan that is as good as
    /// this one in those aims or better.
    pub bound: i64,
    /// Whether value and bound are the same, here and for every aim before.
    pub proven: bool,
}

/// How far a planner has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress {
    /// There is more to try or to prove.
    Working,
    /// Every aim is proven: more steps change nothing.
    Proven,
}

/// A planner at work. It can be left and gone on with at any time.
#[derive(Debug, Clone)]
pub struct Planner {
    problem: Arc<Problem>,
    fill: Option<Fill>,
    search: Anneal,
    schedule: Schedule,
    /// Whether a round of the search is under way, and for which aim.
    searching: bool,
    serves: Option<Aim>,
    /// How many chains of what is planned the round under way leaves, if it takes the rest.
    leaves: Option<u64>,
    /// How many steps there will be in all, if that is known.
    planned: Option<u64>,
    balance: Option<Balance>,
    /// The bound of fairness from balancing, for plans without an empty place.
    balanced: Option<i64>,
    exact: Option<Exact>,
    pairs: usize,
    filled: u64,
    searched: u64,
    proved: u64,
    spent: u64,
    allowed: u64,
    wishes_at_most: i64,
    least_changes: LeastChanges,
}

impl Planner {
    /// Begins to plan. The seed decides which of several equally good plans is found.
    ///
    /// # Errors
    ///
    /// [`Refusal::NoCompany`] when a kept place needs somebody experienced beside it and
    /// none is found.
    pub fn new(snapshot: Snapshot, seed: u64) -> Result<Self, Refusal> {
        let problem = Arc::new(Problem::new(snapshot));
        let board = begin::board(&problem)?;
        let pairs = problem.turns.iter().map(|turn| turn.candidates.len()).sum();
        Ok(Self {
            fill: Some(Fill::new(&problem, board.clone())),
            search: Anneal::new(&problem, board, seed),
            schedule: Schedule::new(&problem),
            searching: false,
            serves: None,
            leaves: None,
            planned: None,
            balance: None,
            balanced: None,
            exact: None,
            pairs,
            filled: 0,
            searched: 0,
            proved: 0,
            spent: 0,
            allowed: 0,
            wishes_at_most: wishes_at_most(&problem),
            least_changes: LeastChanges::of(&problem),
            problem,
        })
    }

    /// Works for this many steps, about a hundredth of a millisecond each, or less when
    /// everything is proven before.
    pub fn run(&mut self, steps: u64) -> Progress {
        self.allowed = self.allowed.saturating_add(steps);
        while self.spent < self.allowed {
            if self.is_proven() {
                return Progress::Proven;
            }
            let before = self.filled + self.searched + self.proved;
            self.slice();
            self.spent += (self.filled + self.searched + self.proved - before).max(1);
        }
        if self.is_proven() {
            Progress::Proven
        } else {
            Progress::Working
        }
    }

    /// Tells how many steps there will be in all, those done included. The search then takes
    /// its time as it has it, and keeps some for the wishes. It may be told anew at any time;
    /// the same plan comes of the same steps only when the same is told after the same steps.
    pub const fn planned(&mut self, total: u64) {
        self.planned = Some(total);
    }

    /// Works with hardly any search until proven or for good: for the tests of the proofs.
    #[cfg(test)]
    pub(super) fn run_shortest(&mut self) -> Progress {
        self.schedule.shorten();
        for _ in 0..2_000 {
            if self.run(100) == Progress::Proven {
                return Progress::Proven;
            }
        }
        Progress::Working
    }

    /// Steps done so far.
    #[must_use]
    pub const fn steps(&self) -> u64 {
        self.spent
    }

    /// The best plan so far.
    pub fn plan(&mut self) -> Plan {
        self.search.best_board().plan()
    }

    /// What the best plan so far reaches.
    #[must_use]
    pub const fn score(&self) -> Score {
        self.search.score()
    }

    /// Whether every aim is proven.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        self.open_aim().is_none()
    }

    /// The first aim that is not proven.
    fn open_aim(&self) -> Option<Aim> {
        let open = self
            .standings()
            .into_iter()
            .find(|standing| !standing.proven);
        open.map(|standing| standing.aim)
    }

    /// Value and bound of each aim, in the order of aims.
    #[must_use]
    pub fn standings(&self) -> Vec<Standing> {
        let best = self.search.score();
        let proven = self.exact.as_ref().map_or(0, |exact| exact.proven.len());
        let mut all_proven = true;
        (aims(&self.problem.snapshot).iter().enumerate())
            .map(|(at, aim)| {
                let value = best.value(*aim);
                let bound = if at < proven {
                    value
                } else {
                    let exact = (self.exact.as_ref())
                        .filter(|exact| at == exact.proven.len())
                        .and_then(|exact| exact.bound(&best));
                    self.tighter(*aim, exact)
                };
                all_proven &= bound == value;
                Standing {
                    aim: *aim,
                    value,
                    bound,
                    proven: all_proven,
                }
            })
            .collect()
    }

    /// The best bound of an aim from all engines.
    fn tighter(&self, aim: Aim, exact: Option<i64>) -> i64 {
        match aim {
            Aim::EmptyPlaces => exact.unwrap_or(0).max(0),
            Aim::Changes => {
                let empty_places = self.search.score().empty_places;
                exact.unwrap_or(0).max(self.least_changes(empty_places))
            }
            Aim::Wishes => exact.map_or(self.wishes_at_most, |b| b.min(self.wishes_at_most)),
            Aim::Fairness => {
                let best = self.search.score();
                let balanced = self
                    .balanced
                    .filter(|_| best.empty_places == 0)
                    .unwrap_or(0);
                let bound = balanced.max(exact.unwrap_or(0));
                round_up(
                    bound,
                    best.fairness,
                    step(&self.problem, aim, best.empty_places),
                )
            }
        }
    }

    /// The bound of changes from counting, for plans with no more empty places.
    fn least_changes(&self, empty_places: i64) -> i64 {
        let in_force = self.problem.in_force.as_ref();
        in_force.map_or(0, |_| self.least_changes.bound(empty_places))
    }

    /// One slice of whichever engine's turn it is.
    fn slice(&mut self) {
        if let Some(fill) = &mut self.fill {
            self.filled += SLICE;
            if fill.run(LOOKS) {
                self.search.offer(&fill.board);
                self.fill = None;
            }
            return;
        }
        let first = self.schedule.rounds() < Schedule::FIRST
            || (self.searching && self.schedule.rounds() == Schedule::FIRST);
        if first && self.searched < MOST_FIRST {
            self.search();
        } else if self.wants_balance() && self.proved <= self.searched {
            self.balance();
        } else if self.provable() && self.proves_next() {
            self.prove();
        } else {
            self.search();
        }
    }

    fn search(&mut self) {
        let open = self.open_aim();
        let left = self.chains_left();
        if !self.searching || (open == Some(Aim::Wishes) && self.serves != open) {
            let Some(round) = self.schedule.next(open, left) else {
                return;
            };
            self.search.begin(round.prices, round.cooling);
            self.serves = Some(round.serves);
            self.leaves = round.leaves;
            self.searching = true;
        }
        if let (Some(left), Some(leaves)) = (left, self.leaves) {
            let end = self.search.done() + left.saturating_sub(leaves);
            self.search.end_after(end.max(1));
        }
        self.searched += SLICE;
        if self.search.run(SLICE * self.chains_per_step()) {
            self.searching = false;
        }
    }

    const fn chains_per_step(&self) -> u64 {
        if self.pairs > FARTHER {
            FARTHER_CHAINS
        } else if self.pairs > FAR {
            FAR_CHAINS
        } else {
            CHAINS
        }
    }

    /// How many chains of the search there will still be, if the steps are planned.
    fn chains_left(&self) -> Option<u64> {
        let left = self.planned?.saturating_sub(self.spent);
        let searched = if self.provable() {
            let (search, prove) = self.shares();
            left / (search + prove) * search
        } else {
            left
        };
        Some(searched.saturating_mul(self.chains_per_step()))
    }

    /// Balancing bounds drafts without an empty place.
    fn wants_balance(&self) -> bool {
        self.balanced.is_none()
            && self.problem.in_force.is_none()
            && self.search.score().empty_places == 0
    }

    fn balance(&mut self) {
        let board = self.search.best_board();
        let balance = (self.balance).get_or_insert_with(|| Balance::new(&self.problem, board));
        let before = balance.looked;
        if balance.step() {
            self.balanced = Some(balance.bound());
        }
        self.proved += 1 + (balance.looked - before) / LOOKS_PER_STEP;
    }

    /// How the work is shared between searching and proving. What is small is found soon and
    /// then only has to be proven. Where much is open and balancing has bounded fairness
    /// already, the linear program seldom bounds it better.
    fn shares(&self) -> (u64, u64) {
        if self.pairs <= SMALL {
            (1, 3)
        } else if self.balanced.is_some() && self.open_aim() == Some(Aim::Fairness) {
            (8, 1)
        } else if self.pairs > PROVABLE {
            (3, 1)
        } else {
            (1, 1)
        }
    }

    fn proves_next(&self) -> bool {
        let (search, prove) = self.shares();
        self.proved.saturating_mul(search) <= self.searched.saturating_mul(prove)
    }

    fn provable(&self) -> bool {
        let over = self.exact.as_ref().is_some_and(Exact::is_over);
        let wishes_only = self.open_aim() == Some(Aim::Wishes);
        !over && (self.pairs <= PROVABLE || (self.pairs <= TOO_LARGE && wishes_only))
    }

    fn prove(&mut self) {
        let best = self.search.score();
        let least = self.least_changes(best.empty_places);
        let exact = (self.exact).get_or_insert_with(|| Exact::new(&self.problem));
        // What balancing has proven need not be proven again.
        if let Some(balance) = self.balance.as_ref().filter(|_| self.balanced.is_some())
            && best.empty_places == 0
            && exact.aim().is_some_and(|aim| aim != Aim::Wishes)
            && self.balanced.is_some_and(|bound| {
                let step = step(&self.problem, Aim::Fairness, 0);
                round_up(bound, best.fairness, step) == best.fairness
            })
        {
            exact.take_as_proven(Aim::EmptyPlaces, 0);
            exact.take_as_proven(Aim::Fairness, best.fairness);
            if balance.bound() == best.fairness {
                for member in 0..self.problem.members.len() {
                    let (low, high) = balance.span(member);
                    exact.narrow_load(member, low, high);
                }
            }
        }
        // Nor what counting has.
        if exact.aim() == Some(Aim::Changes) && least == best.changes {
            exact.take_as_proven(Aim::Changes, best.changes);
        }
        let before = exact.spent;
        let event = exact.run(SLICE, &best);
        self.proved += exact.spent - before;
        if let Event::Found(board) = event {
            self.search.offer(&board);
        }
    }
}

/// No plan meets more wishes: every turn with those who like it best.
fn wishes_at_most(problem: &Problem) -> i64 {
    let best = |at: usize| {
        let turn = &problem.turns[at];
        let mut wishes: Vec<i64> = (turn.candidates.iter())
            .map(|member| problem.wish(*member, at))
            .collect();
        wishes.sort_unstable_by(|one, other| other.cmp(one));
        wishes
            .iter()
            .take(turn.places)
            .map(|wish| wish.max(&0))
            .sum::<i64>()
    };
    (0..problem.turns.len()).map(best).sum()
}
