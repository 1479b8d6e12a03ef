//! Words for a site and its bins: how it wants things shown, where a bin stands, and where
//! scraps go that no bin can take.

use crate::coded::coded;

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
    /// What a site lets residents see of each other.
    NeighboursSee {
        /// Only whom to ask: caretakers, teachers and educators.
        Keepers = "keepers",
        /// What everybody is called.
        Names = "names",
        /// What everybody is called and where they live.
        NamesAndFlats = "names_and_flats",
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

/// Until how many days before a turn its place can be given back, where a site says nothing:
/// the evening before leaves time to ask a neighbour (common practice, no source).
pub const USUAL_GIVE_BACK_DAYS: u8 = 1;

/// How many days before a turn its holder is reminded, where a site says nothing: in time to
/// find somebody else, and on the morning (our suggestion).
pub const USUAL_REMINDER_DAYS: [u8; 2] = [2, 0];

/// How many days before a turn its holder can be reminded at most (our suggestion).
pub const MOST_REMINDER_DAYS: u8 = 7;

/// The earliest that a site can want a place back, in days before its turn. The database
/// holds the same bound.
pub const MOST_GIVE_BACK_DAYS: u8 = 28;

/// What makes two ways of writing the number of a flat the same: case, blanks, punctuation,
/// a word such as "flat" before it and zeros in front do not matter.
///
/// # Examples
///
/// ```
/// use wormrota_domain::site::flat_key;
///
/// for same in ["7B", "7 b", "#7-B", "Apt. 7b", "Flat 07B"] {
///     assert_eq!(flat_key(same), "7b");
/// }
/// assert_ne!(flat_key("17B"), flat_key("7B"));
/// assert_eq!(flat_key("Attic"), "attic");
/// ```
#[must_use]
pub fn flat_key(flat: &str) -> String {
    const WORDS: [&str; 9] = [
        "apartment",
        "apt",
        "flat",
        "unit",
        "no",
        "number",
        "piso",
        "puerta",
        "apto",
    ];
    let lower = flat.to_lowercase();
    let mut words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    while words.len() > 1 && words.first().is_some_and(|word| WORDS.contains(word)) {
        words.remove(0);
    }
    let joined = words.concat();
    let bare = joined.trim_start_matches('0');
    if bare.is_empty() {
        joined
    } else {
        bare.to_owned()
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
    }
}
