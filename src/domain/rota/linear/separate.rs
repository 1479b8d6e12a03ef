//! Rules that the present values of a linear program break, to be added to it.

use super::relaxation::{Relaxation, real};

/// A rule that the present values break: by how much, its row, and the row's high end.
type Broken = (f64, Vec<(usize, i64)>, i64);

impl Relaxation {
    /// Adds rules that the present values break; gives how many.
    pub(in super::super) fn separate(&mut self) -> usize {
        let mut found: Vec<Broken> = Vec::new();
        for member in 0..self.problem.members.len() {
            self.separate_diary(member, &mut found);
        }
        for turn in 0..self.problem.turns.len() {
            self.separate_turn(turn, &mut found);
        }
        found.sort_by(|one, other| other.0.total_cmp(&one.0));
        let mut added = 0;
        for (_, mut entries, high) in found.into_iter().take(1_000) {
            entries.sort_unstable();
            let mut key: Vec<usize> = entries.iter().map(|(column, _)| *column).collect();
            key.push(usize::try_from(high.max(0)).unwrap_or(0));
            if self.known.insert(key) {
                let low = entries.iter().map(|(_, value)| (*value).min(0)).sum();
                self.add(entries, low, high);
                added += 1;
            }
        }
        added
    }

    /// Rest and the most in 28 days: at most so many of the turns in a stretch of days.
    fn separate_diary(&self, member: usize, found: &mut Vec<Broken>) {
        let m = &self.problem.members[member];
        let days = &self.by_member[member];
        self.separate_stretch(days, m.pace.rest + 1, 1, found);
        let by_rest = usize::try_from(27 / (m.pace.rest + 1) + 1).unwrap_or(28);
        if m.pace.most < by_rest {
            let most = i64::try_from(m.pace.most).unwrap_or(28);
            self.separate_stretch(days, 28, most, found);
            for start in m.past.iter().filter(|day| **day > -28) {
                let left = most
                    - m.past
                        .iter()
                        .map(|day| i64::from(day >= start))
                        .sum::<i64>();
                let stretch: Vec<usize> = (days.iter())
                    .take_while(|(day, _)| day - start < 28)
                    .map(|(_, column)| *column)
                    .collect();
                self.note(&stretch, left, found);
            }
        }
    }

    fn separate_stretch(
        &self,
        days: &[(i32, usize)],
        length: i32,
        most: i64,
        found: &mut Vec<Broken>,
    ) {
        let mut end = 0;
        let mut sum = 0.0;
        for (start, (day, column)) in days.iter().enumerate() {
            let before = end;
            while end < days.len() && days[end].0 - day < length {
                sum += self.dual.value(days[end].1);
                end += 1;
            }
            if end > before && sum > real(most) + 1e-6 {
                let stretch: Vec<usize> = days[start..end].iter().map(|(_, c)| *c).collect();
                self.note(&stretch, most, found);
            }
            sum -= self.dual.value(*column);
        }
    }

    fn note(&self, columns: &[usize], most: i64, found: &mut Vec<Broken>) {
        let sum: f64 = columns.iter().map(|column| self.dual.value(*column)).sum();
        if sum > real(most) + 1e-6 {
            let entries = columns.iter().map(|column| (*column, 1)).collect();
            found.push((sum - real(most), entries, most));
        }
    }

    /// Not alone and kept apart.
    fn separate_turn(&self, turn: usize, found: &mut Vec<Broken>) {
        let columns = &self.by_turn[turn];
        let here = self.here[turn];
        for column in columns {
            let member = self.places[*column].0;
            let value = self.dual.value(*column);
            if value < 1e-6 {
                continue;
            }
            let m = &self.problem.members[member];
            if let Some(here) = here.filter(|_| m.not_alone) {
                let over = value - self.dual.value(here);
                if over > 1e-6 {
                    found.push((over, vec![(*column, 1), (here, -1)], 0));
                }
            }
            for other in &m.apart {
                let Some(with) =
                    (columns.iter()).find(|c| self.places[**c].0 == *other && **c > *column)
                else {
                    continue;
                };
                let both = m.not_alone && self.problem.members[*other].not_alone;
                let mut entries = vec![(*column, 1), (*with, 1)];
                let mut over = value + self.dual.value(*with);
                let mut high = 1;
                if let Some(here) = here.filter(|_| both) {
                    entries.push((here, -1));
                    over -= self.dual.value(here);
                    high = 0;
                } else {
                    over -= 1.0;
                }
                if over > 1e-6 {
                    found.push((over, entries, high));
                }
            }
        }
    }
}
