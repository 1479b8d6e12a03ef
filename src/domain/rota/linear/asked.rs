//! What branch and bound asks a linear program, and how it narrows it.

use super::super::score::Aim;
use super::relaxation::{Relaxation, real};

impl Relaxation {
    /// The boxes of all columns.
    pub(in super::super) fn boxes(&self) -> Vec<(i64, i64)> {
        self.low
            .iter()
            .copied()
            .zip(self.high.iter().copied())
            .collect()
    }

    /// What the columns cost for the aim under work.
    pub(in super::super) fn costs(&self) -> &[i64] {
        &self.costs
    }

    /// The effort of a member's kept places.
    pub(in super::super) fn kept_effort(&self, member: usize) -> i64 {
        (self.by_member[member].iter())
            .filter(|(_, column)| self.problem.kept.has(member, self.places[*column].1))
            .map(|(_, column)| self.problem.turns[self.places[*column].1].effort)
            .sum()
    }

    /// Narrows a column's box for a while.
    pub(in super::super) fn narrow(&mut self, column: usize, low: i64, high: i64) {
        let (low, high) = (low.max(self.low[column]), high.min(self.high[column]));
        if low > high {
            // Fixed the other way since, as nothing better can lie here: looking here all the
            // same is no mistake.
            self.dual.set_box(column, real(low), real(low));
        } else {
            self.dual.set_box(column, real(low), real(high));
        }
    }

    /// Takes a narrowing back.
    pub(in super::super) fn widen(&mut self, column: usize) {
        self.dual
            .set_box(column, real(self.low[column]), real(self.high[column]));
    }

    /// How much there is to gain below a value, with room for rounding.
    pub(in super::super) fn gain(&self, aim: Aim, value: i64) -> f64 {
        let gap = real(value - self.aim_start(aim)) - self.dual.cost() / self.scale;
        gap.max(0.0) + 1e-3 * (1.0 + gap.abs() * 1e-3) + 1e-4 / self.scale
    }

    /// What the move of a column by one costs; 0 in the basis.
    pub(in super::super) fn true_reduced(&self, column: usize) -> f64 {
        self.dual.reduced(column) / self.scale
    }

    /// The columns of counts: how many turns of one effort and one wish a member has.
    pub(in super::super) fn count_columns(&self) -> impl Iterator<Item = usize> + '_ {
        self.counts.iter().map(|(column, _)| *column)
    }

    /// The columns of counts of empty places.
    pub(in super::super) fn empty_count_columns(&self) -> impl Iterator<Item = usize> + '_ {
        self.empty_counts.iter().map(|(column, _)| *column)
    }

    /// The columns that have to be whole in a plan, but for the loads.
    pub(in super::super) fn whole_columns(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.places.len()).chain(self.here.iter().flatten().copied())
    }

    /// The whole number below a column's value.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "values lie in boxes of small whole numbers"
    )]
    pub(in super::super) fn floor(&self, column: usize) -> i64 {
        self.dual.value(column).floor() as i64
    }

    /// Whether a column's value is nearer to the upper of two numbers.
    pub(in super::super) fn is_nearer(&self, column: usize, low: i64, high: i64) -> bool {
        self.dual.value(column) - real(low) > real(high) - self.dual.value(column)
    }

    /// The parts of a load that are full before, or empty after, a part that is put at one
    /// of its ends.
    pub(in super::super) fn follows(&self, column: usize, from: i64, to: i64) -> Vec<(usize, i64)> {
        let Some(parts) = (self.segments.iter()).find(|parts| {
            parts.first().is_some_and(|first| first.column <= column)
                && parts.last().is_some_and(|last| last.column >= column)
        }) else {
            return Vec::new();
        };
        if from == to && from == 0 {
            let after = parts.iter().filter(|part| part.column > column);
            after.map(|part| (part.column, 0)).collect()
        } else if from == to {
            let before = parts.iter().filter(|part| part.column < column);
            before.map(|part| (part.column, part.width)).collect()
        } else {
            Vec::new()
        }
    }
}
