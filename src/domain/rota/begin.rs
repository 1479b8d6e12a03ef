//! The plan that the search begins with: kept places, company for those who need it, and
//! what the rota in force has, as far as it keeps the rules.

use super::board::{Board, Change, Clash};
use super::index::{MemberIndex, TurnIndex};
use super::problem::Problem;
use super::refusal::Refusal;
use std::sync::Arc;

/// How many attempts it may take to find company for kept places.
const ATTEMPTS: u32 = 200_000;

/// The plan to begin with.
///
/// # Errors
///
/// [`Refusal::NoCompany`] when no way is found to give every kept member who is not to be
/// alone somebody experienced.
pub(super) fn board(problem: &Arc<Problem>) -> Result<Board, Refusal> {
    let mut board = Board::new(problem);
    let lonely: Vec<usize> = (0..problem.turns.len())
        .filter(|turn| !board.keeps_company(*turn))
        .collect();
    let mut attempts = ATTEMPTS;
    if !accompany(problem, &mut board, &lonely, &mut attempts)
        && let Some(turn) = lonely.first()
    {
        let member = board.on[*turn].first().copied().unwrap_or(0);
        return Err(Refusal::NoCompany {
            member: MemberIndex(member),
            turn: TurnIndex(*turn),
        });
    }
    if let Some(rota) = problem.snapshot.in_force() {
        let (first, then): (Vec<_>, Vec<_>) = (rota.places.iter())
            .map(|(member, turn)| (member.0, turn.0))
            .partition(|(member, _)| problem.members[*member].experienced);
        for (member, turn) in first.into_iter().chain(then) {
            put_if_allowed(problem, &mut board, member, turn);
        }
    }
    Ok(board)
}

fn put_if_allowed(problem: &Problem, board: &mut Board, member: usize, turn: usize) -> bool {
    let change = Change {
        turn,
        goes: None,
        comes: Some(member),
    };
    let allowed = problem.candidate.has(member, turn)
        && !board.on[turn].contains(&member)
        && board.clash(member, problem.turns[turn].day, None) == Clash::Free
        && board.turn_allows(&change);
    if allowed {
        board.put(member, turn);
    }
    allowed
}

/// Finds somebody experienced for each turn, going back where that leads nowhere.
fn accompany(problem: &Problem, board: &mut Board, lonely: &[usize], attempts: &mut u32) -> bool {
    let Some((turn, rest)) = lonely.split_first() else {
        return true;
    };
    for member in &problem.turns[*turn].candidates {
        if *attempts == 0 {
            return false;
        }
        *attempts -= 1;
        if problem.members[*member].experienced && put_if_allowed(problem, board, *member, *turn) {
            if accompany(problem, board, rest, attempts) {
                return true;
            }
            board.take(*member, *turn);
        }
    }
    false
}
