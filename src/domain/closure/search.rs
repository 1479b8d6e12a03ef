//! The fewest visits that keep everything, each as late as can be.
//!
//! Whatever is chosen, what is done at a visit follows from the bin ([`super::serving`]), so a
//! plan is a set of days. The search goes through the sets by their number of visits, from none
//! on, and within a number with the latest days first: a later first visit before an earlier
//! one, and so on. The first that it finds has therefore the fewest visits, and of these the
//! latest first one, and of those the latest second one.
//!
//! Days on which somebody comes whatever is planned are in every set.
//!
//! That is exact, because a set is left out only when it cannot be a plan: a visit on a day on
//! which the bed is too dry already, or after too many worms have died, breaks a rule whatever
//! comes later; and what [`Bound`] promises for the rest no course can beat. It does not lean on
//! a later visit being better or worse than an earlier one, which is not true in general: later
//! ones keep the bed damp for longer, earlier ones feed worms before they starve.
//!
//! The number of sets has no useful limit, so the number of visits tried has one; past it the
//! answer says that it is not proven to be the fewest.

use super::bound::Bound;
use super::ground::Ground;
use super::standing::Broken;
use crate::living_bin::state::BinState;

/// Far more than the rounding of products, far less than a worm.
const ROUNDING: f64 = 1e-9;

/// What the search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    /// The places of the visits, in order; or, without a plan, what breaks first if somebody comes
    /// whenever they can.
    pub visits: Result<Vec<usize>, (usize, Broken)>,
    /// No plan has fewer visits, or there is none.
    pub proven: bool,
}

/// Searches all sets of days.
pub(crate) fn fewest_visits(ground: &Ground) -> Found {
    let possible = ground.possible();
    let mut search = Search::of(ground);
    let mut budget = ground.settings.most_tried;
    let mut proven = true;
    for visits in ground.certain().len()..=possible.len() {
        // Half of what is left to each number, since the proof matters most for the first.
        search.tries_left = budget.div_ceil(2);
        let given = search.tries_left;
        let found = search.after(&ground.left, 0, visits);
        budget -= given - search.tries_left;
        if let Some(visits) = found {
            return Found {
                visits: Ok(visits),
                proven,
            };
        }
        proven &= search.tries_left > 0;
    }
    let visits = match ground.broken(&possible) {
        Some(broken) => Err(broken),
        None => Ok(thinned(ground, possible)),
    };
    Found { visits, proven }
}

/// The same plan without the visits that can be left out one by one.
fn thinned(ground: &Ground, mut visits: Vec<usize>) -> Vec<usize> {
    let unsure = |at: &usize| !ground.comes[*at];
    for visit in visits.clone().into_iter().filter(unsure) {
        let fewer: Vec<usize> = visits.iter().copied().filter(|at| *at != visit).collect();
        if ground.holds(&fewer) {
            visits = fewer;
        }
    }
    visits
}

/// A walk through sets of days, with so many visits tried at most.
pub(crate) struct Search<'a> {
    ground: &'a Ground,
    bound: Bound,
    tries_left: u32,
}

impl<'a> Search<'a> {
    pub(crate) fn of(ground: &'a Ground) -> Self {
        Self {
            ground,
            bound: Bound::of(ground),
            tries_left: ground.settings.most_tried,
        }
    }

    /// Whether a visit on a day, and so many after it on whatever days, keep everything from a
    /// moment on.
    pub(crate) fn holds_after(
        &mut self,
        from: &BinState,
        at: usize,
        day: usize,
        visits: usize,
    ) -> bool {
        let ground = self.ground;
        let mut state = from.clone();
        for to in at + 1..=day {
            ground.pass(&mut state, to);
            if !ground.enough_worms(&state) {
                return false;
            }
        }
        if !ground.in_time(&state, at, day) {
            return false;
        }
        ground.visit(&mut state);
        self.after(&state, day, visits).is_some()
    }

    /// The latest days for exactly so many more visits after a moment.
    fn after(&mut self, state: &BinState, at: usize, visits: usize) -> Option<Vec<usize>> {
        let ground = self.ground;
        if !self.may_hold(state, at, visits) {
            return None;
        }
        if visits == 0 {
            if ground.comes.iter().skip(at + 1).any(|comes| *comes) {
                return None;
            }
            let mut alone = state.clone();
            let kept = (at + 1..=ground.end()).all(|to| {
                ground.pass(&mut alone, to);
                ground.enough_worms(&alone)
            });
            return (kept && ground.damp_enough(&alone, ground.end())).then(Vec::new);
        }
        for (to, mut visited) in self.next_visits(state, at, visits - 1) {
            if self.tries_left == 0 {
                return None;
            }
            self.tries_left -= 1;
            ground.visit(&mut visited);
            if let Some(mut later) = self.after(&visited, to, visits - 1) {
                later.insert(0, to);
                return Some(later);
            }
        }
        None
    }

    /// The days on which the next visit could be, latest first, and the bin then.
    fn next_visits(
        &mut self,
        state: &BinState,
        at: usize,
        visits_left: usize,
    ) -> Vec<(usize, BinState)> {
        let ground = self.ground;
        let mut state = state.clone();
        let mut days = Vec::new();
        for to in at + 1..ground.end() {
            ground.pass(&mut state, to);
            if !ground.enough_worms(&state) {
                break;
            }
            if !ground.in_time(&state, at, to) {
                // Whoever agreed to come later may still save a bed that is dry already.
                if at == 0 && ground.dry_by.is_some() {
                    continue;
                }
                break;
            }
            if ground.can_visit[to] && self.may_hold(&state, to, visits_left) {
                days.push((to, state.clone()));
            }
            if ground.comes[to] {
                break;
            }
        }
        days.reverse();
        days
    }

    /// Whether as many worms could live in the end at best, with somebody there at this moment.
    fn may_hold(&mut self, state: &BinState, at: usize, visits_left: usize) -> bool {
        let best = self.bound.best(self.ground, visits_left, at);
        self.ground.share(state) * best >= self.ground.settings.wanted_share.0 - ROUNDING
    }
}
