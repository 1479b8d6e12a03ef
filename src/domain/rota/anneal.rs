//! Local search: chains of changes, accepted by simulated annealing.
//!
//! A chain begins at an open place. Somebody comes; if one of their own turns is in the way,
//! or now and then without that, they give it up, somebody else comes there, and so on. It
//! may close where it began. Every chain keeps the hard rules, so every plan does.

use super::board::{Board, Change, Clash, LONGEST};
use super::problem::Problem;
use super::random::Random;
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

/// One chain of so many only takes somebody off.
const REMOVAL: usize = 16;

/// A search under way.
#[derive(Debug, Clone)]
pub(super) struct Anneal {
    problem: Arc<Problem>,
    pub(super) board: Board,
    /// The best plan so far; behind `best` while `ahead`.
    kept: Board,
    pub(super) best: Score,
    ahead: bool,
    random: Random,
    prices: Prices,
    cooling: Cooling,
    done: u64,
    temperature: f64,
    /// Turns with an empty place that somebody could take, found now and then.
    holes: Vec<usize>,
    /// Turns that may change at all.
    open: Vec<usize>,
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
            kept: board.clone(),
            best: board.score,
            ahead: false,
            board,
            random: Random::new(seed),
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
            open,
        }
    }

    /// Begins a cooling from the best plan so far.
    pub(super) fn begin(&mut self, prices: Prices, cooling: Cooling) {
        self.settle();
        self.board = self.kept.clone();
        self.prices = prices;
        self.cooling = cooling;
        self.done = 0;
        self.temperature = cooling.hot;
    }

    /// Takes over a plan found elsewhere, if it is better.
    pub(super) fn offer(&mut self, board: &Board) {
        self.settle();
        if board.score.better(&self.best).is_lt() {
            self.best = board.score;
            self.kept = board.clone();
            self.board = board.clone();
        }
    }

    /// The best plan so far.
    pub(super) fn best_board(&mut self) -> &Board {
        self.settle();
        &self.kept
    }

    fn settle(&mut self) {
        if self.ahead {
            self.kept = self.board.clone();
            self.ahead = false;
        }
    }

    /// Tries this many chains; true when the cooling is over.
    #[allow(
        clippy::cast_precision_loss,
        reason = "counts of chains stay far below 2^53"
    )]
    pub(super) fn run(&mut self, chains: u64) -> bool {
        if self.open.is_empty() {
            return true;
        }
        let end = (self.done + chains).min(self.cooling.chains);
        while self.done < end {
            if self.done.is_multiple_of(256) {
                let share = self.done as f64 / self.cooling.chains as f64;
                let ratio = self.cooling.cold / self.cooling.hot;
                self.temperature = self.cooling.hot * ratio.powf(share);
                self.find_holes();
            }
            self.try_chain();
            self.done += 1;
        }
        self.done >= self.cooling.chains
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

    /// Where a chain begins and who goes there, if anybody.
    fn beginning(&mut self) -> (usize, Option<usize>) {
        if !self.holes.is_empty() && self.random.below(4) == 0 {
            let turn = self.holes[self.random.below(self.holes.len())];
            if self.board.on[turn].len() < self.problem.turns[turn].places {
                return (turn, None);
            }
        }
        let turn = self.open[self.random.below(self.open.len())];
        let on = &self.board.on[turn];
        let place = self.random.below(self.problem.turns[turn].places);
        (turn, on.get(place).copied())
    }

    fn try_chain(&mut self) {
        let (mut turn, first) = self.beginning();
        if first.is_some() && self.random.below(REMOVAL) == 0 {
            return self.try_removal(turn, first);
        }
        let mut goes = first;
        let mut chain = [Change {
            turn,
            goes: None,
            comes: None,
        }; LONGEST];
        let mut length = 0;
        loop {
            let day = self.problem.turns[turn].day;
            let last = length + 1 == LONGEST;
            // Closing the chain where it began keeps every load of equal turns as it is.
            let closes = length > 0 && (last || self.random.below(2) == 0);
            let candidates = &self.problem.turns[turn].candidates;
            let comes = match first {
                Some(member) if closes && self.problem.candidate.has(member, turn) => member,
                None if closes => {
                    chain[length] = Change {
                        turn,
                        goes,
                        comes: None,
                    };
                    length += 1;
                    break;
                }
                _ => candidates[self.random.below(candidates.len())],
            };
            let returns = first == Some(comes) && length > 0;
            if Some(comes) == goes
                || (!returns && chain[..length].iter().any(|c| c.comes == Some(comes)))
                || (length == 0 && first == Some(comes))
            {
                return;
            }
            let without = returns.then_some(chain[0].turn);
            let mut gives = match self.board.clash(comes, day, without) {
                Clash::Free => None,
                _ if returns => return,
                Clash::One(other) => Some(other),
                Clash::Blocked => match self.one_near(comes, day) {
                    None => return,
                    found => found,
                },
            };
            if gives.is_none() && !returns && !last && self.random.below(3) == 0 {
                let at = self.random.below(self.board.diary_len(comes));
                gives = self.board.turn_at(comes, at);
            }
            let change = Change {
                turn,
                goes,
                comes: Some(comes),
            };
            if !self.board.turn_allows(&change) {
                return;
            }
            chain[length] = change;
            length += 1;
            let Some(other) = gives else {
                break;
            };
            if length == LONGEST || chain[..length].iter().any(|c| c.turn == other) {
                return;
            }
            turn = other;
            goes = Some(comes);
        }
        let chain = &chain[..length];
        if chain[length - 1].comes.is_none() && !self.board.turn_allows(&chain[length - 1]) {
            return;
        }
        self.decide(chain);
    }

    /// Leaving a place empty frees its holder: the way out where two would have to go for one
    /// to come.
    fn try_removal(&mut self, turn: usize, goes: Option<usize>) {
        let change = Change {
            turn,
            goes,
            comes: None,
        };
        if self.board.turn_allows(&change) {
            self.decide(&[change]);
        }
    }

    /// A turn whose giving up clears a day for a member, tried at random.
    fn one_near(&mut self, member: usize, day: i32) -> Option<usize> {
        if self.problem.members[member].most >= 28 {
            return None;
        }
        let mut near = [0; 64];
        let mut count = 0;
        for turn in self.board.near(member, day).take(near.len()) {
            near[count] = turn;
            count += 1;
        }
        if count == 0 {
            return None;
        }
        let turn = near[self.random.below(count)];
        (self.board.clash(member, day, Some(turn)) == Clash::Free).then_some(turn)
    }

    #[allow(
        clippy::cast_precision_loss,
        reason = "a rounded difference only sways a coin"
    )]
    fn decide(&mut self, chain: &[Change]) {
        let change = self.board.difference(chain);
        let cost = self.prices.empty * change.empty_places as f64
            + self.prices.change * change.changes as f64
            + self.prices.fairness * change.fairness as f64
            - self.prices.wish * change.wishes as f64;
        if cost > 0.0 && self.random.unit() >= (-cost / self.temperature).exp() {
            return;
        }
        let score = &self.board.score;
        let after = Score {
            empty_places: score.empty_places + change.empty_places,
            changes: score.changes + change.changes,
            fairness: score.fairness + change.fairness,
            wishes: score.wishes + change.wishes,
        };
        let better = after.better(&self.best).is_lt();
        if !better {
            self.settle();
        }
        self.board.apply(chain);
        if better {
            self.best = after;
            self.ahead = true;
        }
    }
}
