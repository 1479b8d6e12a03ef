//! Masses, volumes, temperatures and depths in a reader's units.

use super::voice::Voice;
use wormrota_domain::site::UnitSystem;
use wormrota_domain::units::{Celsius, Grams};

/// Which way what is shown may stray from what is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// Never more than it is: room, promises.
    Down,
    /// Never less than it is: offers, what is asked for.
    Up,
}

/// A unit as it is shown: in tenths, and in coarser steps the larger the figure, because
/// nobody weighs onion skins to the gram.
struct Unit {
    /// Its message.
    id: &'static str,
    /// What a tenth of it is, in the smallest unit of reckoning.
    tenth: i128,
    /// Up to so many tenths in steps of so many tenths.
    steps: &'static [(i128, i128)],
}

/// Grams are reckoned in picograms, so that the pound of 453.59237 g and its parts are whole
/// numbers.
const GRAM: i128 = 1_000_000_000_000;
const POUND: i128 = 453_592_370_000_000;
/// Millilitres are reckoned in femtolitres, so that the cup of 236.5882365 ml and its parts
/// are whole numbers.
const MILLILITRE: i128 = 1_000_000_000_000;
const CUP: i128 = 236_588_236_500_000;

const KILOGRAMS: Unit = Unit {
    id: "unit-kg",
    tenth: 100 * GRAM,
    steps: &[(i128::MAX, 1)],
};
const GRAMS: Unit = Unit {
    id: "unit-g",
    tenth: GRAM / 10,
    steps: &[(200, 10), (1_000, 50), (i128::MAX, 100)],
};
const POUNDS: Unit = Unit {
    id: "unit-lb",
    tenth: POUND / 10,
    steps: &[(i128::MAX, 1)],
};
const OUNCES: Unit = Unit {
    id: "unit-oz",
    tenth: POUND / 160,
    steps: &[(10, 1), (40, 5), (i128::MAX, 10)],
};
const LITRES: Unit = Unit {
    id: "unit-l",
    tenth: 100 * MILLILITRE,
    steps: &[(i128::MAX, 1)],
};
const MILLILITRES: Unit = Unit {
    id: "unit-ml",
    tenth: MILLILITRE / 10,
    steps: &[(1_000, 100), (i128::MAX, 500)],
};
const FLUID_OUNCES: Unit = Unit {
    id: "unit-fl-oz",
    tenth: CUP / 80,
    steps: &[(i128::MAX, 10)],
};

/// An amount of food that is worth naming: less than ten grams is nothing to people (own
/// suggestion).
pub(super) fn worth_saying(amount: Grams) -> Option<Grams> {
    (amount >= Grams(10)).then_some(amount)
}

impl Unit {
    /// The rounded figure in tenths of the unit.
    fn tenths(&self, amount: i128, rounding: Rounding) -> i128 {
        let about = amount / self.tenth;
        let step = self.steps.iter().find(|(below, _)| about < *below);
        let step = step.map_or(1, |(_, step)| *step);
        let size = self.tenth * step;
        let steps = match rounding {
            Rounding::Down => amount / size,
            Rounding::Up => (amount + size - 1) / size,
        };
        steps * step
    }
}

impl Voice {
    /// A mass: "400 g", "1.9 kg"; "14 oz", "4.2 lb". Less than nothing is nothing.
    #[must_use]
    pub fn amount(&self, grams: Grams, rounding: Rounding) -> String {
        let amount = i128::from(grams.0.max(0)) * GRAM;
        let (small, large, many) = match self.units {
            UnitSystem::Metric => (GRAMS, KILOGRAMS, 10_000),
            UnitSystem::Us => (OUNCES, POUNDS, 160),
        };
        let tenths = small.tenths(amount, rounding);
        if tenths == 0 && amount > 0 {
            let least = self.quantity(&small, 1);
            return self.say("less-than", [("amount", least.into())]);
        }
        if tenths < many {
            return self.quantity(&small, tenths);
        }
        self.quantity(&large, large.tenths(amount, rounding))
    }

    /// So much water, rounded up: "150 ml", "1.2 L"; "6 fl oz", "2¼ cups".
    #[must_use]
    pub fn water(&self, millilitres: i64) -> String {
        let amount = i128::from(millilitres.max(0)) * MILLILITRE;
        match self.units {
            UnitSystem::Metric => {
                let tenths = MILLILITRES.tenths(amount, Rounding::Up);
                if tenths < 10_000 {
                    return self.quantity(&MILLILITRES, tenths);
                }
                self.quantity(&LITRES, LITRES.tenths(amount, Rounding::Up))
            }
            UnitSystem::Us => {
                let tenths = FLUID_OUNCES.tenths(amount, Rounding::Up);
                if tenths < 80 {
                    return self.quantity(&FLUID_OUNCES, tenths);
                }
                let quarter = CUP / 4;
                let quarters = (amount + quarter - 1) / quarter;
                let cups = f64::from(u32::try_from(quarters).unwrap_or(u32::MAX)) / 4.0;
                self.say("unit-cups", [("count", cups.into())])
            }
        }
    }

    /// A temperature to the whole degree: "28 °C", "82 °F".
    #[must_use]
    pub fn temperature(&self, temperature: Celsius) -> String {
        let (id, degrees) = match self.units {
            UnitSystem::Metric => ("unit-celsius", temperature.0),
            UnitSystem::Us => ("unit-fahrenheit", temperature.fahrenheit()),
        };
        // Adding zero takes the sign off a zero.
        let n = format!("{:.0}", degrees.round() + 0.0);
        self.say(id, [("n", n.into())])
    }

    /// A depth: "5 cm", "2 in".
    pub(super) fn depth(&self, millimetres: u32) -> String {
        let (id, tenths) = match self.units {
            UnitSystem::Metric => ("unit-cm", i128::from(millimetres)),
            // An inch is 25.4 mm exactly, so a tenth is 2.54 mm; to the nearest.
            UnitSystem::Us => ("unit-in", (i128::from(millimetres) * 100 + 127) / 254),
        };
        self.say(id, [("n", self.decimal(tenths).into())])
    }

    pub(super) fn percent(&self, percent: u32) -> String {
        self.say("percent", [("n", percent.into())])
    }

    fn quantity(&self, unit: &Unit, tenths: i128) -> String {
        self.say(unit.id, [("n", self.decimal(tenths).into())])
    }

    /// So many tenths, written out.
    pub(super) fn decimal(&self, tenths: i128) -> String {
        let (whole, part) = (tenths / 10, tenths % 10);
        if part == 0 {
            return whole.to_string();
        }
        let mark = match self.units {
            UnitSystem::Metric => self.say("decimal-mark-metric", []),
            UnitSystem::Us => self.say("decimal-mark-us", []),
        };
        format!("{whole}{mark}{part}")
    }
}
