//! The closed building, the bin at its last turn, and the bin's way from day to day.

use super::closing::{ClosedDay, Closing, Heating};
use super::drying::moisture_after;
use super::serving::{Serving, serve};
use super::settings::ClosureSettings;
use super::standing::Broken;
use crate::living_bin::habitat::Habitat;
use crate::living_bin::outlook::{Outlook, due_then};
use crate::living_bin::state::BinState;
use crate::living_bin::time::days_between;
use crate::site::Spot;
use crate::units::Kg;
use chrono::{DateTime, Utc};

/// What every plan for a closure is tried on. Moments go by their place: 0 is the last turn,
/// then come the closed days, and the last is the first turn after.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    /// The bin in the closed building.
    pub habitat: Habitat,
    pub settings: ClosureSettings,
    pub moments: Vec<DateTime<Utc>>,
    /// Whether somebody can come at a moment; false for both turns.
    pub can_visit: Vec<bool>,
    /// Whether somebody comes at a moment whatever is planned; false for both turns.
    pub comes: Vec<bool>,
    /// The bin just after the last turn.
    pub left: BinState,
    /// What goes in at the last turn.
    pub last_serving: Serving,
    /// The first moment at which somebody can come, if the bed is too dry for the worms by then
    /// whatever is planned.
    pub dry_by: Option<usize>,
}

impl Ground {
    pub(crate) fn of(closing: &Closing<'_>) -> Self {
        let habitat = closed(closing.habitat, closing.heating, &closing.settings);
        let moments: Vec<DateTime<Utc>> = closing.moments().collect();
        let between = |of: fn(&ClosedDay) -> bool| -> Vec<bool> {
            let days = closing.days.iter().map(of);
            std::iter::once(false).chain(days).chain([false]).collect()
        };

        let mut left = at_last_turn(closing);
        let later = due_then(closing.bookings, closing.state.at, closing.last_turn);
        let later: Vec<_> = (later.into_iter())
            .filter(|booking| booking.due_at > closing.last_turn)
            .collect();
        let days = days_between(closing.last_turn, closing.first_turn);
        let half_life = closing.habitat.settings.bedding_half_life_days;
        let used_up = Kg(left.bedding.0 * (1.0 - libm::exp2(-days / half_life)));
        let last_serving = if closing.is_looked_after {
            serve(closing.habitat, &mut left, used_up, &later)
        } else {
            Serving::NOTHING
        };
        let mut ground = Self {
            habitat,
            settings: closing.settings,
            moments,
            can_visit: between(|day| day.can_visit || day.comes),
            comes: between(|day| day.comes),
            left,
            last_serving,
            dry_by: None,
        };
        if !closing.is_looked_after {
            ground.dry_by = ground.dry_by_the_first_visit();
        }
        ground
    }

    fn dry_by_the_first_visit(&self) -> Option<usize> {
        let first = *self.possible().first()?;
        let mut state = self.left.clone();
        self.pass_by_day(&mut state, first);
        (!self.damp_enough(&state, first)).then_some(first)
    }

    /// The place of the first turn after.
    pub(crate) fn end(&self) -> usize {
        self.moments.len().saturating_sub(1)
    }

    /// The places of all days on which somebody can come.
    pub(crate) fn possible(&self) -> Vec<usize> {
        (0..self.end()).filter(|at| self.can_visit[*at]).collect()
    }

    /// The places of all days on which somebody comes whatever is planned.
    pub(crate) fn certain(&self) -> Vec<usize> {
        (0..self.end()).filter(|at| self.comes[*at]).collect()
    }

    /// Nobody comes until this moment.
    pub(crate) fn pass(&self, state: &mut BinState, to: usize) {
        state.advance(&self.habitat, self.moments[to]);
        state.moisture = moisture_after(&self.habitat.settings, state.vitals.unattended);
    }

    /// The same, day by day from wherever the bin is.
    pub(crate) fn pass_by_day(&self, state: &mut BinState, to: usize) {
        for at in 1..=to {
            self.pass(state, at);
        }
    }

