//! Local search: chains of changes, accepted by simulated annealing.

use super::best::Best;
use super::board::{Board, Change};
use super::problem::Problem;
use super::random::{Random, Waits};
use super::score::Score;
use std::sync::Arc;

/// What one step of each aim costs, in the unit of the temperature.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prices {
    pub(super) empty: f64,
    pub(super) change: f64,
    pub(super) fairness: f64,
    pub(super) wish: f64,
}

/// How hot it begins, how cold it ends, and after how many chains.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cooling {
    pub(super) hot: f64,
    pub(super) cold: f64,
    pub(super) chains: u64,
}

/// Chains between two looks at the temperature.
const SAME: u64 = 256;

/// A search under way.
#[derive(Debug, Clone)]
pub(super) struct Anneal {
    pub(super) problem: Arc<Problem>,
    pub(super) board: Board,
    best: Best,
    pub(super) random: Random,
    waits: Waits,
    pub(super) prices: Prices,
    cooling: Cooling,
    done: u64,
    temperature: f64,
    /// Turns with an empty place that somebody could take, found now and then.
    pub(super) holes: Vec<usize>,
    looked_for_holes: u64,
    /// Turns that may change at all.
    pub(super) open: Vec<usize>,
}

impl Anneal {
    pub(super) fn new(problem: &Arc<Problem>, board: Board, seed: u64) -> Self {
        let open = (problem.turns.iter().enumerate())
            .filter(|(at, turn)| {
                turn.candidates
                    .iter()
                    .any(|member| !problem.kept.has(*member, *at))
            })
            .map(|(at, _)| at)
            .collect();
        Self {
            problem: Arc::clone(problem),
            best: Best::new(&board),
            board,
            random: Random::new(seed),
            waits: Waits::new(),
            prices: Prices {
                empty: 1.0,
                change: 0.0,
                fairness: 0.0,
                wish: 0.0,
            },
            cooling: Cooling {
                hot: 1.0,
                cold: 1.0,
                chains: 0,
            },
            done: 0,
            temperature: 1.0,
            holes: Vec::new(),
            looked_for_holes: 0,
            open,
        }
    }

    /// Begins a cooling from the best plan so far.
    pub(super) fn begin(&mut self, prices: Prices, cooling: Cooling) {
        self.board = self.best.board().clone();
        self.best.begin_list();
        self.prices = prices;
        self.cooling = cooling;
        self.done = 0;
        self.looked_for_holes = 0;
    }

    /// From now on the cooling ends after this many chains, counted from its beginning.
    pub(super) const fn end_after(&mut self, chains: u64) {
        self.cooling.chains = chains;
    }

    /// How many chains of the cooling are done.
    pub(super) const fn done(&self) -> u64 {
        self.done
    }

    /// Takes over a plan found elsewhere, if it is better.
    pub(super) fn offer(&mut self, board: &Board) {
        if board.score.better(&self.best.score).is_lt() {
            self.best.replace(board);
            self.board = board.clone();
        }
    }

    /// The best plan so far.
    pub(super) fn best_board(&mut self) -> &Board {
        self.best.board()
    }

    /// What the best plan so far reaches.
    pub(super) const fn score(&self) -> Score {
        self.best.score
    }

    /// Tries this many chains; true when the cooling is over.
    pub(super) fn run(&mut self, chains: u64) -> bool {
        if self.open.is_empty() {
            return true;
        }
        let end = (self.done + chains).min(self.cooling.chains);
        while self.done < end {
            self.look_around();
            for _ in 0..SAME.min(end - self.done) {
                let bar = self.temperature * self.waits.pick(&mut self.random);
                self.try_chain(bar);
                self.done += 1;
            }
        }
        self.done >= self.cooling.chains
    }

    #[allow(
        clippy::cast_precision_loss,
        reason = "counts of chains stay far below 2^53"
    )]
    fn look_around(&mut self) {
        let share = self.done as f64 / self.cooling.chains as f64;
        let ratio = self.cooling.cold / self.cooling.hot;
        self.temperature = self.cooling.hot * libm::pow(ratio, share);
        // Looking through all turns is worth as many chains.
        if self.done >= self.looked_for_holes {
            self.looked_for_holes = self.done + SAME.max(self.open.len() as u64);
            self.find_holes();
        }
    }

    fn find_holes(&mut self) {
        let turns = &self.problem.turns;
        self.holes.clear();
        if self.board.score.empty_places > 0 {
            let on = &self.board.on;
            let hole = |turn: &&usize| on[**turn].len() < turns[**turn].places;
            self.holes.extend(self.open.iter().filter(hole));
        }
    }

    /// Makes the changes.
    pub(super) fn make(&mut self, chain: &[Change]) {
        self.board.apply(chain);
        self.best.hear(chain, &self.board);
    }
}
