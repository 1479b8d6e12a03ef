//! A basis matrix taken apart into triangles, and kept up to date from pivot to pivot.

/// An entry: position and value.
type Entry = (usize, f64);

/// Below this an entry that arises while taking a matrix apart counts as zero.
const TINY: f64 = 1e-13;
/// A pivot must be at least this part of the largest entry of its column.
const STEADY: f64 = 0.1;

/// One pivot of the elimination: row, column position and value.
#[derive(Debug, Clone, Copy)]
struct Pivot {
    row: usize,
    position: usize,
    value: f64,
}

/// One change of the basis since it was last taken apart.
#[derive(Debug, Clone)]
struct Exchange {
    position: usize,
    value: f64,
    others: Vec<Entry>,
}

/// `B = L · U`, times the exchanges since.
#[derive(Debug, Clone, Default)]
pub(super) struct Factor {
    pivots: Vec<Pivot>,
    /// For the pivots that have any: the pivot's row and what to take from other rows.
    lower: Vec<(usize, Vec<Entry>)>,
    /// For each pivot its column above it: rows of earlier pivots.
    upper_columns: Vec<Vec<Entry>>,
    /// For each pivot its row right of it: positions of later pivots.
    upper_rows: Vec<Vec<Entry>>,
    exchanges: Vec<Exchange>,
    work: Vec<f64>,
}

impl Factor {
    /// Takes a square matrix apart. Positions whose column depends on others are given back
    /// together with rows that no pivot was found for, in pairs: a slack of that row mends it.
    pub(super) fn take_apart(&mut self, columns: &[&[Entry]]) -> Vec<(usize, usize)> {
        let size = columns.len();
        *self = Self {
            work: vec![0.0; size],
            ..Self::default()
        };
        let mut rest = Active::new(columns);
        while let Some((row, position)) = rest.next_pivot() {
            self.eliminate(&mut rest, row, position);
        }
        let rows = (0..size).filter(|row| !rest.row_done[*row]);
        let positions = (0..size).filter(|position| !rest.column_done[*position]);
        let lost: Vec<(usize, usize)> = positions.zip(rows).collect();
        if lost.is_empty() {
            self.index_columns(size);
        }
        lost
    }

    fn eliminate(&mut self, rest: &mut Active, row: usize, position: usize) {
        let entries = std::mem::take(&mut rest.rows[row]);
        let value = entries
            .iter()
            .find(|e| e.0 == position)
            .map_or(1.0, |e| e.1);
        let right: Vec<Entry> = entries.into_iter().filter(|e| e.0 != position).collect();
        rest.row_done[row] = true;
        rest.column_done[position] = true;
        for (other, _) in &right {
            rest.columns[*other].retain(|r| *r != row);
            rest.note_column(*other);
        }
        let below = std::mem::take(&mut rest.columns[position]);
        let mut lower = Vec::new();
        for other in below {
            if other == row {
                continue;
            }
            let list = &mut rest.rows[other];
            let Some(at) = list.iter().position(|e| e.0 == position) else {
                continue;
            };
            let factor = list.swap_remove(at).1 / value;
            lower.push((other, factor));
            if !right.is_empty() {
                rest.subtract(other, factor, &right, &mut self.work);
            }
            rest.note_row(other);
        }
        if !lower.is_empty() {
            self.lower.push((row, lower));
        }
        self.pivots.push(Pivot {
            row,
            position,
            value,
        });
        self.upper_rows.push(right);
    }

    fn index_columns(&mut self, size: usize) {
        let mut order = vec![0; size];
        for (at, pivot) in self.pivots.iter().enumerate() {
            order[pivot.position] = at;
        }
        self.upper_columns = vec![Vec::new(); size];
        for (pivot, right) in self.pivots.iter().zip(&self.upper_rows) {
            for (position, value) in right {
                self.upper_columns[order[*position]].push((pivot.row, *value));
            }
        }
        self.work = vec![0.0; size];
    }

    /// How many exchanges there were since the matrix was taken apart.
    pub(super) fn age(&self) -> usize {
        self.exchanges.len()
    }

    /// Solves `B · x = b`: rows in, positions out.
    pub(super) fn forward(&mut self, vector: &mut [f64]) {
        for (row, entries) in &self.lower {
            let value = vector[*row];
            if value != 0.0 {
                for (other, factor) in entries {
                    vector[*other] -= factor * value;
                }
            }
        }
        for (at, pivot) in self.pivots.iter().enumerate().rev() {
            let value = vector[pivot.row];
            if value == 0.0 {
                self.work[pivot.position] = 0.0;
                continue;
            }
            let value = value / pivot.value;
            self.work[pivot.position] = value;
            for (row, entry) in &self.upper_columns[at] {
                vector[*row] -= entry * value;
            }
        }
        vector.copy_from_slice(&self.work);
        for exchange in &self.exchanges {
            let value = vector[exchange.position];
            if value != 0.0 {
                let value = value / exchange.value;
                vector[exchange.position] = value;
                for (other, entry) in &exchange.others {
                    vector[*other] -= entry * value;
                }
            }
        }
    }

