//! The dual simplex method for linear programs whose every variable lies in a box.
//!
//! With boxes all around, every basis can be made dual feasible by putting each variable
//! outside the basis on its cheaper end: there is no first phase, and after a change of
//! costs, of boxes or of rows the work goes on from where it was.

use super::super::random::Random;
use super::factor::Factor;

const FEASIBLE: f64 = 1e-7;
const DUAL: f64 = 1e-9;
const PIVOT: f64 = 1e-7;
const STIR: f64 = 1e-6;
const STILL: u64 = 50;
const REFACTOR: usize = 60;

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in super::super) enum End {
    /// The best there is.
    Optimal,
    /// No values satisfy all rows.
    Infeasible,
    /// The steps allowed are used up.
    Unfinished,
    /// Numbers went astray and could not be mended.
    Lost,
}

/// A linear program `min c·x`, `low ≤ A·x ≤ high`, `x` in a box, and a basis of it.
#[derive(Debug, Clone)]
pub(in super::super) struct Dual {
    /// Number of columns; the slack of row `i` has the number `width + i`.
    width: usize,
    cost: Vec<f64>,
    /// Costs with a small stir, which keeps the method from standing still.
    stirred: Vec<f64>,
    low: Vec<f64>,
    high: Vec<f64>,
    columns: Vec<Vec<(usize, f64)>>,
    rows: Vec<Vec<(usize, f64)>>,
    /// The variable at each position.
    basis: Vec<usize>,
    /// The position of each variable in the basis.
    position: Vec<Option<usize>>,
    at_high: Vec<bool>,
    x: Vec<f64>,
    reduced: Vec<f64>,
    weights: Vec<f64>,
    factor: Factor,
    /// Whether the factors are those of the basis.
    fresh: bool,
    /// Whether values and reduced costs are those of the basis.
    reckoned: bool,
    random: Random,
    /// Steps done so far.
    pub(in super::super) steps: u64,
    /// The stirred cost when it was last looked at.
    height: f64,
    row_work: Vec<f64>,
    touched: Vec<usize>,
}

impl Dual {
    pub(in super::super) fn new(low: Vec<f64>, high: Vec<f64>) -> Self {
        let width = low.len();
        Self {
            width,
            cost: vec![0.0; width],
            stirred: vec![0.0; width],
            x: low.clone(),
            columns: vec![Vec::new(); width],
            position: vec![None; width],
            at_high: vec![false; width],
            reduced: vec![0.0; width],
            row_work: vec![0.0; width],
            low,
            high,
            rows: Vec::new(),
            basis: Vec::new(),
            weights: Vec::new(),
            factor: Factor::default(),
            fresh: false,
            reckoned: false,
            random: Random::new(0x726f_7461),
            steps: 0,
            touched: Vec::new(),
            height: f64::NEG_INFINITY,
        }
    }

    /// Adds a row; its slack, which is the row's own value, joins the basis.
    pub(in super::super) fn add_row(&mut self, entries: &[(usize, f64)], low: f64, high: f64) {
        let row = self.rows.len();
        for (column, value) in entries {
            self.columns[*column].push((row, *value));
        }
        let slack = self.width + row;
        self.rows.push(entries.to_vec());
        self.columns.push(vec![(row, -1.0)]);
        self.low.push(low);
        self.high.push(high);
        self.cost.push(0.0);
        let stir = self.stir(0.0);
        self.stirred.push(stir);
        self.at_high.push(false);
        self.x.push(0.0);
        self.reduced.push(0.0);
        self.row_work.push(0.0);
        self.height = f64::NEG_INFINITY;
        self.position.push(Some(self.basis.len()));
        self.basis.push(slack);
        self.weights.push(1.0);
        self.fresh = false;
    }

    pub(in super::super) fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// Sets what a column costs.
    pub(in super::super) fn set_costs(&mut self, costs: &[f64]) {
        for (column, cost) in costs.iter().enumerate() {
            self.cost[column] = *cost;
            self.stirred[column] = cost + self.stir(*cost);
        }
        self.height = f64::NEG_INFINITY;
        self.reckoned = false;
    }

