//! Around the latest days of visits: on which days each could be as well, and which to agree on.

use super::ground::Ground;
use super::search::Search;
use super::standing::Broken;

/// Days between the day to agree on and the latest one (our suggestion).
const SPARE_DAYS: usize = 3;

/// The first of the days that do for each visit without a gap up to its latest one: those before
/// it as planned, and as many after it on whatever days do then.
pub(crate) fn earliest_days(ground: &Ground, days: &[usize]) -> Vec<usize> {
    let mut search = Search::of(ground);
    let mut state = ground.left.clone();
    let mut earliest = Vec::with_capacity(days.len());
    let mut after = 0;
    for (i, &latest) in days.iter().enumerate() {
        let left = days.len() - i - 1;
        let could = (after + 1..latest)
            .rev()
            .filter(|day| ground.can_visit[*day]);
        let could = could.take_while(|day| {
            !ground.comes[latest] && search.holds_after(&state, after, *day, left)
        });
        earliest.push(could.last().unwrap_or(latest));
        for to in after + 1..=latest {
            ground.pass(&mut state, to);
        }
        ground.visit(&mut state);
        after = latest;
    }
    earliest
}

/// The days to agree on: days before the latest ones, so that who is ill on one can still come on
/// another; one day earlier in turn, as often as we suggest and all of them together hold.
pub(crate) fn with_days_to_spare(
    ground: &Ground,
    days: &[usize],
    earliest: &[usize],
) -> Vec<usize> {
    let mut agreed = days.to_vec();
    for _ in 0..SPARE_DAYS {
        // From the end: the days between two visits stay as many.
        for visit in (0..days.len()).rev() {
            if ground.comes[days[visit]] {
                continue;
            }
            let after = visit.checked_sub(1).map_or(0, |before| agreed[before]);
            let mut earlier = (after + 1..agreed[visit]).rev();
            let Some(day) = earlier.find(|day| ground.can_visit[*day]) else {
                continue;
            };
            let mut moved = agreed.clone();
            moved[visit] = day;
            if day >= earliest[visit] && ground.holds(&moved) {
                agreed = moved;
            }
        }
    }
    agreed
}

/// What breaks if the visit is on the next day on which somebody can come, all others as planned;
/// nothing if nobody can come again before the next visit.
pub(crate) fn later_breaks(ground: &Ground, days: &[usize], visit: usize) -> Option<Broken> {
    let next_visit = days.get(visit + 1).copied().unwrap_or(ground.end());
    let mut further = days[visit] + 1..next_visit;
    let mut moved = days.to_vec();
    moved[visit] = further.find(|day| ground.can_visit[*day])?;
    ground.broken(&moved).map(|(_, what)| what)
}
