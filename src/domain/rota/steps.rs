//! How far apart two values of an aim can lie at the least.

use super::problem::Problem;
use super::score::Aim;

fn gcd(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}

/// The step of an aim among plans with the same number of empty places: all values differ by
/// a multiple of it.
///
/// When every turn is of the same effort, or no place is empty, such plans share out the same
/// effort. Then a line may be taken off every member's part without changing a difference,
/// and what is left of the squares has a common measure.
pub(super) fn step(problem: &Problem, aim: Aim, empty_places: i64) -> i64 {
    match aim {
        Aim::EmptyPlaces | Aim::Wishes => 1,
        // As many places come as go, but for the places empty before and after.
        Aim::Changes => 2,
        Aim::Fairness => {
            let mut efforts = problem.turns.iter().map(|turn| turn.effort);
            let first = efforts.next();
            let same = empty_places == 0 || efforts.all(|effort| Some(effort) == first);
            if same {
                problem.fairness_steps.0
            } else {
                problem.fairness_steps.1
            }
        }
    }
}

/// The step of fairness among plans that share out the same effort, and among all.
pub(super) fn fairness(problem: &Problem) -> (i64, i64) {
    (fairness_step(problem, true), fairness_step(problem, false))
}

fn fairness_step(problem: &Problem, same_effort: bool) -> i64 {
    let mut line = None;
    let mut measure = 0;
    for (member, efforts) in problem.efforts.iter().enumerate() {
        let [base, rest @ ..] = efforts.as_slice() else {
            continue;
        };
        let start = problem.part(member, *base);
        for effort in rest {
            let rise = problem.part(member, *effort) - start;
            let wide = effort - base;
            let slope = *line.get_or_insert(if same_effort { rise / wide } else { 0 });
            measure = gcd(measure, rise - slope * wide);
        }
    }
    measure.max(1)
}

/// The least value not below `bound` that lies a whole number of steps from `value`; never
/// above `value`.
pub(super) const fn round_up(bound: i64, value: i64, step: i64) -> i64 {
    if bound >= value {
        return value;
    }
    value - (value - bound) / step * step
}
