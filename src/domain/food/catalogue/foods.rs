//! The foods themselves: one line each.

use super::super::class::Group;
use super::super::density::Density;
use super::super::item::FoodItem;
use super::super::source::Source;
use super::make_ups::{self as made_of, MakeUp};
use super::rulings::{self as ruled, Ruling};
use crate::units::Fraction;

/// Large pieces that should be cut small.
const CUT: bool = true;
/// Small or soft enough.
const AS_IT_IS: bool = false;

const PAIL: Density = Density::KITCHEN_SCRAPS;
const LOOSE: Density = Density::LOOSE;
const DENSE: Density = Density::DENSE;
const FIRM: Density = Density::bounded(
    0.65,
    Source::OwnSuggestion("firm whole roots and fruit, with air between them"),
);
const GROUNDS: Density = Density::bounded(
    0.55,
    Source::OwnSuggestion("wet coffee grounds, not pressed"),
);
const AIRY: Density = Density::bounded(0.25, Source::OwnSuggestion("bread and crisp, airy food"));
const CRUSHED: Density = Density::bounded(0.50, Source::OwnSuggestion("crushed shell"));
const PAPERY: Density = Density::bounded(
    0.15,
    Source::OwnSuggestion("crumpled paper and film: the least that is allowed"),
);

const fn food(
    key: &'static str,
    group: Group,
    ruling: Ruling,
    cut: bool,
    make_up: MakeUp,
    density: Density,
) -> FoodItem {
    FoodItem {
        key,
        group,
        class: ruling.class,
        why: ruling.why,
        class_source: ruling.source,
        cut,
        moisture: Fraction(make_up.moisture),
        nitrogen_dry: Fraction(make_up.nitrogen_dry),
        carbon_to_nitrogen: make_up.carbon_to_nitrogen,
        numbers_source: make_up.source,
        density,
    }
}

