//! The rota as a linear program, with rules added as they are needed.

use super::super::problem::Problem;
use super::super::score::Aim;
use super::dual::Dual;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// One part of a member's load: from one reachable effort to the next.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Segment {
    pub(in super::super) column: usize,
    pub(in super::super) width: i64,
    /// How much the member's part of fairness grows over the whole segment.
    rise: i64,
}

/// A row in whole numbers.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) entries: Vec<(usize, i64)>,
    pub(super) low: i64,
    pub(super) high: i64,
    /// What the row is multiplied by in the program.
    pub(super) scale: f64,
}

/// The linear program of a problem. Its columns are places of members on turns, empty places,
/// "somebody experienced is here" and the segments of loads.
#[derive(Debug, Clone)]
pub(in super::super) struct Relaxation {
    pub(super) problem: Arc<Problem>,
    pub(in super::super) dual: Dual,
    /// Member and turn of each of the first columns.
    pub(in super::super) places: Vec<(usize, usize)>,
    pub(super) empty: Vec<usize>,
    pub(super) here: Vec<Option<usize>>,
    pub(in super::super) segments: Vec<Vec<Segment>>,
    /// How many turns of one effort and one wish a member has: the column, and what it counts.
    pub(super) counts: Vec<(usize, Vec<usize>)>,
    /// How many places of one effort are empty: the column, and what it counts.
    pub(super) empty_counts: Vec<(usize, Vec<usize>)>,
    pub(super) by_member: Vec<Vec<(i32, usize)>>,
    pub(super) by_turn: Vec<Vec<usize>>,
    pub(super) rows: Vec<Row>,
    pub(super) low: Vec<i64>,
    pub(super) high: Vec<i64>,
    pub(super) known: BTreeSet<Vec<usize>>,
    /// Costs of the aim under work, in whole numbers, and their scale in the program.
    pub(super) costs: Vec<i64>,
    pub(super) scale: f64,
}

#[allow(
    clippy::cast_precision_loss,
    reason = "numbers of people and effort stay far below 2^53; fairness is scaled"
)]
pub(super) fn real(value: i64) -> f64 {
    value as f64
}

/// The empty places of each effort, when there is more than one.
fn empty_groups(problem: &Problem, empty: &[usize]) -> BTreeMap<i64, Vec<usize>> {
    let mut groups: BTreeMap<i64, Vec<usize>> = BTreeMap::new();
    for (column, turn) in empty.iter().zip(&problem.turns) {
        groups.entry(turn.effort).or_default().push(*column);
    }
    if groups.len() < 2 {
        BTreeMap::new()
    } else {
        groups
    }
}

/// No group has more empty places than there are places.
fn empty_high(problem: &Problem, turns: usize) -> i64 {
    let most = problem
        .turns
        .iter()
        .map(|turn| turn.places)
        .max()
        .unwrap_or(0);
    i64::try_from(most.saturating_mul(turns)).unwrap_or(i64::MAX)
}

/// Above this many places counts cost more than they help.
const COUNTED: usize = 20_000;

/// The places of each member, by effort and wish.
fn count_groups(
    problem: &Problem,
    places: &[(usize, usize)],
) -> BTreeMap<(usize, i64, i64), Vec<usize>> {
    let mut groups: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (column, (member, turn)) in places.iter().enumerate() {
        if places.len() <= COUNTED {
            let wish = problem.wish(*member, *turn);
            let key = (*member, problem.turns[*turn].effort, wish);
            groups.entry(key).or_default().push(column);
        }
    }
    groups
}

