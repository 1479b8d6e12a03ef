//! Words for a site and its bins: how it wants things shown, where a bin stands, and where
//! scraps go that no bin can take.

use serde::{Deserialize, Serialize};

/// Gives an enum a stable word for each value, for the database and the API.
macro_rules! coded {
    ($(#[$doc:meta])* $name:ident { $($(#[$value_doc:meta])* $value:ident = $code:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub enum $name {
            $($(#[$value_doc])* #[serde(rename = $code)] $value),+
        }

        impl $name {
            /// Every value.
            pub const ALL: &'static [Self] = &[$(Self::$value),+];

            /// The word that stands in the database and in the API.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self { $(Self::$value => $code),+ }
            }

            /// The value that a word stands for, if any.
            #[must_use]
            pub fn from_code(code: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|value| value.code() == code)
            }
        }
    };
}

coded! {
    /// The units in which people at a site read amounts.
    UnitSystem {
        /// Kilograms, litres, degrees Celsius.
        Metric = "metric",
        /// Pounds, gallons, degrees Fahrenheit.
        Us = "us",
    }
}

coded! {
    /// The language of the sentences that a site gets.
    Language {
        /// English.
        English = "en",
        /// Spanish.
        Spanish = "es",
    }
}

coded! {
    /// The paper that a site shreds for bedding, to count it in sheets.
    Paper {
        /// 210 by 297 mm (ISO 216).
        A4 = "a4",
        /// 8.5 by 11 inches.
        Letter = "letter",
    }
}

coded! {
    /// Where a site can send scraps that no bin can take.
    ScrapOutlet {
        /// The town's collection of kitchen scraps.
        OrganicsCollection = "organics_collection",
        /// A compost heap in the garden.
        GardenHeap = "garden_heap",
        /// A place nearby where scraps can be left.
        DropOffPoint = "drop_off_point",
    }
}

coded! {
    /// Where a bin stands. The guess of its temperature depends on it.
    Spot {
        /// In a heated building.
        Indoors = "indoors",
        /// Under a roof, not heated: a shed, a garage, a stairwell.
        Sheltered = "sheltered",
        /// In the open.
        Outdoors = "outdoors",
    }
}

coded! {
    /// How a bin is made.
    Vessel {
        /// Trays one above the other, with a tap at the bottom.
        Trays = "trays",
        /// A tub with drilled holes, with neither trays nor a tap.
        Tub = "tub",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_of_the_api_and_of_the_database_are_the_same() {
        for outlet in ScrapOutlet::ALL {
            assert_eq!(
                serde_json::to_value(outlet).unwrap(),
                serde_json::Value::from(outlet.code())
            );
            assert_eq!(ScrapOutlet::from_code(outlet.code()), Some(*outlet));
        }
        assert_eq!(UnitSystem::from_code("imperial"), None);
        assert_eq!(Language::from_code("es"), Some(Language::Spanish));
        assert_eq!(Paper::from_code("A4"), None);
    }
}
