//! How few places can change at the least, by counting alone.

use super::problem::Problem;

/// What is counted once.
#[derive(Debug, Clone, Copy)]
pub(super) struct LeastChanges {
    /// Places of the rota in force whose holders go in every plan.
    go: i64,
    /// Places beyond those whose holders can stay.
    beyond: i64,
}

impl LeastChanges {
    /// Whoever may not be on their turn any more goes, and so does who is one too many there.
    pub(super) fn of(problem: &Problem) -> Self {
        let (mut places, mut stay) = (0_i64, 0_i64);
        for (at, turn) in problem.turns.iter().enumerate() {
            let in_force = |member: &&usize| {
                let rota = problem.in_force.as_ref();
                rota.is_some_and(|rota| rota.has(**member, at))
            };
            let held = turn.candidates.iter().filter(in_force).count();
            places += i64::try_from(turn.places).unwrap_or(i64::MAX);
            stay += i64::try_from(held.min(turn.places)).unwrap_or(i64::MAX);
        }
        Self {
            go: problem.in_force_places - stay,
            beyond: places - stay,
        }
    }

    /// No plan of at most so many empty places changes fewer places of a rota in force. Of those
    /// who can stay some may have to move all the same; but each place that is filled beyond
    /// theirs is one that somebody takes on.
    pub(super) const fn bound(self, empty_places: i64) -> i64 {
        let come = self.beyond - empty_places;
        self.go + if come > 0 { come } else { 0 }
    }
}
