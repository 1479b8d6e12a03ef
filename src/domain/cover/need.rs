//! Whether a bin needs a turn that somebody cannot come to, and until when somebody must come.
//!
//! The bin is followed through its coming turns without the one asked about. Only people who are
//! sure to come count on the others. The bin needs the turn if
//!
//! - its bed begins to dry before the next of them looks after it, or
//! - its worms lose more than [`LOSS_BORNE`] to hunger before the next of them feeds it.
//!
//! Nothing else makes a turn needed. Warnings of heat and frost are not the turn's to answer:
//! they go to whoever keeps the bin, turn or no turn.

use super::course::{Bin, ComingTurn, Course, between};
use crate::coded::coded;
use crate::living_bin::gate::Gate;
use crate::living_bin::habitat::Habitat;
use crate::living_bin::rhythm::ROUND_DAYS;
use crate::living_bin::state::BinState;
use crate::living_bin::time::days_between;
use crate::turns::Duty;
use crate::units::{Fraction, Grams};
use chrono::{DateTime, TimeDelta, Utc};

/// The share of its worms that a bin may lose to hunger (our suggestion: what four weeks without
/// food cost at 20 degrees Celsius, reckoned from the parameters of Johnston et al. 2014).
pub const LOSS_BORNE: Fraction = Fraction(0.10);
/// The share below which nobody would notice that worms were hungry (our suggestion).
pub const LOSS_UNNOTICED: Fraction = Fraction(0.02);

/// Drying is not looked for further ahead: even in frost a bed left alone dries sooner.
const FURTHEST: TimeDelta = TimeDelta::days(366);

coded! {
    /// Whether a turn must happen.
    Verdict {
        /// The bin would go without for longer than it can.
        Needed = "needed",
        /// The bin can go without, but something waits.
        Helpful = "helpful",
        /// The turn may stay empty.
        NotNeeded = "not_needed",
    }
}

coded! {
    /// Why.
    Reason {
        /// The bed begins to dry before anybody is sure to come.
        Drying = "drying",
        /// Hunger takes more of the worms than is borne before anybody is sure to feed them.
        Starving = "starving",
        /// Hunger takes some of the worms before anybody is sure to feed them.
        Hungry = "hungry",
        /// The bed was found drier than food and bedding should be.
        DryBed = "dry_bed",
        /// Feeding is held until somebody looks.
        Rests = "rests",
        /// Nothing fits in on that day, as in heat and cold.
        TakesNothing = "takes_nothing",
        /// Castings stay in for longer.
        CastingsWait = "castings_wait",
        /// The worms do not notice it.
        AroundTheBin = "around_the_bin",
        /// Others come to the same turn.
        OthersCome = "others_come",
        /// Hardly a worm lives in it.
        NoWorms = "no_worms",
        /// The bin stays within what it can go without.
        CanWait = "can_wait",
    }
}

/// Whether a turn must happen, why, and what that was reckoned from. If others come to it, the
/// figures say what would be without them too.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Whether.
    pub verdict: Verdict,
    /// Why.
    pub reason: Reason,
    /// How many others come to the turn.
    pub others: u32,
    /// When somebody looks after the bin for the last time before the turn: one who is sure to
    /// come, or else the last who stocked it, fed it or told what they saw.
    pub last_care_at: DateTime<Utc>,
    /// When the next one after the turn is sure to come; none if nobody is.
    pub next_care_at: Option<DateTime<Utc>>,
    /// When the bed begins to dry if nobody comes after `last_care_at`.
    pub dries_at: DateTime<Utc>,
    /// Whether the bed is dry now, and nobody is sure to see to it before the turn.
    pub is_dry: bool,
    /// When hunger begins to take worms if nobody feeds them after the last who is sure to before
    /// the turn; none if it does not until `seen_at`.
    pub hungry_at: Option<DateTime<Utc>>,
    /// The instant at which the worms are compared: the next sure turn that does the same for
    /// the bin, or four weeks on if there is none.
    pub seen_at: DateTime<Utc>,
    /// The worms alive then, of those alive now, if somebody comes to the turn.
    pub worms_with: Fraction,
    /// The same if nobody does.
    pub worms_without: Fraction,
    /// The worms that hunger alone takes until then if nobody comes to the turn.
    pub lost_to_hunger: Fraction,
    /// The latest instant at which somebody must have come, whether it is before the turn or
    /// after it.
    pub deadline: DateTime<Utc>,
}

impl Need {
    /// Days without care around the turn if it stays empty; none if nobody is sure to come.
    #[must_use]
    pub fn gap_days(&self) -> Option<f64> {
        (self.next_care_at).map(|next| days_between(self.last_care_at, next))
    }

    /// Days that the bin can go without care at the temperature that is expected: 21 at 20
    /// degrees Celsius.
    #[must_use]
    pub fn bears_days(&self) -> f64 {
        days_between(self.last_care_at, self.dries_at)
    }
}

