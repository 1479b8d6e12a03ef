//! The plan that the search begins with: kept places, company for those who need it, and
//! what the rota in force has, as far as it keeps the rules.

use super::board::{Board, Change};
use super::diary::Clash;
use super::index::{MemberIndex, TurnIndex};
use super::problem::Problem;
use super::refusal::Refusal;
use std::sync::Arc;

/// How many attempts more than one for each candidate it may take to find company for kept
/// places.
const ATTEMPTS: usize = 200_000;

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
    if !accompany(problem, &mut board, &lonely)
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
///
/// Kept places come from outside and there may be very many of them, so the way back is kept
/// in a list and not on the stack.
fn accompany(problem: &Problem, board: &mut Board, lonely: &[usize]) -> bool {
    let company: Vec<Vec<usize>> = (lonely.iter())
        .map(|turn| {
            let candidates = problem.turns[*turn].candidates.iter().copied();
            let experienced = |member: &usize| problem.members[*member].experienced;
            candidates.filter(experienced).collect()
        })
        .collect();
    let mut attempts = ATTEMPTS + company.iter().map(Vec::len).sum::<usize>();
    // Which candidate of each turn so far has come.
    let mut come: Vec<usize> = Vec::new();
    let mut from = 0;
    while come.len() < lonely.len() {
        let at = come.len();
        let tried = (from..company[at].len()).find(|next| {
            attempts = attempts.saturating_sub(1);
            attempts == 0 || put_if_allowed(problem, board, company[at][*next], lonely[at])
        });
        if attempts == 0 {
            return false;
        }
        if let Some(next) = tried {
            come.push(next);
            from = 0;
        } else {
            let Some(last) = come.pop() else {
                return false;
            };
            board.take(company[at - 1][last], lonely[at - 1]);
            from = last + 1;
        }
    }
    true
}
