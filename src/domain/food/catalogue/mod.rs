//! Every food that is known by name.

mod foods;
mod make_ups;
mod rulings;

use super::item::FoodItem;
use super::nearest::nearest_of;

/// Every food, in groups, each with its class and its make-up.
#[must_use]
pub fn catalogue() -> &'static [FoodItem] {
    foods::FOODS
}

/// The food with this key, written exactly as in the catalogue.
#[must_use]
pub fn find(key: &str) -> Option<&'static FoodItem> {
    catalogue().iter().find(|item| item.key == key)
}

/// Up to `n` keys that somebody may have meant, the nearest first. Capitals, spaces and
/// underscores don't matter. Empty if nothing is near.
#[must_use]
pub fn nearest(key: &str, n: usize) -> Vec<&'static str> {
    nearest_of(key, n, catalogue().iter().map(|item| item.key))
}

#[cfg(test)]
mod tests {
    use super::super::{Class, Density, Group, Source};
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn keys_are_unique_kebab_case_and_found() {
        let mut seen = BTreeSet::new();
        for item in catalogue() {
            assert!(seen.insert(item.key), "{} stands there twice", item.key);
            assert!(
                item.key.split('-').all(|word| !word.is_empty()
                    && word
                        .chars()
                        .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())),
                "{}",
                item.key
            );
            assert_eq!(find(item.key), Some(item));
        }
        assert!(seen.len() >= 70, "only {} foods", seen.len());
        assert_eq!(find("Banana-Peel"), None);
    }

    #[test]
    fn every_group_has_a_food() {
        for group in Group::ALL {
            assert!(
                catalogue().iter().any(|item| item.group == *group),
                "{group:?}"
            );
        }
    }

    #[test]
    fn what_is_not_welcome_says_why_and_what_is_welcome_needs_no_reason() {
        for item in catalogue() {
            assert_eq!(
                item.why.is_none(),
                item.class == Class::Welcome,
                "{}",
                item.key
            );
        }
    }

    #[test]
    fn figures_are_those_of_real_food() {
        for item in catalogue() {
            let inert = matches!(item.group, Group::Grit | Group::Rubbish);
            assert!((0.0..0.97).contains(&item.moisture.0), "{}", item.key);
            assert_eq!(item.nitrogen_dry.0 > 0.0, !inert, "{}", item.key);
            assert_eq!(item.carbon_to_nitrogen > 0.0, !inert, "{}", item.key);
            assert!((0.0..0.15).contains(&item.nitrogen_dry.0), "{}", item.key);
            let carbon = item.nitrogen_dry.0 * item.carbon_to_nitrogen;
            assert!(
                inert || (0.3..0.9).contains(&carbon),
                "{}: {carbon} of the dry mass would be carbon",
                item.key
            );
            let density = item.density.kg_per_litre();
            assert!(
                (Density::LEAST..=Density::MOST).contains(&density),
                "{}",
                item.key
            );
        }
    }

    #[test]
    fn every_source_that_names_something_names_it() {
        let named = |source: Source| match source {
            Source::Read(what)
            | Source::FromMemory(what)
            | Source::Reckoned(what)
            | Source::OwnSuggestion(what) => !what.is_empty(),
            Source::CommonPractice => true,
        };
        for item in catalogue() {
            assert!(
                named(item.class_source) && named(item.numbers_source),
                "{}",
                item.key
            );
            assert_ne!(
                item.numbers_source,
                Source::CommonPractice,
                "{}: a figure needs an origin",
                item.key
            );
        }
    }

    /// Firm agreement of Cornell, Grand Traverse County, USDA and King County: meat, dairy
    /// and oil stay out.
    #[test]
    fn meat_dairy_and_oil_are_never_welcome() {
        for item in catalogue() {
            if matches!(
                item.group,
                Group::MeatAndFish | Group::MilkProduct | Group::OilAndFat
            ) {
                assert_eq!(item.class, Class::Never, "{}", item.key);
            }
        }
    }

    #[test]
    fn citrus_is_sparing() {
        for item in catalogue().iter().filter(|i| i.group == Group::Citrus) {
            assert_eq!(item.class, Class::Sparing, "{}", item.key);
        }
    }

    #[test]
    fn a_slip_of_the_finger_is_understood() {
        assert_eq!(nearest("carot", 3).first(), Some(&"carrot"));
        assert_eq!(nearest("Banana Peels", 3).first(), Some(&"banana-peel"));
        assert!(nearest("banana_skin", 3).contains(&"banana-peel"));
        assert!(nearest("egg-shells", 3).contains(&"eggshell"));
        assert!(nearest("potato", 5).contains(&"potato-peel"));
    }

    #[test]
    fn nonsense_is_near_nothing() {
        assert!(nearest("", 5).is_empty());
        assert!(nearest("   ", 5).is_empty());
        assert!(nearest("xyzzyqqqq", 5).is_empty());
        assert!(nearest(&"w".repeat(100_000), 5).is_empty());
        assert!(nearest("carrot", 0).is_empty());
    }
}
