//! The best plan of a search, kept beside the one that is being changed.
//!
//! Copying a large plan takes longer than thousands of changes. So the changes since the best
//! plan are written down, and the copy follows only when it is asked for or when the list
//! grows longer than copying is worth.

use super::board::{Board, Change};
use super::score::Score;

/// The best plan so far.
#[derive(Debug, Clone)]
pub(super) struct Best {
    pub(super) score: Score,
    /// A plan on the way to the best one.
    copy: Board,
    /// What changed since the copy; the first `leading` of these lead to the best plan.
    since: Vec<Change>,
    leading: usize,
    /// Whether the list was given up: the next best plan is copied whole.
    torn: bool,
    longest: usize,
}

impl Best {
    pub(super) fn new(board: &Board) -> Self {
        let places: usize = board.on.iter().map(Vec::len).sum();
        Self {
            score: board.score,
            copy: board.clone(),
            since: Vec::new(),
            leading: 0,
            torn: false,
            longest: 1_000 + places,
        }
    }

    /// Hears of changes that were made to the board.
    pub(super) fn hear(&mut self, changes: &[Change], board: &Board) {
        if !self.torn {
            self.since.extend_from_slice(changes);
        }
        if board.score.better(&self.score).is_lt() {
            self.score = board.score;
            if self.torn {
                self.replace(board);
            } else {
                self.leading = self.since.len();
            }
        }
        if self.since.len() > self.longest {
            self.follow();
            self.since.clear();
            self.torn = true;
        }
    }

    /// Takes over a plan as the best.
    pub(super) fn replace(&mut self, board: &Board) {
        self.score = board.score;
        self.copy = board.clone();
        self.begin_list();
    }

    /// The best plan. The board goes on from it, or must be heard of no more.
    pub(super) fn board(&mut self) -> &Board {
        self.follow();
        &self.copy
    }

    fn follow(&mut self) {
        for change in &self.since[..self.leading] {
            self.copy.apply(std::slice::from_ref(change));
        }
        self.since.drain(..self.leading);
        self.leading = 0;
    }

    /// The board begins anew from the best plan.
    pub(super) fn begin_list(&mut self) {
        self.since.clear();
        self.leading = 0;
        self.torn = false;
    }
}
