//! Room in what people hold in their hands: the site's own containers, or the kitchen's.

use super::amounts::Rounding;
use super::voice::Voice;
use wormrota_domain::food::{
    Container, Density, KitchenMeasure, Quarters, Vessel, find, in_measure,
};
use wormrota_domain::site::UnitSystem;
use wormrota_domain::units::{Grams, Litres};

/// More full containers or cups than this are no help to anybody (own suggestion).
const MOST_FULL: Quarters = Quarters::full(12);
/// More handfuls than this are no help to anybody (own suggestion).
const MOST_HANDFULS: Quarters = Quarters::full(6);

/// A container that tells less of a room than this share gives way to a hand or a cup (own
/// suggestion).
const TOLD_WELL: f64 = 0.75;

/// A measure that people know, filled so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Filled<'a> {
    pub(super) with: Known<'a>,
    pub(super) fill: Quarters,
}

impl Filled<'_> {
    /// What it holds, filled so far.
    pub(super) fn volume(self) -> Litres {
        self.with.vessel().volume() * (f64::from(self.fill.0) / 4.0)
    }

    fn fuller(self, quarters: u32) -> Self {
        Self {
            fill: Quarters(self.fill.0.saturating_add(quarters)),
            ..self
        }
    }
}

/// A measure that people know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Known<'a> {
    /// The site's own.
    Own(&'a Container),
    /// One that every kitchen has.
    Kitchen(KitchenMeasure),
}

impl Known<'_> {
    pub(super) fn vessel(self) -> Vessel {
        match self {
            Self::Own(container) => container.vessel(),
            Self::Kitchen(measure) => measure.vessel(),
        }
    }

    /// The most of it that people would count.
    fn most(self) -> Quarters {
        match self {
            Self::Kitchen(KitchenMeasure::Handful) => MOST_HANDFULS,
            _ => MOST_FULL,
        }
    }

    /// The step by which it is filled from here: a hand is not filled by quarters.
    fn step(self, fill: Quarters) -> u32 {
        match self {
            Self::Kitchen(KitchenMeasure::Handful) if fill.0 >= 4 => 4,
            Self::Kitchen(KitchenMeasure::Handful) => 2,
            _ => 1,
        }
    }

    /// How much of a room can be told with it.
    fn shows(self, room: Grams, density: Density) -> Quarters {
        let quarters = in_measure(room, self.vessel(), density);
        let step = self.step(quarters);
        Quarters(quarters.0 / step * step)
    }
}

