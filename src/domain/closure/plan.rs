//! The plan for a closed span.

use super::band::shares;
use super::closing::{Closing, ClosingError};
use super::drying::moisture_after;
use super::ground::Ground;
use super::host::{HostStep, Shortfall, Unvisited, shortfall};
use super::search::{Found, fewest_visits};
use super::serving::{Serving, ordinary_meal, room};
use super::standing::{Broken, ShareBand, Standing, standing};
use super::visit_days::{earliest_days, later_breaks, with_days_to_spare};
use crate::living_bin::climate::BedTemperature;
use crate::living_bin::state::BinState;
use crate::units::{Fraction, Grams};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What a bin needs before, during and after a closure. Values only.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClosurePlan {
    /// The last turn before.
    pub last_turn: DateTime<Utc>,
    /// What goes in then if the bin stays.
    pub last_serving: Serving,
    /// The bed on the coldest of the days.
    pub coldest: BedOn,
    /// The bed on the warmest of the days.
    pub warmest: BedOn,
    /// What becomes of the bin if nobody comes.
    pub unvisited: Unvisited,
    /// What to do.
    pub course: Course,
    /// No plan has fewer visits; or, without a plan, there is none. False only when there were
    /// too many choices to try them all.
    pub proven: bool,
}

/// The bed's temperature on a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BedOn {
    /// The moment.
    pub at: DateTime<Utc>,
    /// Degrees Celsius, with the spread.
    pub bed: BedTemperature,
}

/// What to do during a closure.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Course {
    /// Nobody, or somebody now and then.
    Stay {
        /// The visits, in order; none if the bin does without.
        visits: Vec<Visit>,
        /// The bin at the first turn after.
        end: Standing,
        /// How to begin again.
        resume: Resume,
    },
    /// No visits can keep the bin: it should move.
    Move {
        /// Why.
        why: Shortfall,
        /// What that takes, in order.
        checklist: Vec<HostStep>,
        /// The visits on days on which somebody comes whatever is planned: they help the bin
        /// until it moves.
        visits: Vec<Visit>,
    },
}

/// A visit: somebody looks into the bin, feeds and waters it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Visit {
    /// The first day from which on any day up to the latest would do, those before as planned,
    /// and as many after it on days that are planned anew.
    pub earliest: DateTime<Utc>,
    /// The latest day.
    pub latest: DateTime<Utc>,
    /// The day to agree on: up to three days on which somebody can come before the latest, if
    /// all visits together still keep everything on the days to agree on; else the latest. How
    /// the bin is then and what goes in is reckoned for all visits on these days, so that it
    /// stays the same once they are agreed on.
    pub agreed: DateTime<Utc>,
    /// Whether somebody comes then whatever is planned: all three are the same day.
    pub comes: bool,
    /// What would break if somebody came on the next day on which they can, all others as
    /// planned; nothing if nobody can come again before the next visit.
    pub later_breaks: Option<Broken>,
    /// The bin when somebody comes.
    pub before: Standing,
    /// What goes in.
    pub serving: Serving,
}

/// How to begin again after a closure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Resume {
    /// The first meal.
    pub meal: Grams,
    /// What the bin can take then.
    pub room: Grams,
    /// What part of a full meal goes in during each week to come, until meals are full again;
    /// none if they are at once.
    pub ramp: Vec<f64>,
}

impl Closing<'_> {
    /// The plan.
    ///
    /// # Errors
    /// When there is nothing to plan.
    pub fn plan(&self) -> Result<ClosurePlan, ClosingError> {
        self.checked()?;
        let ground = Ground::of(self);
        let Found { visits, proven } = fewest_visits(&ground);
        let course = match visits {
            Ok(visits) => stay(&ground, &visits),
            Err(broken) => Course::Move {
                why: shortfall(&ground, broken),
                checklist: HostStep::ALL.to_vec(),
                visits: agreed_visits(&ground),
            },
        };
        let (coldest, warmest) = extremes(&ground);
        Ok(ClosurePlan {
            last_turn: self.last_turn,
            last_serving: ground.last_serving,
            coldest,
            warmest,
            unvisited: unvisited(&ground),
            course,
            proven,
        })
    }
}

