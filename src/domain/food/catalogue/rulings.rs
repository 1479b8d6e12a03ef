//! Which foods may go in, why not, and who says so. King County's rules were read in a news
//! report.

use super::super::class::{Class, Why};
use super::super::source::Source;

/// A class with its reason and its source.
#[derive(Clone, Copy)]
pub(super) struct Ruling {
    pub(super) class: Class,
    pub(super) why: Option<Why>,
    pub(super) source: Source,
}

const fn welcome(source: Source) -> Ruling {
    Ruling {
        class: Class::Welcome,
        why: None,
        source,
    }
}

const fn sparing(why: Why, source: Source) -> Ruling {
    Ruling {
        class: Class::Sparing,
        why: Some(why),
        source,
    }
}

const fn never(why: Why, source: Source) -> Ruling {
    Ruling {
        class: Class::Never,
        why: Some(why),
        source,
    }
}

pub(super) const RAW_PRODUCE: Ruling = welcome(Source::Read(
    "Cornell, Grand Traverse County, USDA and King County all allow raw fruit and vegetables",
));
pub(super) const USUAL_MIX: Ruling = welcome(Source::OwnSuggestion(
    "what a kitchen collects for the worms is taken to be sorted already",
));
pub(super) const COFFEE: Ruling = welcome(Source::Read(
    "Grand Traverse County, USDA, King County and Oregon State allow coffee",
));
pub(super) const TEA: Ruling = welcome(Source::Read(
    "Grand Traverse County, USDA and King County allow tea",
));
pub(super) const EGGSHELL: Ruling = welcome(Source::Read(
    "Grand Traverse County, USDA, King County, Oregon State and a New York guide: crushed",
));
/// The literature is divided; the cautious side is taken, and schools leave it out.
pub(super) const CITRUS: Ruling = sparing(
    Why::CitrusAcid,
    Source::Read("Cornell, USDA and King County keep citrus out; Grand Traverse County does not"),
);
pub(super) const SMELLY: Ruling = sparing(
    Why::Smell,
    Source::Read("Cornell: onion and broccoli smell"),
);
pub(super) const SMELLY_BY_PRACTICE: Ruling = sparing(Why::Smell, Source::CommonPractice);
pub(super) const SMELLY_KIN: Ruling = sparing(
    Why::Smell,
    Source::OwnSuggestion("of the family of onion or broccoli, which Cornell leaves out"),
);
pub(super) const STARCHY: Ruling = sparing(
    Why::Starch,
    Source::Read(
        "Grand Traverse County, King County, a Texas lesson and a New York guide allow bread, \
         pasta and grain; Cornell allows raw fruit and vegetables only",
    ),
);
pub(super) const HARD: Ruling = sparing(
    Why::Hard,
    Source::OwnSuggestion("stones and cobs lie in a bin for months"),
);
pub(super) const KITCHEN_PAPER: Ruling = sparing(Why::SoiledPaper, Source::CommonPractice);
pub(super) const HOT_ROOT: Ruling = sparing(
    Why::Spicy,
    Source::OwnSuggestion("raw, but as hot as the spices that stay out"),
);
pub(super) const RAW_NUT: Ruling = sparing(
    Why::Oily,
    Source::OwnSuggestion("unsalted nuts are oily; a few do no harm"),
);
pub(super) const MEAT: Ruling = never(
    Why::Meat,
    Source::Read(
        "Cornell, Grand Traverse County, USDA, King County and a New York guide exclude meat",
    ),
);
pub(super) const FISH: Ruling = never(
    Why::Meat,
    Source::Read("Cornell and USDA exclude fish with meat and dairy"),
);
pub(super) const EGG: Ruling = never(
    Why::Meat,
    Source::OwnSuggestion("the inside of an egg rots as meat does"),
);
pub(super) const DAIRY: Ruling = never(
    Why::Dairy,
    Source::Read("Cornell, Grand Traverse County, USDA and King County exclude dairy"),
);
pub(super) const OILY: Ruling = never(
    Why::Oily,
    Source::Read("Cornell, Grand Traverse County and King County exclude oil and oily food"),
);
pub(super) const COOKED: Ruling = never(
    Why::Cooked,
    Source::Read("Cornell and King County exclude cooked food"),
);
pub(super) const SALTY: Ruling = never(
    Why::Salty,
    Source::Read("Earthworm Ecology ch. 18, Table 18.3 (Edwards): salt below 0.5 %"),
);
pub(super) const PICKLED: Ruling = never(Why::Pickled, Source::CommonPractice);
pub(super) const SPICY: Ruling = never(Why::Spicy, Source::CommonPractice);
pub(super) const SWEET: Ruling = never(Why::Sweet, Source::CommonPractice);
pub(super) const NUTSHELL: Ruling = never(Why::Nutshell, Source::CommonPractice);
pub(super) const YARD: Ruling = never(Why::GardenTrimming, Source::CommonPractice);
pub(super) const WEEDS: Ruling = never(
    Why::WeedSeeds,
    Source::Read("Oregon State: a worm bin does not kill weed seeds"),
);
pub(super) const TWIG: Ruling = never(Why::Twig, Source::Read("USDA excludes twigs and branches"));
pub(super) const WALNUT_LEAF: Ruling = never(
    Why::WalnutLeaf,
    Source::Read("San Francisco teacher guide excludes walnut leaves"),
);
pub(super) const PET_WASTE: Ruling = never(
    Why::PetWaste,
    Source::Read("Texas state lesson: cat and dog waste carries disease"),
);
pub(super) const MANURE: Ruling = never(Why::Manure, Source::CommonPractice);
pub(super) const GLOSSY_PAPER: Ruling = never(
    Why::GlossyPaper,
    Source::Read("New York City and a Texas lesson exclude glossy and some coloured-ink paper"),
);
pub(super) const RECEIPT: Ruling = never(
    Why::GlossyPaper,
    Source::OwnSuggestion("thermal paper is coated like glossy paper"),
);
pub(super) const COMPOSTABLE_PLASTIC: Ruling = never(
    Why::CompostablePlastic,
    Source::OwnSuggestion("made for large hot heaps; a worm bin stays cool"),
);
pub(super) const RUBBISH: Ruling = never(
    Why::NotFood,
    Source::OwnSuggestion("does not rot and has to be picked out of the castings"),
);
pub(super) const ASH: Ruling = never(
    Why::NotFood,
    Source::OwnSuggestion("ash is salty and strongly alkaline"),
);