    /// Somebody looks after the bin now.
    pub(crate) fn visit(&self, state: &mut BinState) -> Serving {
        serve(&self.habitat, state, Kg(0.0), &[])
    }

    /// The part of the worms at the last turn that lives.
    pub(crate) fn share(&self, state: &BinState) -> f64 {
        state.vitals.worms_kg / self.left.vitals.worms_kg
    }

    pub(crate) fn enough_worms(&self, state: &BinState) -> bool {
        self.share(state) >= self.settings.wanted_share.0
    }

    /// The bed is not too dry for somebody who comes at this moment.
    pub(crate) fn damp_enough(&self, state: &BinState, at: usize) -> bool {
        state.vitals.unattended <= self.most_unattended(at)
    }

    /// Whether somebody who comes at this moment, after a visit at an earlier one or after the last
    /// turn, comes in time. A bed that nobody can find damp any more is saved by whoever comes
    /// first: on the first day on which anybody can, or as agreed.
    pub(crate) fn in_time(&self, state: &BinState, after: usize, at: usize) -> bool {
        let saves = |first: usize| after == 0 && (at == first || self.comes[at]);
        self.dry_by.is_some_and(saves) || self.damp_enough(state, at)
    }

    /// Days without anybody that the bed may have behind it, at the pace of 20 degrees Celsius.
    pub(crate) fn most_unattended(&self, at: usize) -> f64 {
        let damp = self.habitat.settings.unattended_days;
        if at == self.end() {
            damp + self.settings.first_turn_grace_days
        } else {
            damp
        }
    }

    /// Whether these visits, by their places in order, keep everything.
    pub(crate) fn holds(&self, visits: &[usize]) -> bool {
        self.broken(visits).is_none()
    }

    /// The first moment at which these visits do not keep everything, and what breaks then.
    pub(crate) fn broken(&self, visits: &[usize]) -> Option<(usize, Broken)> {
        let mut broken = None;
        self.run(&self.left, visits, |at, state| {
            let looked_at = at == self.end() || visits.contains(&at);
            let before = visits.iter().rfind(|visit| **visit < at);
            let in_time = self.in_time(state, before.copied().unwrap_or(0), at);
            if !self.enough_worms(state) || (looked_at && !in_time) {
                let what = if self.damp_enough(state, at) {
                    Broken::Worms
                } else {
                    Broken::Damp
                };
                broken = Some((at, what));
            }
            broken.is_none()
        });
        broken
    }

    /// Goes through the span with these visits. `look` sees the bin at each moment, before
    /// anybody does anything, and says whether to go on.
    pub(crate) fn run(
        &self,
        from: &BinState,
        visits: &[usize],
        mut look: impl FnMut(usize, &BinState) -> bool,
    ) {
        let mut state = from.clone();
        for at in 1..=self.end() {
            self.pass(&mut state, at);
            if !look(at, &state) {
                return;
            }
            if visits.contains(&at) {
                self.visit(&mut state);
            }
        }
    }
}

/// The bin when somebody comes for the last turn: what was promised until then is in.
fn at_last_turn(closing: &Closing<'_>) -> BinState {
    let mut state = closing.state.clone();
    let kept = Outlook::cautious(closing.habitat, &state)
        .room(closing.bookings)
        .kept;
    for booking in kept.iter().filter(|kept| kept.due_at <= closing.last_turn) {
        state.advance(closing.habitat, booking.due_at);
        state.expect_food(booking.amount.kg());
    }
    state.advance(closing.habitat, closing.last_turn);
    state
}

/// The bin in the closed building. Without heating one that stands indoors follows the air as
/// one under a roof does, and what was read while the building was warm fades as any reading
/// does; with heating the bed dries faster (both our suggestion).
fn closed(habitat: &Habitat, heating: Heating, settings: &ClosureSettings) -> Habitat {
    let mut closed = habitat.clone();
    match (habitat.shape.spot, heating) {
        (Spot::Indoors, Heating::Off) => closed.shape.spot = Spot::Sheltered,
        (Spot::Indoors, Heating::On) => {
            closed.settings.unattended_days /= settings.heated_drying;
        }
        (Spot::Sheltered | Spot::Outdoors, _) => {}
    }
    closed
}