impl Relaxation {
    pub(in super::super) fn new(problem: &Arc<Problem>) -> Self {
        let mut low = Vec::new();
        let mut high = Vec::new();
        let mut column = |from: i64, to: i64| {
            low.push(from);
            high.push(to);
            low.len() - 1
        };
        let mut places = Vec::new();
        let mut by_member = vec![Vec::new(); problem.members.len()];
        let mut by_turn = vec![Vec::new(); problem.turns.len()];
        for (at, turn) in problem.turns.iter().enumerate() {
            for member in &turn.candidates {
                let kept = i64::from(problem.kept.has(*member, at));
                let new = column(kept, 1);
                places.push((*member, at));
                by_member[*member].push((turn.day, new));
                by_turn[at].push(new);
            }
        }
        let empty: Vec<usize> = (problem.turns.iter())
            .map(|turn| column(0, i64::try_from(turn.places).unwrap_or(i64::MAX)))
            .collect();
        let here = (problem.turns.iter())
            .map(|turn| {
                let shy = |m: &usize| problem.members[*m].not_alone;
                turn.candidates.iter().any(shy).then(|| column(0, 1))
            })
            .collect();
        let segments: Vec<Vec<Segment>> = (0..problem.members.len())
            .map(|member| {
                let efforts = &problem.efforts[member];
                (efforts.iter().zip(efforts.iter().skip(1)))
                    .map(|(from, to)| Segment {
                        column: column(0, to - from),
                        width: to - from,
                        rise: problem.part(member, *to) - problem.part(member, *from),
                    })
                    .collect()
            })
            .collect();
        for days in &mut by_member {
            days.sort_unstable();
        }
        let empty_counts: Vec<(usize, Vec<usize>)> = (empty_groups(problem, &empty).into_values())
            .map(|group| (column(0, empty_high(problem, group.len())), group))
            .collect();
        let counts = (count_groups(problem, &places).into_values())
            .filter(|group| group.len() > 1)
            .map(|group| {
                let most = i64::try_from(group.len()).unwrap_or(i64::MAX);
                (column(0, most), group)
            })
            .collect();
        let dual = Dual::new(
            low.iter().copied().map(real).collect(),
            high.iter().copied().map(real).collect(),
        );
        let mut relaxation = Self {
            problem: Arc::clone(problem),
            dual,
            places,
            empty,
            here,
            segments,
            counts,
            empty_counts,
            by_member,
            by_turn,
            rows: Vec::new(),
            costs: vec![0; low.len()],
            low,
            high,
            known: BTreeSet::new(),
            scale: 1.0,
        };
        relaxation.begin_rows();
        relaxation
    }

    /// The rows that are there from the beginning.
    fn begin_rows(&mut self) {
        let problem = Arc::clone(&self.problem);
        for (at, turn) in problem.turns.iter().enumerate() {
            let places = i64::try_from(turn.places).unwrap_or(i64::MAX);
            let mut entries: Vec<(usize, i64)> =
                self.by_turn[at].iter().map(|column| (*column, 1)).collect();
            entries.push((self.empty[at], 1));
            self.add(entries, places, places);
            let Some(here) = self.here[at] else {
                continue;
            };
            let of = |column: &usize| &problem.members[self.places[*column].0];
            let mut entries: Vec<(usize, i64)> = (self.by_turn[at].iter())
                .filter(|column| of(column).experienced)
                .map(|column| (*column, 1))
                .collect();
            let mut shy: Vec<(usize, i64)> = (self.by_turn[at].iter())
                .filter(|column| of(column).not_alone)
                .map(|column| (*column, 1))
                .collect();
            entries.push((here, -1));
            self.add(entries, 0, places);
            shy.push((here, 1 - places));
            self.add(shy, -places, 0);
        }
        for member in 0..problem.members.len() {
            let kept: i64 = (self.by_member[member].iter())
                .filter(|(_, column)| self.low[*column] == 1)
                .map(|(_, column)| problem.turns[self.places[*column].1].effort)
                .sum();
            let mut entries: Vec<(usize, i64)> = (self.by_member[member].iter())
                .map(|(_, column)| (*column, problem.turns[self.places[*column].1].effort))
                .collect();
            entries.extend(self.segments[member].iter().map(|s| (s.column, -1)));
            if !entries.is_empty() {
                self.add(entries, kept, kept);
            }
        }
        for (column, group) in [self.counts.clone(), self.empty_counts.clone()].concat() {
            let mut entries: Vec<(usize, i64)> = group.into_iter().map(|c| (c, 1)).collect();
            entries.push((column, -1));
            self.add(entries, 0, 0);
        }
    }

