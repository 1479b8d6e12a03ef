//! How much a litre of scraps weighs.

use super::source::Source;
use crate::units::{KG_PER_POUND, Kg, LITRES_PER_US_GALLON, Litres};

/// Litres in a cubic yard: 27 cubic feet of 0.3048 m a side, exact.
const LITRES_PER_CUBIC_YARD: f64 = 764.554_857_984;

/// A bulk density with its source. Always within [`Density::LEAST`] and [`Density::MOST`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Density {
    kg_per_litre: f64,
    source: Source,
}

impl Density {
    /// The lightest a bulk of scraps is taken to be, kg/L (own suggestion: the published
    /// figures end at 0.24).
    pub const LEAST: f64 = 0.15;
    /// The heaviest a bulk of scraps is taken to be, kg/L (own suggestion: the published
    /// figures end at 0.90).
    pub const MOST: f64 = 0.95;

    /// Kitchen scraps in a pail: 3.8 lb a US gallon, 0.455 kg/L.
    pub const KITCHEN_SCRAPS: Self = Self::bounded(
        3.8 * KG_PER_POUND / LITRES_PER_US_GALLON,
        Source::Read(
            "US EPA ORCR factors 2016 (3.8 lb/gal), as republished in EPA benchmarking help",
        ),
    );
    /// Loose, leafy scraps: 396 lb a cubic yard, 0.235 kg/L. The same table as
    /// [`Self::KITCHEN_SCRAPS`]; the two differ twofold because scraps do.
    pub const LOOSE: Self = Self::bounded(
        396.0 * KG_PER_POUND / LITRES_PER_CUBIC_YARD,
        Source::Read(
            "US EPA ORCR factors 2016 (396 lb/yd3), as republished in EPA benchmarking help",
        ),
    );
    /// Wet, dense food: 7.49 lb a US gallon, 0.90 kg/L.
    pub const DENSE: Self = Self::bounded(
        7.49 * KG_PER_POUND / LITRES_PER_US_GALLON,
        Source::Read("older US EPA factor (7.49 lb/gal), from a textbook"),
    );

    /// A density in kg/L, drawn into the bounds.
    ///
    /// The bounds keep a mistyped figure from turning a caddy into a feather or a stone.
    /// What is not a number becomes the heaviest: offers must not be guessed too small.
    #[must_use]
    pub const fn bounded(kg_per_litre: f64, source: Source) -> Self {
        let kg_per_litre = if kg_per_litre < Self::LEAST {
            Self::LEAST
        } else if kg_per_litre <= Self::MOST {
            kg_per_litre
        } else {
            Self::MOST
        };
        Self {
            kg_per_litre,
            source,
        }
    }

    /// In kilograms a litre.
    #[must_use]
    pub const fn kg_per_litre(self) -> f64 {
        self.kg_per_litre
    }

    /// Where the figure comes from.
    #[must_use]
    pub const fn source(self) -> Source {
        self.source
    }

    /// What a volume weighs.
    #[must_use]
    pub fn weigh(self, volume: Litres) -> Kg {
        Kg(volume.0 * self.kg_per_litre)
    }

    /// What a mass fills.
    #[must_use]
    pub fn fill(self, mass: Kg) -> Litres {
        Litres(mass.0 / self.kg_per_litre)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_density_stays_within_its_bounds() {
        for (given, kept) in [
            (0.0, Density::LEAST),
            (-3.0, Density::LEAST),
            (0.5, 0.5),
            (12.0, Density::MOST),
            (f64::NAN, Density::MOST),
        ] {
            let density = Density::bounded(given, Source::CommonPractice);
            assert!((density.kg_per_litre() - kept).abs() < 1e-12, "{given}");
        }
    }

    #[test]
    fn weighing_and_filling_are_inverse() {
        let back = Density::LOOSE.fill(Density::LOOSE.weigh(Litres(7.0)));
        assert!((back.0 - 7.0).abs() < 1e-12);
    }
}