impl Voice {
    /// The measure in which a room is best told, rounded down: the one that leaves the least
    /// unsaid, the larger one if two are level. Nothing if the room is too small for any.
    ///
    /// The kitchen's measures step in where the site's own are none, or too large to tell
    /// it well.
    pub(super) fn best_measure(&self, room: Grams, density: Density) -> Option<Filled<'_>> {
        let own: Vec<Known<'_>> = self.containers.iter().map(Known::Own).collect();
        let own = best_of(&own, room, density);
        let most = density.fill(room.kg()).0;
        if own.is_some_and(|own| own.volume().0 >= most * TOLD_WELL) {
            return own;
        }
        let kitchen = match self.units {
            UnitSystem::Metric => [KitchenMeasure::SmallCaddy, KitchenMeasure::Handful],
            UnitSystem::Us => [KitchenMeasure::Bucket, KitchenMeasure::Cup],
        };
        let kitchen = best_of(&kitchen.map(Known::Kitchen), room, density);
        match (own, kitchen) {
            (Some(own), Some(kitchen)) if !is_handy(&kitchen) || !tells_more(&kitchen, &own) => {
                Some(own)
            }
            (own, kitchen) => kitchen.or(own),
        }
    }

    /// An amount with the same in the best measure, both rounded down: "400 g (half of the
    /// caddy)".
    pub(super) fn portion(&self, room: Grams, density: Density) -> String {
        let amount = self.amount(room, Rounding::Down);
        self.in_brackets(amount, self.best_measure(room, density))
    }

    /// The same, both rounded up: what is to be taken out.
    pub(super) fn portion_up(&self, amount: Grams, density: Density) -> String {
        let measure = self.best_measure(amount, density).map(|filled| {
            let holds = density.weigh(filled.volume());
            let short = Grams::rounded_up(holds) < amount;
            filled.fuller(if short {
                filled.with.step(filled.fill)
            } else {
                0
            })
        });
        self.in_brackets(self.amount(amount, Rounding::Up), measure)
    }

    fn in_brackets(&self, amount: String, measure: Option<Filled<'_>>) -> String {
        match measure {
            Some(filled) => {
                let measure = self.filled(filled);
                let args = [("amount", amount.into()), ("measure", measure.into())];
                self.say("portion", args)
            }
            None => amount,
        }
    }

    pub(super) fn filled(&self, filled: Filled<'_>) -> String {
        match filled.with {
            Known::Own(container) => self.container(container, filled.fill),
            Known::Kitchen(measure) => self.measure(measure, filled.fill),
        }
    }

    /// So many of a kitchen's measure: "half a cup", "2½ cups".
    #[must_use]
    pub fn measure(&self, measure: KitchenMeasure, fill: Quarters) -> String {
        let id = format!("measure-{}", measure.code());
        let count = f64::from(fill.0) / 4.0;
        match part_of_one(fill) {
            Some(part) => self.say_part(&id, part, []),
            None => self.say(&id, [("count", count.into())]),
        }
    }

    /// So much of the site's own container: "half of the caddy", "2½ times the caddy".
    #[must_use]
    pub fn container(&self, container: &Container, fill: Quarters) -> String {
        let count = f64::from(fill.0) / 4.0;
        let name = container.name();
        let part = part_of_one(fill).or((fill == Quarters::full(1)).then_some("one"));
        match part {
            Some(part) => self.say_part("container", part, [("name", name.into())]),
            None => self.say(
                "container",
                [("count", count.into()), ("name", name.into())],
            ),
        }
    }
}

/// The attribute that says less than a full one.
fn part_of_one(fill: Quarters) -> Option<&'static str> {
    match fill.0 {
        1 => Some("quarter"),
        2 => Some("half"),
        3 => Some("three-quarters"),
        _ => None,
    }
}

fn is_handy(filled: &Filled<'_>) -> bool {
    filled.fill <= filled.with.most()
}

fn tells_more(one: &Filled<'_>, other: &Filled<'_>) -> bool {
    one.volume().0 > other.volume().0
}

fn best_of<'a>(known: &[Known<'a>], room: Grams, density: Density) -> Option<Filled<'a>> {
    let size = |filled: &Filled<'_>| filled.with.vessel().volume().0;
    let fillings = known.iter().map(|one| Filled {
        with: *one,
        fill: one.shows(room, density),
    });
    let fillings: Vec<Filled<'a>> = fillings.filter(|f| f.fill.0 > 0).collect();
    let handy = fillings.iter().filter(|f| is_handy(f)).max_by(|a, b| {
        let by_told = a.volume().0.total_cmp(&b.volume().0);
        by_told.then(size(a).total_cmp(&size(b)))
    });
    let largest = || fillings.iter().max_by(|a, b| size(a).total_cmp(&size(b)));
    handy.or_else(largest).copied()
}

/// What a litre of these foods weighs at the most: whichever of them somebody takes, a
/// measure told with it holds no more than the room. Unknown or no foods count as ordinary
/// scraps.
pub(super) fn densest<'a>(foods: impl Iterator<Item = &'a str>) -> Density {
    let densities = foods.filter_map(find).map(|item| item.density);
    densities
        .max_by(|a, b| a.kg_per_litre().total_cmp(&b.kg_per_litre()))
        .unwrap_or(Density::KITCHEN_SCRAPS)
}