    /// Adds a row and gives its number.
    pub(in super::super) fn add(
        &mut self,
        entries: Vec<(usize, i64)>,
        low: i64,
        high: i64,
    ) -> usize {
        self.add_scaled(entries, low, high, 1.0)
    }

    fn add_scaled(&mut self, entries: Vec<(usize, i64)>, low: i64, high: i64, scale: f64) -> usize {
        let real_entries: Vec<(usize, f64)> = (entries.iter())
            .map(|(column, value)| (*column, real(*value) * scale))
            .collect();
        self.dual
            .add_row(&real_entries, real(low) * scale, real(high) * scale);
        self.rows.push(Row {
            entries,
            low,
            high,
            scale,
        });
        self.rows.len() - 1
    }

    /// What each column adds to an aim; wishes count negative, so that less is better always.
    fn aim_costs(&self, aim: Aim) -> Vec<i64> {
        let mut costs = vec![0; self.low.len()];
        match aim {
            Aim::EmptyPlaces => {
                for column in &self.empty {
                    costs[*column] = 1;
                }
            }
            Aim::Changes | Aim::Wishes => {
                for (column, (member, turn)) in self.places.iter().enumerate() {
                    costs[column] = if aim == Aim::Changes {
                        self.problem.change(*member, *turn)
                    } else {
                        -self.problem.wish(*member, *turn)
                    };
                }
            }
            Aim::Fairness => {
                for segment in self.segments.iter().flatten() {
                    costs[segment.column] = segment.rise / segment.width;
                }
            }
        }
        costs
    }

    /// What an aim is worth beside what its columns add.
    pub(in super::super) fn aim_start(&self, aim: Aim) -> i64 {
        let problem = &self.problem;
        match aim {
            Aim::EmptyPlaces | Aim::Wishes => 0,
            Aim::Changes => problem.in_force_places,
            Aim::Fairness => {
                let kept = (0..problem.members.len()).map(|member| {
                    let effort = (self.by_member[member].iter())
                        .filter(|(_, column)| problem.kept.has(member, self.places[*column].1))
                        .map(|(_, column)| problem.turns[self.places[*column].1].effort)
                        .sum();
                    problem.part(member, effort)
                });
                problem.snapshot.fairness().start() + kept.sum::<i64>()
            }
        }
    }

    /// Works on this aim from now on.
    pub(in super::super) fn aim_at(&mut self, aim: Aim) {
        self.costs = self.aim_costs(aim);
        let largest = self.costs.iter().map(|cost| cost.abs()).max().unwrap_or(1);
        self.scale = if aim == Aim::Fairness {
            100.0 / real(largest.max(1))
        } else {
            1.0
        };
        let costs: Vec<f64> = (self.costs.iter())
            .map(|cost| real(*cost) * self.scale)
            .collect();
        self.dual.set_costs(&costs);
    }

    /// From now on an aim may not be worse than this value.
    pub(in super::super) fn hold(&mut self, aim: Aim, value: i64) {
        let limit = value - self.aim_start(aim);
        if aim == Aim::EmptyPlaces && limit == 0 {
            for column in self.empty.clone() {
                self.fix(column, 0, 0);
            }
            return;
        }
        let costs = self.aim_costs(aim);
        let entries: Vec<(usize, i64)> = (costs.into_iter().enumerate())
            .filter(|(_, cost)| *cost != 0)
            .collect();
        let least: i64 = (entries.iter())
            .map(|(column, cost)| (cost * self.low[*column]).min(cost * self.high[*column]))
            .sum();
        let largest = entries
            .iter()
            .map(|(_, cost)| cost.abs())
            .max()
            .unwrap_or(1);
        let scale = if aim == Aim::Fairness {
            10.0 / real(largest.max(1))
        } else {
            1.0
        };
        self.add_scaled(entries, least.min(limit), limit, scale);
    }

    /// Narrows the box of a column for good.
    pub(in super::super) fn fix(&mut self, column: usize, low: i64, high: i64) {
        self.low[column] = low;
        self.high[column] = high;
        self.dual.set_box(column, real(low), real(high));
    }
}

impl Segment {
    /// The width as a real number.
    pub(in super::super) fn real_width(&self) -> f64 {
        real(self.width)
    }
}
