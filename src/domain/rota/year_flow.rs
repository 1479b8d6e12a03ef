//! The least spread of a year's effort that limits allow: a flow of effort from turns over
//! what members can reach in a quarter to what they have in the end.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    reason = "helpers of tests are tests too"
)]

use super::problem::Problem;

/// One way for effort to go, and how much more may go there.
struct Way {
    to: usize,
    left: i64,
}

/// A net of ways; each has its way back right after it.
#[derive(Default)]
struct Net {
    ways: Vec<Way>,
    from: Vec<Vec<usize>>,
}

impl Net {
    fn node(&mut self) -> usize {
        self.from.push(Vec::new());
        self.from.len() - 1
    }

    fn way(&mut self, from: usize, to: usize, most: i64) {
        for (from, to, left) in [(from, to, most), (to, from, 0)] {
            self.from[from].push(self.ways.len());
            self.ways.push(Way { to, left });
        }
    }

    /// Sends as much as can go, breadth first.
    fn send(&mut self, source: usize, sink: usize) -> i64 {
        let mut sent = 0;
        loop {
            let mut came = vec![usize::MAX; self.from.len()];
            let mut queue = vec![source];
            let mut at = 0;
            while at < queue.len() && came[sink] == usize::MAX {
                for way in &self.from[queue[at]] {
                    let to = self.ways[*way].to;
                    if self.ways[*way].left > 0 && to != source && came[to] == usize::MAX {
                        came[to] = *way;
                        queue.push(to);
                    }
                }
                at += 1;
            }
            if came[sink] == usize::MAX {
                return sent;
            }
            let mut path = Vec::new();
            let mut node = sink;
            while node != source {
                path.push(came[node]);
                node = self.ways[came[node] ^ 1].to;
            }
            let most = path.iter().map(|way| self.ways[*way].left).min().unwrap();
            for way in path {
                self.ways[way].left -= most;
                self.ways[way ^ 1].left += most;
            }
            sent += most;
        }
    }
}

/// A turn's effort in all and for one person, and who may be on it.
type Source = (i64, i64, Vec<usize>);

/// The year so far: for each quarter its turns, and what each person can reach.
pub(super) struct Flow {
    people: usize,
    quarters: Vec<(Vec<Source>, Vec<i64>)>,
}

impl Flow {
    pub(super) const fn new(people: usize) -> Self {
        Self {
            people,
            quarters: Vec::new(),
        }
    }

    /// Adds a quarter; `here` says who each member of the problem is.
    pub(super) fn add_quarter(&mut self, problem: &Problem, here: &[usize]) {
        let turns = (problem.turns.iter())
            .map(|turn| {
                let may = turn.candidates.iter().map(|member| here[*member]).collect();
                (
                    turn.effort * i64::try_from(turn.places).unwrap(),
                    turn.effort,
                    may,
                )
            })
            .collect();
        let mut reach = vec![0; self.people];
        for (member, efforts) in problem.efforts.iter().enumerate() {
            reach[here[member]] = *efforts.last().unwrap();
        }
        self.quarters.push((turns, reach));
    }

    /// Whether all effort can be split so that everybody has at least `low` and at most
    /// `high` in the year.
    fn fits(&self, low: &[i64], high: &[i64]) -> bool {
        let mut net = Net::default();
        let (source, sink) = (net.node(), net.node());
        // What everybody has to have at least goes out by a way of its own.
        let (first, then) = (net.node(), net.node());
        let all: i64 = (self.quarters.iter())
            .flat_map(|(turns, _)| turns.iter().map(|turn| turn.0))
            .sum();
        let least: i64 = low.iter().sum();
        if least > all {
            return false;
        }
        net.way(first, sink, least);
        net.way(then, sink, all - least);
        let people: Vec<usize> = (0..self.people).map(|_| net.node()).collect();
        for (at, person) in people.iter().enumerate() {
            if high[at] < low[at] {
                return false;
            }
            net.way(*person, first, low[at]);
            net.way(*person, then, high[at] - low[at]);
        }
        for (turns, reach) in &self.quarters {
            let here: Vec<usize> = (0..self.people).map(|_| net.node()).collect();
            for (at, person) in people.iter().enumerate() {
                net.way(here[at], *person, reach[at]);
            }
            for (effort, once, may) in turns {
                let turn = net.node();
                net.way(source, turn, *effort);
                for person in may {
                    net.way(turn, here[*person], *once);
                }
            }
        }
        net.send(source, sink) == all
    }
}

/// The least number from `no` on, without it, up to `yes` for which something holds that goes
/// on holding.
fn least(mut no: i64, mut yes: i64, holds: impl Fn(i64) -> bool) -> i64 {
    while yes - no > 1 {
        let middle = no + (yes - no) / 2;
        if holds(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    yes
}

/// Further from the fair part than anybody comes in these tests.
const FAR: i64 = 4_096;

/// The least spread for those named with the effort that is fair and their share, to within
/// two units of effort; nobody else's matters.
pub(super) fn narrowest(flow: &Flow, goals: &[(usize, f64, f64)]) -> f64 {
    let fits = |low: i64, high: i64| {
        let mut least = vec![0; flow.people];
        let mut most = vec![i64::from(i32::MAX); flow.people];
        for (at, fair, share) in goals {
            least[*at] = ((fair + low as f64 * share).ceil() as i64).max(0);
            most[*at] = (fair + high as f64 * share).floor() as i64;
        }
        flow.fits(&least, &most)
    };
    // From the highest lower end downwards the spread falls and then rises again: mixing two
    // ways to split the effort is a way too.
    let highest = FAR - least(0, 2 * FAR, |down| fits(FAR - down, FAR));
    let spread = |low: i64| least(low - 1, FAR, |high| fits(low, high)) - low;
    let (mut from, mut to) = (-FAR, highest);
    while to - from > 2 {
        let third = (to - from) / 3;
        let (one, other) = (from + third, to - third);
        if spread(one) > spread(other) {
            from = one;
        } else {
            to = other;
        }
    }
    (from..=to).map(spread).min().unwrap() as f64
}