    /// Solves `Bᵀ · y = c`: positions in, rows out.
    pub(super) fn backward(&mut self, vector: &mut [f64]) {
        for exchange in self.exchanges.iter().rev() {
            let mut value = vector[exchange.position];
            for (other, entry) in &exchange.others {
                value -= entry * vector[*other];
            }
            vector[exchange.position] = value / exchange.value;
        }
        for (pivot, right) in self.pivots.iter().zip(&self.upper_rows) {
            let value = vector[pivot.position];
            if value == 0.0 {
                self.work[pivot.row] = 0.0;
                continue;
            }
            let value = value / pivot.value;
            self.work[pivot.row] = value;
            for (position, entry) in right {
                vector[*position] -= entry * value;
            }
        }
        vector.copy_from_slice(&self.work);
        for (row, entries) in self.lower.iter().rev() {
            let mut value = vector[*row];
            for (other, factor) in entries {
                value -= factor * vector[*other];
            }
            vector[*row] = value;
        }
    }

    /// The column at a position is exchanged for one that is `column` in terms of the basis.
    pub(super) fn exchange(&mut self, position: usize, column: &[f64]) {
        let others = (column.iter().enumerate())
            .filter(|(at, value)| *at != position && value.abs() > TINY)
            .map(|(at, value)| (at, *value))
            .collect();
        self.exchanges.push(Exchange {
            position,
            value: column[position],
            others,
        });
    }
}

/// What is left to take apart.
struct Active {
    rows: Vec<Vec<Entry>>,
    /// For each position the rows that its column has entries in.
    columns: Vec<Vec<usize>>,
    row_done: Vec<bool>,
    column_done: Vec<bool>,
    single_columns: Vec<usize>,
    single_rows: Vec<usize>,
}

impl Active {
    fn new(columns: &[&[Entry]]) -> Self {
        let size = columns.len();
        let mut rows = vec![Vec::new(); size];
        for (position, column) in columns.iter().enumerate() {
            for (row, value) in *column {
                rows[*row].push((position, *value));
            }
        }
        let columns: Vec<Vec<usize>> = (columns.iter())
            .map(|column| column.iter().map(|(row, _)| *row).collect())
            .collect();
        let single_columns = (0..size).filter(|at| columns[*at].len() == 1).collect();
        let single_rows = (0..size).filter(|at| rows[*at].len() == 1).collect();
        Self {
            rows,
            columns,
            row_done: vec![false; size],
            column_done: vec![false; size],
            single_columns,
            single_rows,
        }
    }

    fn note_column(&mut self, position: usize) {
        if self.columns[position].len() == 1 && !self.column_done[position] {
            self.single_columns.push(position);
        }
    }

    fn note_row(&mut self, row: usize) {
        if self.rows[row].len() == 1 && !self.row_done[row] {
            self.single_rows.push(row);
        }
    }

    /// Takes `factor` times the entries of a pivot's row from another row.
    fn subtract(&mut self, row: usize, factor: f64, right: &[Entry], work: &mut [f64]) {
        for (position, value) in right {
            work[*position] = *value;
        }
        let list = &mut self.rows[row];
        let columns = &mut self.columns;
        list.retain_mut(|(position, value)| {
            let taken = work[*position];
            if taken != 0.0 {
                work[*position] = 0.0;
                *value -= factor * taken;
                if value.abs() < TINY {
                    columns[*position].retain(|r| *r != row);
                    return false;
                }
            }
            true
        });
        for (position, _) in right {
            let taken = std::mem::take(&mut work[*position]);
            if taken != 0.0 {
                list.push((*position, -factor * taken));
                columns[*position].push(row);
            }
        }
        for (position, _) in right {
            self.note_column(*position);
        }
    }

    fn value(&self, row: usize, position: usize) -> f64 {
        let entry = self.rows[row].iter().find(|e| e.0 == position);
        entry.map_or(0.0, |e| e.1)
    }

    /// The next pivot: a column or row with one entry if there is one, else of the shortest
    /// columns the entry that fills least and is large enough.
    fn next_pivot(&mut self) -> Option<(usize, usize)> {
        while let Some(position) = self.single_columns.pop() {
            if !self.column_done[position]
                && let [row] = self.columns[position][..]
                && self.value(row, position).abs() > 1e-9
            {
                return Some((row, position));
            }
        }
        while let Some(row) = self.single_rows.pop() {
            if !self.row_done[row]
                && let [(position, value)] = self.rows[row][..]
                && value.abs() > 1e-9
                && self.steady(row, position, value)
            {
                return Some((row, position));
            }
        }
        self.least_fill()
    }

    fn steady(&self, row: usize, position: usize, value: f64) -> bool {
        (self.columns[position].iter()).all(|other| {
            *other == row || self.value(*other, position).abs() * STEADY <= value.abs()
        })
    }

    fn least_fill(&self) -> Option<(usize, usize)> {
        let mut shortest: Vec<(usize, usize)> = (0..self.columns.len())
            .filter(|at| !self.column_done[*at] && !self.columns[*at].is_empty())
            .map(|at| (self.columns[at].len(), at))
            .collect();
        let looked_at = 4.min(shortest.len());
        if looked_at < shortest.len() {
            shortest.select_nth_unstable(looked_at);
        }
        let mut order = shortest;
        if order.len() > 64 {
            order.truncate(looked_at);
        }
        let mut best: Option<(usize, usize, usize)> = None;
        for (length, position) in order {
            let column = &self.columns[position];
            let largest = (column.iter())
                .map(|row| self.value(*row, position).abs())
                .fold(0.0, f64::max);
            if largest < 1e-9 {
                continue;
            }
            for row in column {
                if self.value(*row, position).abs() < STEADY * largest {
                    continue;
                }
                let fill = (length - 1) * (self.rows[*row].len() - 1);
                if best.is_none_or(|(least, ..)| fill < least) {
                    best = Some((fill, *row, position));
                }
            }
        }
        best.map(|(_, row, position)| (row, position))
    }
}