    /// A small number that sets a cost apart from others like it.
    fn stir(&mut self, cost: f64) -> f64 {
        let stir = (self.random.unit() + 0.5) * STIR * (1.0 + cost.abs());
        if self.random.below(2) == 0 {
            stir
        } else {
            -stir
        }
    }

    /// Sets the box of a column.
    pub(in super::super) fn set_box(&mut self, column: usize, low: f64, high: f64) {
        if self.low[column].to_bits() != low.to_bits()
            || self.high[column].to_bits() != high.to_bits()
        {
            self.low[column] = low;
            self.high[column] = high;
            self.height = f64::NEG_INFINITY;
            self.reckoned = false;
        }
    }

    /// The value of a column.
    pub(in super::super) fn value(&self, column: usize) -> f64 {
        self.x[column]
    }

    /// How much the cost would change with a column that is outside the basis.
    pub(in super::super) fn reduced(&self, column: usize) -> f64 {
        self.reduced[column]
    }

    /// The cost of the present values; never above the least cost, but for rounding.
    pub(in super::super) fn cost(&self) -> f64 {
        (self.cost.iter().zip(&self.x).take(self.width))
            .map(|(cost, x)| cost * x)
            .sum()
    }

    /// The prices of the rows for the unstirred costs.
    pub(in super::super) fn prices(&mut self) -> Vec<f64> {
        let mut prices: Vec<f64> = self.basis.iter().map(|var| self.cost[*var]).collect();
        self.factor.backward(&mut prices);
        prices
    }

    /// Takes the basis apart anew and reckons everything from it.
    fn refresh(&mut self) -> bool {
        for _ in 0..4 {
            let columns: Vec<&[(usize, f64)]> = (self.basis.iter())
                .map(|var| self.columns[*var].as_slice())
                .collect();
            let lost = self.factor.take_apart(&columns);
            if lost.is_empty() {
                self.reckon();
                self.fresh = true;
                return true;
            }
            for (position, row) in lost {
                let slack = self.width + row;
                self.position[self.basis[position]] = None;
                self.basis[position] = slack;
                self.position[slack] = Some(position);
                self.weights[position] = 1.0;
            }
        }
        false
    }

    fn reckon(&mut self) {
        self.reckon_reduced();
        self.reckon_values();
        self.reckoned = true;
    }

    fn reckon_reduced(&mut self) {
        let mut prices: Vec<f64> = self.basis.iter().map(|var| self.stirred[*var]).collect();
        self.factor.backward(&mut prices);
        for var in 0..self.columns.len() {
            if self.position[var].is_some() {
                self.reduced[var] = 0.0;
                continue;
            }
            let taken: f64 = (self.columns[var].iter())
                .map(|(row, value)| prices[*row] * value)
                .sum();
            let reduced = self.stirred[var] - taken;
            self.reduced[var] = reduced;
            if reduced > DUAL {
                self.at_high[var] = false;
            } else if reduced < -DUAL {
                self.at_high[var] = true;
            }
        }
    }

    fn end_of(&self, var: usize) -> f64 {
        if self.at_high[var] {
            self.high[var]
        } else {
            self.low[var]
        }
    }

    fn reckon_values(&mut self) {
        let mut right = vec![0.0; self.rows.len()];
        for var in 0..self.columns.len() {
            if self.position[var].is_none() {
                let value = self.end_of(var);
                self.x[var] = value;
                if value != 0.0 {
                    for (row, entry) in &self.columns[var] {
                        right[*row] -= entry * value;
                    }
                }
            }
        }
        self.factor.forward(&mut right);
        for (position, var) in self.basis.iter().enumerate() {
            self.x[*var] = right[position];
        }
    }