impl Closing<'_> {
    /// What goes in on a day on which somebody comes, with nobody there but on such days.
    ///
    /// # Errors
    /// When there is nothing to plan.
    pub fn serving_on(&self, at: DateTime<Utc>) -> Result<Option<Serving>, ClosingError> {
        self.checked()?;
        let ground = Ground::of(self);
        let mut state = ground.left.clone();
        for day in ground.certain() {
            ground.pass_by_day(&mut state, day);
            let serving = ground.visit(&mut state);
            if ground.moments[day] == at {
                return Ok(Some(serving));
            }
        }
        Ok(None)
    }
}

fn stay(ground: &Ground, days: &[usize]) -> Course {
    let earliest = earliest_days(ground, days);
    let agreed = with_days_to_spare(ground, days, &earliest);
    let shares = shares(ground, &agreed);
    let windows = earliest.iter().zip(days).zip(&agreed);
    let windows = windows.map(|((earliest, latest), agreed)| (*earliest, *latest, *agreed));
    let (visits, state) = visits_in(ground, &windows.collect::<Vec<_>>(), &shares);
    let share = shares[ground.end()];
    Course::Stay {
        visits,
        end: standing(ground, &state, share),
        resume: resume(ground, &state, share),
    }
}

/// The visits on days on which somebody comes whatever is planned, and no others.
fn agreed_visits(ground: &Ground) -> Vec<Visit> {
    let days = ground.certain();
    let windows: Vec<_> = days.iter().map(|day| (*day, *day, *day)).collect();
    visits_in(ground, &windows, &shares(ground, &days)).0
}

/// A visit for each earliest day, latest day and day to agree on, and the bin in the end. The
/// shares are those of the course with visits on the days to agree on.
fn visits_in(
    ground: &Ground,
    windows: &[(usize, usize, usize)],
    shares: &[ShareBand],
) -> (Vec<Visit>, BinState) {
    let latest_days: Vec<usize> = windows.iter().map(|(_, latest, _)| *latest).collect();
    let mut state = ground.left.clone();
    let mut visits = Vec::with_capacity(windows.len());
    for (i, &(earliest, latest, agreed)) in windows.iter().enumerate() {
        ground.pass_by_day(&mut state, agreed);
        let before = standing(ground, &state, shares[agreed]);
        visits.push(Visit {
            earliest: ground.moments[earliest],
            latest: ground.moments[latest],
            agreed: ground.moments[agreed],
            comes: ground.comes[latest],
            later_breaks: later_breaks(ground, &latest_days, i),
            before,
            serving: ground.visit(&mut state),
        });
    }
    ground.pass_by_day(&mut state, ground.end());
    (visits, state)
}

/// A stock that declined goes through the part of the ramp that is left to it: the step that is
/// not above its share comes first.
fn resume(ground: &Ground, state: &BinState, share: ShareBand) -> Resume {
    let s = &ground.habitat.settings;
    let lives = share.middle.0;
    let ramp = if lives < ground.settings.ramp_below.0 {
        let first = s.ramp.iter().rposition(|step| *step <= lives).unwrap_or(0);
        s.ramp.get(first..).unwrap_or_default().to_vec()
    } else {
        Vec::new()
    };
    let room = room(&ground.habitat, state, &[]);
    let ordinary = ordinary_meal(&ground.habitat, state);
    let step = ramp.first().copied().unwrap_or(1.0);
    Resume {
        meal: room.min(Grams::rounded_down(ordinary.kg() * step)),
        room,
        ramp,
    }
}

fn unvisited(ground: &Ground) -> Unvisited {
    let shares = shares(ground, &[]);
    let first_below = |share: Fraction| {
        let below = shares.iter().position(|lives| lives.middle < share);
        below.map(|at| ground.moments[at])
    };
    let mut state = ground.left.clone();
    ground.pass_by_day(&mut state, ground.end());
    Unvisited {
        share: shares[ground.end()],
        moisture: moisture_after(&ground.habitat.settings, state.vitals.unattended),
        below_wanted_at: first_below(ground.settings.wanted_share),
        lost_at: first_below(ground.settings.lost_share),
    }
}

fn extremes(ground: &Ground) -> (BedOn, BedOn) {
    let on = |at: DateTime<Utc>| BedOn {
        at,
        bed: ground.habitat.bed_temperature(ground.left.reading, at),
    };
    let first = on(ground.left.at);
    let days = ground.moments.iter().map(|at| on(*at));
    days.fold((first, first), |(coldest, warmest), day| {
        (
            if day.bed.bed < coldest.bed.bed {
                day
            } else {
                coldest
            },
            if day.bed.bed > warmest.bed.bed {
                day
            } else {
                warmest
            },
        )
    })
}
