//! A first plan, place by place: the turns that fewest could take come first, and each place
//! goes to whom it makes least unfair.

use super::board::{Board, Change};
use super::diary::Clash;
use super::problem::Problem;
use std::sync::Arc;

/// The filling under way.
#[derive(Debug, Clone)]
pub(super) struct Fill {
    problem: Arc<Problem>,
    pub(super) board: Board,
    /// Turns by how scarce their candidates are, the scarcest last.
    order: Vec<usize>,
}

impl Fill {
    pub(super) fn new(problem: &Arc<Problem>, board: Board) -> Self {
        let mut order: Vec<usize> = (0..problem.turns.len()).collect();
        // Candidates to a place, compared without dividing.
        order.sort_by(|one, other| {
            let (one, other) = (&problem.turns[*one], &problem.turns[*other]);
            let left = one.candidates.len() * other.places;
            let right = other.candidates.len() * one.places;
            right.cmp(&left)
        });
        Self {
            problem: Arc::clone(problem),
            board,
            order,
        }
    }

    /// Fills places until about so many candidates were looked at; true when nothing is left
    /// to do.
    pub(super) fn run(&mut self, looks: usize) -> bool {
        let mut looked = 0;
        while looked < looks
            && let Some(turn) = self.order.pop()
        {
            looked += self.fill(turn);
        }
        self.order.is_empty()
    }

    /// Fills a turn as far as somebody can come; gives how many were looked at.
    fn fill(&mut self, turn: usize) -> usize {
        let problem = Arc::clone(&self.problem);
        let t = &problem.turns[turn];
        let mut looked = 0;
        while self.board.on[turn].len() < t.places {
            looked += t.candidates.len();
            let cost = |member: &usize| {
                let given = self.board.given[*member];
                // With somebody experienced on the turn, anybody can come after.
                let alone = !problem.members[*member].experienced;
                (problem.rise(*member, given, t.effort), alone, *member)
            };
            let fits = |member: &usize| {
                let change = Change {
                    turn,
                    goes: None,
                    comes: Some(*member),
                };
                self.board.clash(*member, t.day, None) == Clash::Free
                    && self.board.turn_allows(&change)
            };
            let found = (t.candidates.iter().copied()).filter(fits).min_by_key(cost);
            let Some(member) = found else {
                break;
            };
            self.board.put(member, turn);
        }
        looked + 1
    }
}
