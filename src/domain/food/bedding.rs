//! Bedding: the dry, carbon-rich stuff that food is mixed with and covered by.

use super::composition::Composition;
use super::source::Source;
use crate::coded::coded;
use crate::units::{Fraction, Grams, Kg, Litres};

/// A bedding material as it comes from the pile, before it is wetted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bedding {
    /// The stable name in kebab-case. Never changed or taken away.
    pub key: &'static str,
    /// Water as a part of the whole.
    pub moisture: Fraction,
    /// Nitrogen as a part of the dry mass.
    pub nitrogen_dry: Fraction,
    /// Carbon to nitrogen by mass.
    pub carbon_to_nitrogen: f64,
    /// Where the three figures come from.
    pub numbers_source: Source,
    /// What a litre of it weighs, shredded and loose, in kg/L. A plain figure, because the
    /// bounds of [`super::Density`] are those of food.
    pub kg_per_litre: f64,
    /// Where the bulk density comes from.
    pub density_source: Source,
}

impl Bedding {
    /// What an amount of it is made of.
    #[must_use]
    pub fn composition(&self, mass: Kg) -> Composition {
        Composition::of(
            mass,
            self.moisture,
            self.nitrogen_dry,
            self.carbon_to_nitrogen,
        )
    }

    /// The room it takes, shredded and loose. Wetted and buried it settles to less.
    #[must_use]
    pub fn volume(&self, mass: Kg) -> Litres {
        Litres(mass.0 / self.kg_per_litre)
    }
}

/// Every bedding material. Newspaper stands first: it is the usual one.
#[must_use]
pub fn beddings() -> &'static [Bedding] {
    BEDDINGS
}

/// The bedding with this key, written exactly as in the list.
#[must_use]
pub fn find_bedding(key: &str) -> Option<&'static Bedding> {
    BEDDINGS.iter().find(|bedding| bedding.key == key)
}

/// Kilograms of dry shredded newspaper that a litre of a new bin is filled with.
///
/// 2.5 lb a cubic foot, 40 kg/m3: Grand Traverse County.
const NEWSPAPER_PER_LITRE: f64 = 2.5 * crate::units::KG_PER_POUND / LITRES_PER_CUBIC_FOOT;
/// Litres in a cubic foot, exact.
const LITRES_PER_CUBIC_FOOT: f64 = 28.316_846_592;

/// Dry shredded newspaper to start a bin of this volume with (Grand Traverse County).
#[must_use]
pub fn starting_bedding(volume: Litres) -> Kg {
    Kg(volume.0 * NEWSPAPER_PER_LITRE)
}

const PAPER_BULK: Source = Source::OwnSuggestion("as shredded newspaper");