    /// Goes on for at most this many steps.
    pub(in super::super) fn run(&mut self, steps: u64) -> End {
        let mut trouble = 0;
        for _ in 0..steps {
            if (!self.fresh || self.factor.age() >= REFACTOR) && !self.refresh() {
                return End::Lost;
            }
            if !self.reckoned {
                self.reckon();
            }
            let Some((position, to_high)) = self.leaving() else {
                if self.factor.age() == 0 {
                    return End::Optimal;
                }
                self.fresh = false;
                continue;
            };
            self.steps += 1;
            if self.steps.is_multiple_of(STILL) {
                self.shake_if_still();
            }
            match self.step(position, to_high) {
                Ok(()) => trouble = 0,
                Err(End::Infeasible) if self.factor.age() == 0 => return End::Infeasible,
                Err(_) => {
                    // Old numbers deserve a second look; new ones that fail are given up.
                    trouble += 1;
                    if trouble > 20 {
                        return End::Lost;
                    }
                    if self.factor.age() == 0 {
                        self.weights[position] *= 1e6;
                    }
                    self.fresh = false;
                }
            }
        }
        End::Unfinished
    }

    /// Sets costs further apart when the method has gone round in circles.
    fn shake_if_still(&mut self) {
        let height: f64 = self
            .stirred
            .iter()
            .zip(&self.x)
            .map(|(cost, x)| cost * x)
            .sum();
        if height > self.height + DUAL {
            self.height = height;
            return;
        }
        self.height = f64::NEG_INFINITY;
        for var in 0..self.columns.len() {
            if self.position[var].is_none() {
                let more = self.stir(0.0).abs();
                let more = if self.at_high[var] { -more } else { more };
                self.stirred[var] += more;
                self.reduced[var] += more;
            }
        }
    }

    /// The position whose variable is worst outside its box, and whether it leaves to the
    /// high end.
    fn leaving(&self) -> Option<(usize, bool)> {
        let mut best = None;
        let mut most = 0.0;
        for (position, var) in self.basis.iter().enumerate() {
            let x = self.x[*var];
            let over = x - self.high[*var];
            let under = self.low[*var] - x;
            let miss = over.max(under);
            if miss > FEASIBLE {
                let worth = miss * miss / self.weights[position];
                if worth > most {
                    most = worth;
                    best = Some((position, over > under));
                }
            }
        }
        best
    }

    /// The row of the leaving variable in terms of the basis, into `row_work`.
    fn pivot_row(&mut self, rho: &[f64]) {
        for var in self.touched.drain(..) {
            self.row_work[var] = 0.0;
        }
        for (row, value) in rho.iter().enumerate() {
            if value.abs() < 1e-14 {
                continue;
            }
            for (column, entry) in &self.rows[row] {
                if self.row_work[*column] == 0.0 {
                    self.touched.push(*column);
                    // Told apart from untouched even when the sum comes back to zero.
                    self.row_work[*column] = f64::MIN_POSITIVE;
                }
                self.row_work[*column] += value * entry;
            }
            let slack = self.width + row;
            self.row_work[slack] = -value;
            self.touched.push(slack);
        }
    }

    fn step(&mut self, position: usize, to_high: bool) -> Result<(), End> {
        let leaving = self.basis[position];
        let mut rho = vec![0.0; self.rows.len()];
        rho[position] = 1.0;
        self.factor.backward(&mut rho);
        self.pivot_row(&rho);
        let goal = if to_high {
            self.high[leaving]
        } else {
            self.low[leaving]
        };
        let miss = (self.x[leaving] - goal).abs();
        let (entering, flips) = self.ratio_test(miss, to_high)?;
        let mut column = vec![0.0; self.rows.len()];
        for (row, value) in &self.columns[entering] {
            column[*row] = *value;
        }
        self.factor.forward(&mut column);
        let pivot = column[position];
        let other = self.row_work[entering];
        if pivot.abs() < PIVOT || (pivot - other).abs() > 1e-6 * (1.0 + pivot.abs()) {
            return Err(End::Lost);
        }
        self.flip(&flips);
        let dual_step = self.reduced[entering] / pivot;
        for at in 0..self.touched.len() {
            let var = self.touched[at];
            if self.position[var].is_none() {
                self.reduced[var] -= dual_step * self.row_work[var];
            }
        }
        self.reduced[entering] = 0.0;
        self.reduced[leaving] = -dual_step;
        let step = (self.x[leaving] - goal) / pivot;
        for (at, var) in self.basis.iter().enumerate() {
            if column[at] != 0.0 {
                self.x[*var] -= step * column[at];
            }
        }
        self.x[entering] += step;
        self.x[leaving] = goal;
        self.at_high[leaving] = to_high;
        self.update_weights(position, pivot, &column, rho);
        self.position[leaving] = None;
        self.position[entering] = Some(position);
        self.basis[position] = entering;
        self.factor.exchange(position, &column);
        Ok(())
    }

