//! What goes into a bin at a visit: a meal, bedding and water.

use super::drying::{bed, dry_bedding};
use crate::food::{Composition, find, water_to_add};
use crate::living_bin::forecast::appetite;
use crate::living_bin::habitat::Habitat;
use crate::living_bin::mix::supplement;
use crate::living_bin::outlook::{Booking, Outlook};
use crate::living_bin::state::{BinState, Meal};
use crate::units::{Grams, Kg};
use serde::{Deserialize, Serialize};

/// What goes in, and what it may be at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Serving {
    /// Food: the room or an ordinary meal, whichever is less.
    pub meal: Grams,
    /// What the bin can take then, by the rules of every offer.
    pub room: Grams,
    /// An ordinary meal: what the bin eats in a week, at the cautious speed. More at once would
    /// rot before it is eaten and heat the bed (common practice, no source).
    pub ordinary: Grams,
    /// Dry bedding.
    pub dry: Grams,
    /// Water that brings the whole bed back to the moisture goal, millilitres.
    pub millilitres: i64,
    /// The bed was too dry for the worms: water goes in before anything else.
    pub water_first: bool,
}

impl Serving {
    /// Nothing goes in.
    pub(crate) const NOTHING: Self = Self {
        meal: Grams::ZERO,
        room: Grams::ZERO,
        ordinary: Grams::ZERO,
        dry: Grams::ZERO,
        millilitres: 0,
        water_first: false,
    };
}

/// The catalogue's usual mix of scraps: nobody knows yet what people will bring.
fn usual_scraps(amount: Grams) -> Composition {
    find("usual-mix").map_or_else(
        || Composition {
            mass: amount.kg(),
            ..Composition::default()
        },
        |item| item.composition(amount.kg()),
    )
}

/// The bin's room, bookings kept.
pub(crate) fn room(habitat: &Habitat, state: &BinState, bookings: &[Booking]) -> Grams {
    Outlook::cautious(habitat, state).room(bookings).amount
}

/// What the bin eats in a week at the cautious speed.
pub(crate) fn ordinary_meal(habitat: &Habitat, state: &BinState) -> Grams {
    let a_day = appetite(habitat, state).low;
    Grams::rounded_down(a_day * habitat.settings.uneaten_days)
}

/// Somebody looks after the bin now: bedding first, then as much food as may go in, then water.
/// At least `bedding` goes in, as far as the vessel has space.
pub(crate) fn serve(
    habitat: &Habitat,
    state: &mut BinState,
    bedding: Kg,
    bookings: &[Booking],
) -> Serving {
    let s = &habitat.settings;
    let water_first = state.vitals.unattended > s.unattended_days;
    let ordinary = ordinary_meal(habitat, state);
    let wanted = room(habitat, state, bookings).min(ordinary);
    let advised = supplement(habitat, state, &usual_scraps(wanted)).dry.kg();
    let free = habitat.shape.volume.0 * s.fill - state.solids(s).0;
    let fits = Kg(free * s.bedding_kg_per_litre).max(Kg(0.0));
    let dry = Grams::rounded_down(advised.max(bedding).min(fits));

    let (left, _) = state.uneaten.nearest(state.speed.mean);
    let lying = Composition {
        mass: Kg(left),
        water: Kg(left * state.blend.water),
        ..Composition::default()
    };
    let before = bed(habitat, state) + lying;
    state.bedding += dry.kg();
    // Bedding takes up space that food may have needed.
    let room = room(habitat, state, bookings);
    let meal = room.min(ordinary);
    let composition = usual_scraps(meal);
    let water = water_to_add(
        &(before + composition + dry_bedding(dry.kg())),
        s.mix.moisture_goal(),
    );
    if meal > Grams::ZERO {
        let meal = Meal {
            composition,
            ..Meal::default()
        };
        state.feed(s, &meal);
    }
    state.vitals.attend();
    // A bed that was wetter is taken to be no wetter than the goal: nothing is promised of it.
    state.moisture = s.mix.moisture_goal();
    Serving {
        meal,
        room,
        ordinary,
        dry,
        millilitres: Grams::rounded_up(water).0,
        water_first,
    }
}
