//! Moisture, nitrogen and carbon of each kind of food, with where the figures come from.

use super::super::source::Source;

/// The figures that several foods share.
#[derive(Clone, Copy)]
pub(super) struct MakeUp {
    /// Water, part of the wet mass.
    pub(super) moisture: f64,
    /// Nitrogen, part of the dry mass.
    pub(super) nitrogen_dry: f64,
    /// Carbon to nitrogen by mass.
    pub(super) carbon_to_nitrogen: f64,
    /// Where the three come from.
    pub(super) source: Source,
}

const fn make_up(
    moisture: f64,
    nitrogen_dry: f64,
    carbon_to_nitrogen: f64,
    source: Source,
) -> MakeUp {
    MakeUp {
        moisture,
        nitrogen_dry,
        carbon_to_nitrogen,
        source,
    }
}

pub(super) const MIXED: MakeUp = make_up(
    0.70,
    0.024,
    15.0,
    Source::Read("Missouri S&T (Bertrand), after On-Farm Composting Handbook: food waste"),
);
pub(super) const PRODUCE: MakeUp = make_up(
    0.87,
    0.027,
    19.0,
    Source::FromMemory("NRAES-54 App. A: vegetable produce"),
);
pub(super) const VEGETABLE_WASTE: MakeUp = make_up(
    0.87,
    0.0325,
    12.0,
    Source::FromMemory(
        "NRAES-54 App. A: vegetable wastes, middle of the range; moisture as vegetable produce",
    ),
);
pub(super) const WATERY_PRODUCE: MakeUp = make_up(
    0.94,
    0.027,
    19.0,
    Source::FromMemory("water as commonly tabled; the rest as NRAES-54 App. A: vegetable produce"),
);
pub(super) const LETTUCE: MakeUp = make_up(
    0.95,
    0.0375,
    12.0,
    Source::FromMemory("lettuce, middle of the range, no table named"),
);
pub(super) const POTATO: MakeUp = make_up(
    0.78,
    0.025,
    18.0,
    Source::FromMemory(
        "NRAES-54 App. A: potato culls; nitrogen reckoned for 45 % carbon in the dry mass",
    ),
);
pub(super) const FRUIT: MakeUp = make_up(
    0.80,
    0.014,
    40.0,
    Source::FromMemory("NRAES-54 App. A: fruit wastes"),
);
pub(super) const WATERY_FRUIT: MakeUp = make_up(
    0.88,
    0.014,
    40.0,
    Source::FromMemory("NRAES-54 App. A: fruit wastes, wet end of the range"),
);
pub(super) const APPLE: MakeUp = make_up(
    0.88,
    0.011,
    48.0,
    Source::FromMemory("NRAES-54 App. A: apple pomace"),
);
pub(super) const BANANA: MakeUp = make_up(
    0.88,
    0.0125,
    32.0,
    Source::FromMemory("banana peel, middle of the range, low confidence"),
);
pub(super) const STONE: MakeUp = make_up(
    0.40,
    0.010,
    45.0,
    Source::OwnSuggestion("stones and cobs: woody, drier than the fruit"),
);
pub(super) const COFFEE: MakeUp = make_up(
    0.80,
    0.020,
    20.0,
    Source::Read("Missouri S&T (Bertrand), after On-Farm Composting Handbook: coffee grounds"),
);
pub(super) const TEA: MakeUp = make_up(
    0.80,
    0.040,
    12.5,
    Source::FromMemory(
        "used tea leaves, low confidence; of the range 12 to 25 the end that 4 % nitrogen allows",
    ),
);
pub(super) const BREAD: MakeUp = make_up(
    0.365,
    0.0225,
    20.0,
    Source::FromMemory("bread, middle of the range, no table named"),
);
pub(super) const DRY_GRAIN: MakeUp = make_up(
    0.12,
    0.0225,
    20.0,
    Source::FromMemory("dry grain, middle of the range, no table named"),
);
pub(super) const BOILED_GRAIN: MakeUp = make_up(
    0.65,
    0.0225,
    20.0,
    Source::FromMemory("water of boiled rice and pasta as commonly tabled; the rest as dry grain"),
);
pub(super) const KITCHEN_PAPER: MakeUp = make_up(
    0.19,
    0.0028,
    150.0,
    Source::FromMemory(
        "NRAES-54 App. A: mixed paper from refuse; nitrogen raised to 42 % carbon (own suggestion)",
    ),
);
/// Grit: the dry mass counts, carbon and nitrogen do not.
pub(super) const EGGSHELL: MakeUp = make_up(
    0.03,
    0.0,
    0.0,
    Source::FromMemory("eggshell, 1 to 5 % water; counted as a mineral"),
);
pub(super) const MEAT: MakeUp = make_up(
    0.65,
    0.10,
    5.0,
    Source::OwnSuggestion("meat and fish: mostly protein and water"),
);
pub(super) const DAIRY: MakeUp = make_up(
    0.60,
    0.05,
    10.0,
    Source::OwnSuggestion("cheese and yoghurt: protein, fat and water"),
);
pub(super) const FAT: MakeUp = make_up(
    0.02,
    0.001,
    750.0,
    Source::OwnSuggestion("oil and fat: carbon and hardly any nitrogen"),
);
pub(super) const OILY_SEED: MakeUp = make_up(
    0.05,
    0.04,
    14.0,
    Source::OwnSuggestion("nuts and nut butter: protein and fat, dry"),
);
pub(super) const SUGAR: MakeUp = make_up(
    0.15,
    0.005,
    84.0,
    Source::OwnSuggestion("sugar and starch, dry, 42 % carbon"),
);
pub(super) const SUGARY_DRINK: MakeUp = make_up(
    0.90,
    0.005,
    84.0,
    Source::OwnSuggestion("sugar in water, 42 % carbon in the dry mass"),
);
pub(super) const NUTSHELL: MakeUp = make_up(
    0.10,
    0.005,
    100.0,
    Source::OwnSuggestion("woody, dry, 50 % carbon"),
);
pub(super) const GARDEN_WASTE: MakeUp = make_up(
    0.65,
    0.032,
    12.0,
    Source::Read("Missouri S&T (Bertrand), after On-Farm Composting Handbook: garden waste"),
);
pub(super) const GRASS: MakeUp = make_up(
    0.82,
    0.040,
    17.0,
    Source::Read("Missouri S&T (Bertrand), after On-Farm Composting Handbook: grass clippings"),
);
pub(super) const LEAVES: MakeUp = make_up(
    0.38,
    0.009,
    54.0,
    Source::Read("Missouri S&T (Bertrand), after On-Farm Composting Handbook: shredded leaves"),
);
pub(super) const WOOD: MakeUp = make_up(
    0.39,
    0.002,
    440.0,
    Source::OwnSuggestion("taken as sawdust in Missouri S&T (Bertrand)"),
);
pub(super) const DUNG: MakeUp = make_up(
    0.70,
    0.025,
    18.0,
    Source::OwnSuggestion("dung of various animals, with litter"),
);
/// Rubbish does not take part in the mix.
pub(super) const INERT: MakeUp = make_up(
    0.0,
    0.0,
    0.0,
    Source::OwnSuggestion("does not rot in a worm bin, so it has no part in the mix"),
);