static BEDDINGS: &[Bedding] = &[
    Bedding {
        key: "shredded-newspaper",
        moisture: Fraction(0.05),
        nitrogen_dry: Fraction(0.001),
        carbon_to_nitrogen: 650.0,
        numbers_source: Source::Read(
            "Missouri S&T (Bertrand), after On-Farm Composting Handbook: newspaper",
        ),
        kg_per_litre: NEWSPAPER_PER_LITRE,
        density_source: Source::Read(
            "Grand Traverse County: 2.5 lb of newspaper fill a cubic foot",
        ),
    },
    Bedding {
        key: "corrugated-card",
        moisture: Fraction(0.08),
        nitrogen_dry: Fraction(0.001),
        carbon_to_nitrogen: 560.0,
        numbers_source: Source::Read(
            "Missouri S&T (Bertrand), after On-Farm Composting Handbook: corrugated cardboard",
        ),
        kg_per_litre: 0.05,
        density_source: Source::OwnSuggestion("a little heavier than shredded newspaper"),
    },
    Bedding {
        key: "office-paper",
        moisture: Fraction(0.06),
        nitrogen_dry: Fraction(0.001),
        carbon_to_nitrogen: 265.0,
        numbers_source: Source::FromMemory("office paper, middle of the wide range 130 to 400"),
        kg_per_litre: NEWSPAPER_PER_LITRE,
        density_source: PAPER_BULK,
    },
    Bedding {
        key: "egg-carton",
        moisture: Fraction(0.08),
        nitrogen_dry: Fraction(0.001),
        carbon_to_nitrogen: 560.0,
        numbers_source: Source::OwnSuggestion("as corrugated cardboard in Missouri S&T (Bertrand)"),
        kg_per_litre: 0.05,
        density_source: Source::OwnSuggestion("a little heavier than shredded newspaper"),
    },
    Bedding {
        key: "paper-bag",
        moisture: Fraction(0.08),
        nitrogen_dry: Fraction(0.001),
        carbon_to_nitrogen: 560.0,
        numbers_source: Source::OwnSuggestion("as corrugated cardboard in Missouri S&T (Bertrand)"),
        kg_per_litre: NEWSPAPER_PER_LITRE,
        density_source: PAPER_BULK,
    },
    Bedding {
        key: "coir",
        moisture: Fraction(0.15),
        nitrogen_dry: Fraction(0.0045),
        carbon_to_nitrogen: 95.0,
        numbers_source: Source::FromMemory("dry coir, middle of the range 80 to 110"),
        kg_per_litre: 0.08,
        density_source: Source::OwnSuggestion("loosened dry coir"),
    },
    Bedding {
        key: "dry-leaves",
        moisture: Fraction(0.38),
        nitrogen_dry: Fraction(0.009),
        carbon_to_nitrogen: 54.0,
        numbers_source: Source::Read(
            "Missouri S&T (Bertrand), after On-Farm Composting Handbook: shredded leaves",
        ),
        kg_per_litre: 0.08,
        density_source: Source::OwnSuggestion("shredded, not pressed"),
    },
    Bedding {
        key: "straw",
        moisture: Fraction(0.12),
        nitrogen_dry: Fraction(0.007),
        carbon_to_nitrogen: 80.0,
        numbers_source: Source::Read(
            "Missouri S&T (Bertrand), after On-Farm Composting Handbook: straw",
        ),
        kg_per_litre: 0.05,
        density_source: Source::OwnSuggestion("cut short, not pressed"),
    },
    Bedding {
        key: "untreated-sawdust",
        moisture: Fraction(0.39),
        nitrogen_dry: Fraction(0.002),
        carbon_to_nitrogen: 440.0,
        numbers_source: Source::Read(
            "Missouri S&T (Bertrand), after On-Farm Composting Handbook: sawdust",
        ),
        kg_per_litre: 0.20,
        density_source: Source::OwnSuggestion("loose, slightly damp"),
    },
];

coded! {
    /// The sheet that a site tears up, so that an amount can be told in sheets.
    Paper {
        /// A4, 80 g/m2.
        A4 = "a4",
        /// US letter, 20 lb bond.
        Letter = "letter",
    }
}

impl Paper {
    /// What a sheet weighs in grams.
    ///
    /// A4 is a sixteenth of a square metre: 5 g at 80 g/m2 (4.99 g from the trimmed 210 by
    /// 297 mm). A ream of 20 lb bond is 500 sheets of 17 by 22 inches, so a letter sheet is
    /// 4.5 g.
    #[must_use]
    pub const fn sheet_grams(self) -> f64 {
        match self {
            Self::A4 => 5.0,
            Self::Letter => 4.5,
        }
    }
}

/// How many sheets make up an amount, rounded up.
#[must_use]
pub fn sheets(amount: Grams, paper: Paper) -> u32 {
    let sheets = libm::ceil(amount.kg().0 * 1000.0 / paper.sheet_grams());
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "float casts saturate, and below zero is no sheet"
    )]
    let sheets = sheets as u32;
    sheets
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn keys_are_unique_and_found() {
        let mut seen = BTreeSet::new();
        for bedding in beddings() {
            assert!(seen.insert(bedding.key), "{} twice", bedding.key);
            assert_eq!(find_bedding(bedding.key), Some(bedding));
        }
        assert_eq!(find_bedding("velvet"), None);
    }

    #[test]
    fn sheets_are_rounded_up() {
        assert_eq!(sheets(Grams(60), Paper::A4), 12);
        assert_eq!(sheets(Grams(61), Paper::A4), 13);
        assert_eq!(sheets(Grams(9), Paper::Letter), 2);
        assert_eq!(sheets(Grams(10), Paper::Letter), 3);
        assert_eq!(sheets(Grams::ZERO, Paper::A4), 0);
        assert_eq!(sheets(Grams(-5), Paper::A4), 0);
    }

    /// Reckoned: 0.210 m by 0.297 m at 80 g/m2 is 4.99 g; 20 lb over 500 sheets cut in four
    /// is 4.54 g.
    #[test]
    fn a_sheet_weighs_what_its_size_says() {
        assert!((Paper::A4.sheet_grams() - 0.210 * 0.297 * 80.0).abs() < 0.02);
        let letter = 20.0 * crate::units::KG_PER_POUND * 1000.0 / 2000.0;
        assert!((Paper::Letter.sheet_grams() - letter).abs() < 0.05);
    }
}
