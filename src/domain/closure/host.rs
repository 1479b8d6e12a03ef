//! Where no visits can keep a bin: why, and what moving it to a host takes.

use super::ground::Ground;
use super::standing::{Broken, ShareBand};
use crate::coded::coded;
use crate::living_bin::time::plus_days;
use crate::units::Fraction;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

coded! {
    /// What the bin comes to even if somebody comes whenever they can.
    Danger {
        /// The bed gets so hot that worms die.
        DeadlyHeat = "deadly_heat",
        /// The bed freezes.
        DeadlyFrost = "deadly_frost",
        /// Nobody can come often enough to keep the bed damp.
        DriesOut = "dries_out",
        /// Too many worms die unfed: nobody can come often enough, or nothing may go in.
        Starves = "starves",
    }
}

coded! {
    /// What to see to when a bin moves to a host for a while, in order (common practice, no
    /// source).
    HostStep {
        /// Somebody who has room for it and looks after it until the bin is back.
        FindHost = "find_host",
        /// Out of the sun, where it stays between 15 and 25 degrees Celsius.
        ChoosePlace = "choose_place",
        /// No meal in the week before: a bin travels best when little lies in it.
        FeedLittleBefore = "feed_little_before",
        /// Let the liquid out first.
        DrainLiquid = "drain_liquid",
        /// Two carry it, level, trays strapped; never left in a car in the sun.
        CarryLevel = "carry_level",
        /// A light over it for the first nights: worms may want out after a move.
        LightFirstNights = "light_first_nights",
        /// Show the host how to ask before feeding, how damp it should be, and whom to ask.
        ShowHost = "show_host",
        /// Look at it together two days after.
        LookAfterTwoDays = "look_after_two_days",
        /// A day for the way back, before the first turn.
        AgreeReturn = "agree_return",
    }
}

/// A bin that no visits can keep.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shortfall {
    /// What it comes to.
    pub danger: Danger,
    /// When that first breaks a rule, with a visit on every day on which somebody can come.
    pub at: DateTime<Utc>,
    /// On how many days somebody can come.
    pub days_with_somebody: usize,
}

/// What it comes to, from what breaks first when somebody comes whenever they can.
pub(crate) fn shortfall(ground: &Ground, (at, broken): (usize, Broken)) -> Shortfall {
    let alive = match broken {
        Broken::Damp => Danger::DriesOut,
        Broken::Worms => Danger::Starves,
    };
    Shortfall {
        danger: deadly_until(ground, at).unwrap_or(alive),
        at: ground.moments[at],
        days_with_somebody: ground.possible().len(),
    }
}

/// Whether the bed was deadly before this moment.
fn deadly_until(ground: &Ground, until: usize) -> Option<Danger> {
    let s = &ground.habitat.settings;
    let (start, end) = (ground.moments[0], ground.moments[until]);
    let quarters = (0..).map(|quarter| plus_days(start, 0.25 * f64::from(quarter)));
    quarters.take_while(|t| *t <= end).find_map(|t| {
        let bed = ground.habitat.bed_temperature(ground.left.reading, t).bed;
        if bed > s.lethal_above {
            Some(Danger::DeadlyHeat)
        } else if bed < s.lethal_below {
            Some(Danger::DeadlyFrost)
        } else {
            None
        }
    })
}

/// What becomes of the bin if nobody comes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Unvisited {
    /// The share of its worms that lives at the first turn after.
    pub share: ShareBand,
    /// The bed's moisture then.
    pub moisture: Fraction,
    /// The first day on which fewer live than wanted.
    pub below_wanted_at: Option<DateTime<Utc>>,
    /// The first day on which the bin is lost.
    pub lost_at: Option<DateTime<Utc>>,
}