/// Whether the bin needs one more person on the turn at this position; none if there is no such
/// turn. Turns must be in order of time, and none before the bin's instant.
#[must_use]
pub fn need(bin: &Bin<'_>, turns: &[ComingTurn], asked: usize) -> Option<Need> {
    let turn = turns.get(asked)?;
    let (before, after) = (&turns[..asked], &turns[asked + 1..]);
    let alone = Course::begin(*bin).through(last(before, ComingTurn::tends));
    let with = || {
        let mut course = alone.clone();
        course.come(turn);
        course
    };
    let next = |does: fn(&ComingTurn) -> bool| {
        let sure = after.iter().find(|turn| turn.is_sure() && does(turn));
        sure.map(|turn| turn.at)
    };
    let next_care_at = next(ComingTurn::tends);
    let next_food_at = next(ComingTurn::feeds);
    let next_same_at = if turn.feeds() {
        next_food_at
    } else {
        next_care_at
    };
    let seen_at = next_same_at.unwrap_or_else(|| turn.at + TimeDelta::days(i64::from(ROUND_DAYS)));
    let worms_at = |course: Course<'_>, at: DateTime<Utc>| {
        let meanwhile = after.iter().take_while(|turn| turn.at < at);
        course.through(meanwhile).worms_at(at)
    };
    let dry_after = bin.habitat.settings.unattended_days;
    let far = turn.at + FURTHEST;
    let dries_at = alone
        .first(far, |state| state.vitals.unattended >= dry_after)
        .unwrap_or(far);
    let is_dry = alone.state().at <= bin.state.at && bin.state.vitals.unattended >= dry_after;
    let mild = without_deaths(bin.habitat);
    let mild = Bin {
        habitat: &mild,
        ..*bin
    };
    let unfed = Course::begin(mild).through(last(before, ComingTurn::feeds));
    let hungry_at = unfed.first(seen_at, |state| state.vitals.hunger >= 1.0);
    let hungry_from = hungry_at.unwrap_or(seen_at);
    let at_first = unfed.clone().worms_at(hungry_from);
    let lost = |at| 1.0 - unfed.clone().worms_at(at) / at_first;
    let lost_to_hunger = Fraction(libm::fmax(lost(seen_at), 0.0));
    let findings = Findings {
        others: turn.held,
        takes_food: alone.room_at(turn.at) > Grams::ZERO,
        dries: next_care_at.is_none_or(|next| dries_at < next),
        lost_to_hunger,
    };
    let (verdict, reason) = findings.verdict(bin, turn);
    let of_now = |kg: f64| Fraction(kg / libm::fmax(bin.state.vitals.worms_kg, f64::MIN_POSITIVE));
    Some(Need {
        verdict,
        reason,
        others: turn.held,
        last_care_at: last_care_at(bin.state, before),
        next_care_at,
        dries_at,
        is_dry,
        hungry_at,
        seen_at,
        worms_with: of_now(worms_at(with(), seen_at)),
        worms_without: of_now(worms_at(alone.clone(), seen_at)),
        lost_to_hunger,
        deadline: if reason == Reason::Starving {
            between(hungry_from, seen_at, |at| lost(at) > LOSS_BORNE.0)
        } else {
            dries_at
        },
    })
}

/// What was found about a turn that stays empty.
struct Findings {
    others: u32,
    takes_food: bool,
    dries: bool,
    lost_to_hunger: Fraction,
}

impl Findings {
    fn verdict(&self, bin: &Bin<'_>, turn: &ComingTurn) -> (Verdict, Reason) {
        let alone = self.alone(bin, turn);
        if self.others == 0 || alone.0 == Verdict::NotNeeded {
            return alone;
        }
        // Half of those it was meant for do the work of the bin; fewer would be glad of a hand
        // (our suggestion).
        if self.others.saturating_mul(2) >= turn.places {
            (Verdict::NotNeeded, Reason::OthersCome)
        } else {
            (Verdict::Helpful, Reason::OthersCome)
        }
    }

    /// The same if no others come to the turn.
    fn alone(&self, bin: &Bin<'_>, turn: &ComingTurn) -> (Verdict, Reason) {
        let state = bin.state;
        if state.is_without_worms(bin.habitat) {
            return (Verdict::NotNeeded, Reason::NoWorms);
        }
        let loses = |more: Fraction| self.lost_to_hunger > more;
        let dry_bed = state.moisture < bin.habitat.settings.mix_driest;
        match turn.duty {
            Duty::Tidying => (Verdict::Helpful, Reason::AroundTheBin),
            _ if self.dries => (Verdict::Needed, Reason::Drying),
            Duty::Feeding | Duty::Looking if state.gate != Gate::Open => {
                (Verdict::Helpful, Reason::Rests)
            }
            Duty::Feeding if !self.takes_food => (Verdict::NotNeeded, Reason::TakesNothing),
            Duty::Feeding if loses(LOSS_BORNE) => (Verdict::Needed, Reason::Starving),
            Duty::Feeding if loses(LOSS_UNNOTICED) => (Verdict::Helpful, Reason::Hungry),
            Duty::Watering if dry_bed => (Verdict::Helpful, Reason::DryBed),
            Duty::Harvest => (Verdict::Helpful, Reason::CastingsWait),
            _ => (Verdict::NotNeeded, Reason::CanWait),
        }
    }
}

/// The same surroundings, in which worms die of nothing but hunger.
fn without_deaths(habitat: &Habitat) -> Habitat {
    let mut mild = habitat.clone();
    mild.settings.lethal_loss_per_day = 0.0;
    mild.settings.drying_loss_per_day = 0.0;
    mild
}

/// The turns up to the last one that somebody is sure to come to and that does something.
fn last(turns: &[ComingTurn], does: fn(&ComingTurn) -> bool) -> &[ComingTurn] {
    let at = turns.iter().rposition(|turn| turn.is_sure() && does(turn));
    &turns[..at.map_or(0, |at| at + 1)]
}

fn last_care_at(state: &BinState, before: &[ComingTurn]) -> DateTime<Utc> {
    let coming = last(before, ComingTurn::tends).last();
    let known = [state.last_fed_at, state.last_check_at];
    let past = (known.into_iter().flatten()).fold(state.stocked_at, DateTime::max);
    coming.map_or(past, |turn| turn.at)
}
