//! The three classes of food, the reasons for them, and the groups that foods fall into.

use crate::coded::coded;

coded! {
    /// Whether a food may go into a worm bin. Ordered from the mildest to the strictest.
    Class {
        /// May go in.
        Welcome = "welcome",
        /// A little at a time.
        Sparing = "sparing",
        /// Stays out.
        Never = "never",
    }
}

coded! {
    /// Why a food is sparing or never: the reason that is told to people.
    Why {
        /// Citrus: its juice and peel oil sour the bed.
        CitrusAcid = "citrus_acid",
        /// Meat, fish and eggs: they rot, smell and draw animals.
        Meat = "meat",
        /// Milk and what is made of it.
        Dairy = "dairy",
        /// Salt: more than 0.5 % in the bed kills (Earthworm Ecology, Table 18.3).
        Salty = "salty",
        /// Vinegar and brine.
        Pickled = "pickled",
        /// Oil and fat keep air from the bed.
        Oily = "oily",
        /// Hot spices.
        Spicy = "spicy",
        /// Sugar ferments.
        Sweet = "sweet",
        /// Cooked food carries salt and oil.
        Cooked = "cooked",
        /// The smell of the onion family and of broccoli.
        Smell = "smell",
        /// Starch packs together and heats or sours.
        Starch = "starch",
        /// Cat and dog waste can carry disease.
        PetWaste = "pet_waste",
        /// Dung of farm and pet animals heats and brings ammonia.
        Manure = "manure",
        /// Yard trimmings: they heat, or lie for months.
        GardenTrimming = "garden_trimming",
        /// Weeds: a worm bin does not kill seeds (Oregon State).
        WeedSeeds = "weed_seeds",
        /// Nutshells hardly rot.
        Nutshell = "nutshell",
        /// Stones, cobs and husks take very long.
        Hard = "hard",
        /// Glossy or colour-printed paper.
        GlossyPaper = "glossy_paper",
        /// Paper that may carry grease or cleaning agents.
        SoiledPaper = "soiled_paper",
        /// Walnut leaves.
        WalnutLeaf = "walnut_leaf",
        /// Twigs and branches.
        Twig = "twig",
        /// Compostable plastics, which need the heat of a large heap.
        CompostablePlastic = "compostable_plastic",
        /// Not food at all.
        NotFood = "not_food",
    }
}

coded! {
    /// What foods have in common; a site may tighten a whole group at once.
    Group {
        /// Ordinary kitchen scraps, not told apart.
        Mixed = "mixed",
        /// Fruit other than citrus.
        Fruit = "fruit",
        /// Oranges, lemons and their kin.
        Citrus = "citrus",
        /// Vegetables other than leaves and the onion family.
        Vegetable = "vegetable",
        /// Leaves and soft herbs.
        Leaf = "leaf",
        /// Onion, garlic, leek.
        OnionFamily = "onion_family",
        /// Coffee and tea.
        CoffeeAndTea = "coffee_and_tea",
        /// Minerals that count as grit and not in the carbon to nitrogen ratio.
        Grit = "grit",
        /// Bread, grain, pasta and rice.
        BreadAndGrain = "bread_and_grain",
        /// Paper that comes with the scraps.
        KitchenPaper = "kitchen_paper",
        /// Cooked dishes.
        CookedFood = "cooked_food",
        /// Meat, fish, eggs.
        MeatAndFish = "meat_and_fish",
        /// Milk and what is made of it.
        MilkProduct = "milk_product",
        /// Oil, fat, and food soaked in them.
        OilAndFat = "oil_and_fat",
        /// Salted, pickled or hot food.
        Seasoned = "seasoned",
        /// Sugary food and drink.
        SweetFood = "sweet_food",
        /// Nuts and their shells.
        Nuts = "nuts",
        /// What comes from a garden.
        Garden = "garden",
        /// Dung and litter.
        AnimalWaste = "animal_waste",
        /// What is no food.
        Rubbish = "rubbish",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn classes_are_ordered_from_mild_to_strict() {
        assert!(Class::Welcome < Class::Sparing && Class::Sparing < Class::Never);
    }

    #[test]
    fn json_and_code_are_the_same_word() {
        for why in Why::ALL {
            let json = serde_json::to_value(why).unwrap();
            assert_eq!(json, why.code());
            assert_eq!(Why::from_code(why.code()), Some(*why));
        }
        for group in Group::ALL {
            assert_eq!(serde_json::to_value(group).unwrap(), group.code());
            assert_eq!(Group::from_code(group.code()), Some(*group));
        }
    }

    #[test]
    fn codes_are_unique() {
        for codes in [
            Why::ALL.iter().map(|w| w.code()).collect::<Vec<_>>(),
            Group::ALL.iter().map(|g| g.code()).collect::<Vec<_>>(),
        ] {
            let mut once = codes.clone();
            once.sort_unstable();
            once.dedup();
            assert_eq!(once.len(), codes.len());
        }
    }
}