    fn update_weights(&mut self, position: usize, pivot: f64, column: &[f64], rho: Vec<f64>) {
        let norm: f64 = rho.iter().map(|value| value * value).sum();
        let mut tau = rho;
        self.factor.forward(&mut tau);
        for (at, value) in column.iter().enumerate() {
            if at != position && *value != 0.0 {
                let ratio = value / pivot;
                let weight = self.weights[at] - 2.0 * ratio * tau[at] + ratio * ratio * norm;
                self.weights[at] = weight.max(1e-4).max(ratio * ratio * 1e-4);
            }
        }
        self.weights[position] = (norm / (pivot * pivot)).max(1e-4);
    }

    /// Moves variables to their other ends and the basis with them.
    fn flip(&mut self, flips: &[usize]) {
        if flips.is_empty() {
            return;
        }
        let mut right = vec![0.0; self.rows.len()];
        for var in flips {
            self.at_high[*var] = !self.at_high[*var];
            let value = self.end_of(*var);
            let moved = value - self.x[*var];
            self.x[*var] = value;
            for (row, entry) in &self.columns[*var] {
                right[*row] -= entry * moved;
            }
        }
        self.factor.forward(&mut right);
        for (position, var) in self.basis.iter().enumerate() {
            self.x[*var] += right[position];
        }
    }

    /// Which variable enters, and which go to their other ends on the way: passing one costs
    /// as much of the slope as its box is wide.
    fn ratio_test(&self, miss: f64, to_high: bool) -> Result<(usize, Vec<usize>), End> {
        let sign = if to_high { 1.0 } else { -1.0 };
        let mut open: Vec<(usize, f64, f64)> = Vec::new();
        for var in &self.touched {
            if self.position[*var].is_some() || self.high[*var] - self.low[*var] <= 0.0 {
                continue;
            }
            let alpha = sign * self.row_work[*var];
            if alpha > PIVOT && !self.at_high[*var] {
                open.push((*var, alpha, self.reduced[*var].max(0.0)));
            } else if alpha < -PIVOT && self.at_high[*var] {
                open.push((*var, -alpha, (-self.reduced[*var]).max(0.0)));
            }
        }
        let mut slope = miss;
        let mut flips: Vec<usize> = Vec::new();
        loop {
            if open.is_empty() {
                return Err(End::Infeasible);
            }
            let reach = (open.iter())
                .map(|(_, alpha, reduced)| (reduced + 1e-9) / alpha)
                .fold(f64::INFINITY, f64::min);
            let (group, rest): (Vec<_>, Vec<_>) =
                (open.into_iter()).partition(|(_, alpha, reduced)| *reduced <= reach * alpha);
            let cost: f64 = (group.iter())
                .map(|(var, alpha, _)| alpha * (self.high[*var] - self.low[*var]))
                .sum();
            if slope - cost > FEASIBLE {
                slope -= cost;
                flips.extend(group.iter().map(|(var, ..)| *var));
                open = rest;
                continue;
            }
            let (entering, alpha, reduced) =
                (group.iter().copied()).fold((usize::MAX, 0.0, 0.0), |best, next| {
                    if next.1 > best.1 { next } else { best }
                });
            let step = reduced / alpha;
            let passed = (group.iter())
                .filter(|(var, alpha, reduced)| *var != entering && step * alpha > *reduced);
            flips.extend(passed.map(|(var, ..)| *var));
            return Ok((entering, flips));
        }
    }
}