#[rustfmt::skip]
pub(super) static FOODS: &[FoodItem] = &[
    food("usual-mix", Group::Mixed, ruled::USUAL_MIX, AS_IT_IS, made_of::MIXED, PAIL),

    food("fruit-scraps", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, PAIL),
    food("apple", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::APPLE, FIRM),
    food("apple-core", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::APPLE, PAIL),
    food("pear", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::APPLE, FIRM),
    food("banana", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, FIRM),
    food("banana-peel", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::BANANA, PAIL),
    food("grape", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::FRUIT, FIRM),
    food("berry", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::WATERY_FRUIT, FIRM),
    food("strawberry", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::WATERY_FRUIT, FIRM),
    food("cherry", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::FRUIT, FIRM),
    food("peach", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::WATERY_FRUIT, FIRM),
    food("plum", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::WATERY_FRUIT, FIRM),
    food("fig", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::FRUIT, FIRM),
    food("kiwi-skin", Group::Fruit, ruled::RAW_PRODUCE, AS_IT_IS, made_of::FRUIT, PAIL),
    food("mango-peel", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, PAIL),
    food("papaya-skin", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, PAIL),
    food("pineapple-skin", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, PAIL),
    food("melon-rind", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::WATERY_FRUIT, PAIL),
    food("watermelon-rind", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::WATERY_FRUIT, PAIL),
    food("avocado", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, FIRM),
    food("avocado-skin", Group::Fruit, ruled::RAW_PRODUCE, CUT, made_of::FRUIT, PAIL),
    food("avocado-stone", Group::Fruit, ruled::HARD, AS_IT_IS, made_of::STONE, FIRM),
    food("fruit-stone", Group::Fruit, ruled::HARD, AS_IT_IS, made_of::STONE, FIRM),

    food("citrus-peel", Group::Citrus, ruled::CITRUS, CUT, made_of::FRUIT, PAIL),
    food("orange", Group::Citrus, ruled::CITRUS, CUT, made_of::WATERY_FRUIT, FIRM),
    food("orange-peel", Group::Citrus, ruled::CITRUS, CUT, made_of::FRUIT, PAIL),
    food("mandarin-peel", Group::Citrus, ruled::CITRUS, CUT, made_of::FRUIT, PAIL),
    food("lemon", Group::Citrus, ruled::CITRUS, CUT, made_of::WATERY_FRUIT, FIRM),
    food("lime", Group::Citrus, ruled::CITRUS, CUT, made_of::WATERY_FRUIT, FIRM),
    food("grapefruit", Group::Citrus, ruled::CITRUS, CUT, made_of::WATERY_FRUIT, FIRM),

    food("vegetable-scraps", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, PAIL),
    food("vegetable-peel", Group::Vegetable, ruled::RAW_PRODUCE, AS_IT_IS, made_of::PRODUCE, PAIL),
    food("carrot", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, FIRM),
    food("parsnip", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, FIRM),
    food("turnip", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, FIRM),
    food("beetroot", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, FIRM),
    food("radish", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, FIRM),
    food("potato", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::POTATO, FIRM),
    food("potato-peel", Group::Vegetable, ruled::RAW_PRODUCE, AS_IT_IS, made_of::POTATO, PAIL),
    food("sweet-potato-peel", Group::Vegetable, ruled::RAW_PRODUCE, AS_IT_IS, made_of::POTATO, PAIL),
    food("cucumber", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, PAIL),
    food("courgette", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, PAIL),
    food("squash", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, FIRM),
    food("pumpkin", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, FIRM),
    food("aubergine", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, PAIL),
    food("bell-pepper", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, LOOSE),
    food("tomato", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, FIRM),
    food("celery", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::WATERY_PRODUCE, PAIL),
    food("green-bean", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, PAIL),
    food("pea-pod", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, LOOSE),
    food("asparagus", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, PAIL),
    food("mushroom", Group::Vegetable, ruled::RAW_PRODUCE, AS_IT_IS, made_of::VEGETABLE_WASTE, LOOSE),
    food("cauliflower", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, PAIL),
    food("broccoli", Group::Vegetable, ruled::SMELLY, CUT, made_of::VEGETABLE_WASTE, PAIL),
    food("brussels-sprout", Group::Vegetable, ruled::SMELLY_KIN, CUT, made_of::VEGETABLE_WASTE, PAIL),
    food("maize-husk", Group::Vegetable, ruled::RAW_PRODUCE, CUT, made_of::PRODUCE, LOOSE),
    food("maize-cob", Group::Vegetable, ruled::HARD, CUT, made_of::STONE, PAIL),
    food("ginger", Group::Vegetable, ruled::HOT_ROOT, CUT, made_of::PRODUCE, PAIL),

    food("lettuce", Group::Leaf, ruled::RAW_PRODUCE, AS_IT_IS, made_of::LETTUCE, LOOSE),
    food("salad-leaf", Group::Leaf, ruled::RAW_PRODUCE, AS_IT_IS, made_of::LETTUCE, LOOSE),
    food("spinach", Group::Leaf, ruled::RAW_PRODUCE, AS_IT_IS, made_of::VEGETABLE_WASTE, LOOSE),
    food("chard", Group::Leaf, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, LOOSE),
    food("kale", Group::Leaf, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, LOOSE),
    food("cabbage", Group::Leaf, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, PAIL),
    food("carrot-top", Group::Leaf, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, LOOSE),
    food("beet-leaf", Group::Leaf, ruled::RAW_PRODUCE, CUT, made_of::VEGETABLE_WASTE, LOOSE),
    food("herb", Group::Leaf, ruled::RAW_PRODUCE, AS_IT_IS, made_of::VEGETABLE_WASTE, LOOSE),

    food("onion", Group::OnionFamily, ruled::SMELLY, CUT, made_of::PRODUCE, FIRM),
    food("onion-skin", Group::OnionFamily, ruled::SMELLY, AS_IT_IS, made_of::PRODUCE, LOOSE),
    food("spring-onion", Group::OnionFamily, ruled::SMELLY_KIN, CUT, made_of::PRODUCE, LOOSE),
    food("shallot", Group::OnionFamily, ruled::SMELLY_KIN, CUT, made_of::PRODUCE, FIRM),
    food("leek", Group::OnionFamily, ruled::SMELLY_KIN, CUT, made_of::PRODUCE, LOOSE),
    food("garlic", Group::OnionFamily, ruled::SMELLY_BY_PRACTICE, AS_IT_IS, made_of::PRODUCE, PAIL),

    food("coffee-grounds", Group::CoffeeAndTea, ruled::COFFEE, AS_IT_IS, made_of::COFFEE, GROUNDS),
    food("coffee-filter", Group::CoffeeAndTea, ruled::COFFEE, CUT, made_of::COFFEE, PAIL),
    food("tea-leaf", Group::CoffeeAndTea, ruled::TEA, AS_IT_IS, made_of::TEA, PAIL),
    food("tea-bag", Group::CoffeeAndTea, ruled::TEA, AS_IT_IS, made_of::TEA, PAIL),

    food("eggshell", Group::Grit, ruled::EGGSHELL, CUT, made_of::EGGSHELL, CRUSHED),

    food("bread", Group::BreadAndGrain, ruled::STARCHY, CUT, made_of::BREAD, AIRY),
    food("tortilla", Group::BreadAndGrain, ruled::STARCHY, CUT, made_of::BREAD, PAIL),
    food("cracker", Group::BreadAndGrain, ruled::STARCHY, CUT, made_of::DRY_GRAIN, AIRY),
    food("breakfast-cereal", Group::BreadAndGrain, ruled::STARCHY, AS_IT_IS, made_of::DRY_GRAIN, AIRY),
    food("oatmeal", Group::BreadAndGrain, ruled::STARCHY, AS_IT_IS, made_of::BOILED_GRAIN, DENSE),
    food("plain-pasta", Group::BreadAndGrain, ruled::STARCHY, AS_IT_IS, made_of::BOILED_GRAIN, FIRM),
    food("plain-rice", Group::BreadAndGrain, ruled::STARCHY, AS_IT_IS, made_of::BOILED_GRAIN, FIRM),
    food("flour", Group::BreadAndGrain, ruled::STARCHY, AS_IT_IS, made_of::DRY_GRAIN, GROUNDS),

    food("paper-towel", Group::KitchenPaper, ruled::KITCHEN_PAPER, CUT, made_of::KITCHEN_PAPER, PAPERY),
    food("paper-napkin", Group::KitchenPaper, ruled::KITCHEN_PAPER, CUT, made_of::KITCHEN_PAPER, PAPERY),
    food("glossy-paper", Group::KitchenPaper, ruled::GLOSSY_PAPER, AS_IT_IS, made_of::KITCHEN_PAPER, PAPERY),
    food("till-receipt", Group::KitchenPaper, ruled::RECEIPT, AS_IT_IS, made_of::KITCHEN_PAPER, PAPERY),

    food("cooked-vegetables", Group::CookedFood, ruled::COOKED, AS_IT_IS, made_of::MIXED, DENSE),
    food("cooked-meal", Group::CookedFood, ruled::COOKED, AS_IT_IS, made_of::MIXED, DENSE),
    food("mashed-potato", Group::CookedFood, ruled::COOKED, AS_IT_IS, made_of::POTATO, DENSE),
    food("soup", Group::CookedFood, ruled::COOKED, AS_IT_IS, made_of::PRODUCE, DENSE),
    food("sauce", Group::CookedFood, ruled::COOKED, AS_IT_IS, made_of::PRODUCE, DENSE),
    food("pizza", Group::CookedFood, ruled::COOKED, AS_IT_IS, made_of::BREAD, PAIL),

    food("meat", Group::MeatAndFish, ruled::MEAT, AS_IT_IS, made_of::MEAT, DENSE),
    food("poultry", Group::MeatAndFish, ruled::MEAT, AS_IT_IS, made_of::MEAT, DENSE),
    food("bone", Group::MeatAndFish, ruled::MEAT, AS_IT_IS, made_of::MEAT, PAIL),
    food("fish", Group::MeatAndFish, ruled::FISH, AS_IT_IS, made_of::MEAT, DENSE),
    food("shellfish", Group::MeatAndFish, ruled::FISH, AS_IT_IS, made_of::MEAT, PAIL),
    food("egg", Group::MeatAndFish, ruled::EGG, AS_IT_IS, made_of::MEAT, DENSE),

    food("milk", Group::MilkProduct, ruled::DAIRY, AS_IT_IS, made_of::DAIRY, DENSE),
    food("cheese", Group::MilkProduct, ruled::DAIRY, AS_IT_IS, made_of::DAIRY, DENSE),
    food("yoghurt", Group::MilkProduct, ruled::DAIRY, AS_IT_IS, made_of::DAIRY, DENSE),
    food("ice-cream", Group::MilkProduct, ruled::DAIRY, AS_IT_IS, made_of::DAIRY, DENSE),
    food("butter", Group::MilkProduct, ruled::DAIRY, AS_IT_IS, made_of::FAT, DENSE),

    food("cooking-oil", Group::OilAndFat, ruled::OILY, AS_IT_IS, made_of::FAT, DENSE),
    food("fried-food", Group::OilAndFat, ruled::OILY, AS_IT_IS, made_of::MIXED, PAIL),
    food("dressed-salad", Group::OilAndFat, ruled::OILY, AS_IT_IS, made_of::PRODUCE, PAIL),
    food("mayonnaise", Group::OilAndFat, ruled::OILY, AS_IT_IS, made_of::FAT, DENSE),
    food("nut-butter", Group::OilAndFat, ruled::OILY, AS_IT_IS, made_of::OILY_SEED, DENSE),

    food("salted-snack", Group::Seasoned, ruled::SALTY, AS_IT_IS, made_of::DRY_GRAIN, PAPERY),
    food("crisps", Group::Seasoned, ruled::SALTY, AS_IT_IS, made_of::DRY_GRAIN, PAPERY),
    food("soy-sauce", Group::Seasoned, ruled::SALTY, AS_IT_IS, made_of::PRODUCE, DENSE),
    food("pickle", Group::Seasoned, ruled::PICKLED, AS_IT_IS, made_of::WATERY_PRODUCE, DENSE),
    food("olive", Group::Seasoned, ruled::PICKLED, AS_IT_IS, made_of::FRUIT, FIRM),
    food("sauerkraut", Group::Seasoned, ruled::PICKLED, AS_IT_IS, made_of::VEGETABLE_WASTE, DENSE),
    food("vinegar", Group::Seasoned, ruled::PICKLED, AS_IT_IS, made_of::SUGARY_DRINK, DENSE),
    food("chilli", Group::Seasoned, ruled::SPICY, AS_IT_IS, made_of::PRODUCE, LOOSE),
    food("spicy-food", Group::Seasoned, ruled::SPICY, AS_IT_IS, made_of::MIXED, DENSE),

    food("sweets", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::SUGAR, FIRM),
    food("chocolate", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::SUGAR, FIRM),
    food("cake", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::BREAD, PAIL),
    food("biscuit", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::DRY_GRAIN, PAIL),
    food("jam", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::SUGAR, DENSE),
    food("honey", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::SUGAR, DENSE),
    food("soft-drink", Group::SweetFood, ruled::SWEET, AS_IT_IS, made_of::SUGARY_DRINK, DENSE),

    food("nut", Group::Nuts, ruled::RAW_NUT, CUT, made_of::OILY_SEED, FIRM),
    food("nutshell", Group::Nuts, ruled::NUTSHELL, AS_IT_IS, made_of::NUTSHELL, LOOSE),
    food("peanut-shell", Group::Nuts, ruled::NUTSHELL, AS_IT_IS, made_of::NUTSHELL, PAPERY),
    food("coconut-shell", Group::Nuts, ruled::NUTSHELL, AS_IT_IS, made_of::NUTSHELL, LOOSE),

    food("grass-clippings", Group::Garden, ruled::YARD, AS_IT_IS, made_of::GRASS, LOOSE),
    food("yard-trimmings", Group::Garden, ruled::YARD, AS_IT_IS, made_of::GARDEN_WASTE, LOOSE),
    food("cut-flowers", Group::Garden, ruled::YARD, AS_IT_IS, made_of::GARDEN_WASTE, LOOSE),
    food("weeds", Group::Garden, ruled::WEEDS, AS_IT_IS, made_of::GARDEN_WASTE, LOOSE),
    food("twig", Group::Garden, ruled::TWIG, AS_IT_IS, made_of::WOOD, LOOSE),
    food("walnut-leaf", Group::Garden, ruled::WALNUT_LEAF, AS_IT_IS, made_of::LEAVES, PAPERY),

    food("manure", Group::AnimalWaste, ruled::MANURE, AS_IT_IS, made_of::DUNG, DENSE),
    food("dog-waste", Group::AnimalWaste, ruled::PET_WASTE, AS_IT_IS, made_of::DUNG, DENSE),
    food("cat-litter", Group::AnimalWaste, ruled::PET_WASTE, AS_IT_IS, made_of::DUNG, DENSE),

    food("compostable-bag", Group::Rubbish, ruled::COMPOSTABLE_PLASTIC, AS_IT_IS, made_of::INERT, PAPERY),
    food("compostable-tableware", Group::Rubbish, ruled::COMPOSTABLE_PLASTIC, AS_IT_IS, made_of::INERT, PAPERY),
    food("plastic", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, PAPERY),
    food("plastic-tea-bag", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, PAIL),
    food("coffee-pod", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, PAIL),
    food("fruit-sticker", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, PAPERY),
    food("rubber-band", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, PAPERY),
    food("foil", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, PAPERY),
    food("chewing-gum", Group::Rubbish, ruled::RUBBISH, AS_IT_IS, made_of::INERT, FIRM),
    food("wood-ash", Group::Rubbish, ruled::ASH, AS_IT_IS, made_of::INERT, CRUSHED),
];
