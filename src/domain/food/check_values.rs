//! Published values that the sums about food and bedding must reproduce.

use super::{
    Composition, Density, KitchenMeasure, Measure, MixTarget, Quarters, bedding_for, estimate,
    find, find_bedding, mass_for_carbon, mass_for_moisture, sample_moisture, starting_bedding,
    water_to_add,
};
use crate::units::{Fraction, KG_PER_POUND, Kg, LITRES_PER_US_GALLON, Litres};

const LITRES_PER_CUBIC_FOOT: f64 = 28.316_846_592;

#[track_caller]
fn near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{got}, not {expected}");
}

/// Cornell's grass clippings: 77 % water, 2.4 % nitrogen, 45 % carbon (from memory).
fn grass(kg: f64) -> Composition {
    Composition::of(Kg(kg), Fraction(0.77), Fraction(0.024), 45.0 / 2.4)
}

/// Cornell's leaves: 35 % water, 0.75 % nitrogen, 50 % carbon (from memory).
fn leaves(kg: f64) -> Composition {
    Composition::of(Kg(kg), Fraction(0.35), Fraction(0.0075), 50.0 / 0.75)
}

/// Check value 1, Cornell: 10 g wet and 2.3 g dry is 77 % water.
#[test]
fn a_dried_sample_tells_its_moisture() {
    let moisture = sample_moisture(Kg(0.010), Kg(0.0023)).unwrap();
    near(moisture.0, 0.77, 1e-12);
}

/// Check value 2, Cornell: 10 kg of grass at 77 % need 6.8 kg of leaves at 35 % to come to
/// 60 %.
#[test]
fn leaves_dry_grass_to_the_goal() {
    let needed = mass_for_moisture(&grass(10.0), &leaves(1.0), Fraction(0.60)).unwrap();
    near(needed.0, 6.8, 1e-9);
}

/// Check value 3, reckoned from 2: the weighted mean of that mix is 60.0 %.
#[test]
fn the_dried_mix_is_at_the_goal() {
    near((grass(10.0) + leaves(6.8)).moisture().0, 0.600, 1e-9);
}

/// Check value 4, Cornell (from memory): for a carbon to nitrogen ratio of 30 the same grass
/// needs 3.5 kg of leaves; reckoned to three places 3.474.
#[test]
fn leaves_bring_carbon_to_grass() {
    let needed = mass_for_carbon(&grass(10.0), &leaves(1.0), 30.0).unwrap();
    near(needed.0, 3.474, 0.0005);
    near(
        (grass(10.0) + leaves(needed.0))
            .carbon_to_nitrogen()
            .unwrap(),
        30.0,
        1e-9,
    );
}

/// Check value 5, a handout on carbon and nitrogen (publisher not shown): 50 lb of hay, 10 of
/// scraps and 2 of coffee grounds, as-is percentages, come to 34.7.
#[test]
fn hay_scraps_and_coffee_come_to_the_published_ratio() {
    let part = |pounds: f64, carbon: f64, nitrogen: f64| Composition {
        mass: Kg(pounds * KG_PER_POUND),
        water: Kg(0.0),
        carbon: Kg(pounds * KG_PER_POUND * carbon),
        nitrogen: Kg(pounds * KG_PER_POUND * nitrogen),
    };
    let mix = part(50.0, 0.40, 0.01) + part(10.0, 0.10, 0.01) + part(2.0, 0.25, 0.01);
    near(mix.carbon_to_nitrogen().unwrap(), 34.7, 0.05);
    near(mix.carbon_to_nitrogen().unwrap(), 34.68, 0.005);
}

/// Check value 7, Grand Traverse County: a bin of 2 cubic feet starts on 5 lb of newspaper.
#[test]
fn a_new_bin_starts_on_the_published_newspaper() {
    let paper = starting_bedding(Litres(2.0 * LITRES_PER_CUBIC_FOOT));
    near(paper.0 / KG_PER_POUND, 5.0, 1e-9);
    near(starting_bedding(Litres(1000.0)).0, 40.0, 0.05);
}

/// Check value 26, US EPA: 5 US gallons at 3.8 lb a gallon are 19 lb, 8.62 kg.
#[test]
fn a_bucket_weighs_what_the_agency_says() {
    near(
        Density::KITCHEN_SCRAPS
            .weigh(Litres(5.0 * LITRES_PER_US_GALLON))
            .0
            / KG_PER_POUND,
        19.0,
        1e-9,
    );
    let bucket = Measure::Filled(KitchenMeasure::Bucket.vessel(), Quarters::full(1));
    let amount = estimate(bucket, find("usual-mix").unwrap()).amount;
    near(amount.kg().0, 8.62, 0.005);
}

/// Check value 27, US EPA: 396 lb a cubic yard is 0.235 kg/L.
#[test]
fn the_loose_density_is_the_agencys() {
    near(Density::LOOSE.kg_per_litre(), 0.235, 0.0005);
}

/// US EPA, reckoned: 3.8 lb a US gallon is 0.455 kg/L; the older factor of 7.49 lb is 0.90.
#[test]
fn the_pail_and_dense_densities_are_the_agencys() {
    near(Density::KITCHEN_SCRAPS.kg_per_litre(), 0.455, 0.0005);
    near(Density::DENSE.kg_per_litre(), 0.90, 0.005);
}

/// Check values 39 and 40, reckoned from Missouri S&T: 1 kg of food with newspaper needs
/// 0.1213 kg for a ratio of 25 and comes to 62.97 % water; 0.1834 kg and 59.93 % for 30.
#[test]
fn newspaper_balances_the_usual_mix_for_carbon_and_leaves_it_dry() {
    let food = find("usual-mix").unwrap().composition(Kg(1.0));
    let paper = find_bedding("shredded-newspaper").unwrap();
    for (ratio, needed, moisture) in [(25.0, 0.1213, 0.6297), (30.0, 0.1834, 0.5993)] {
        let mass = mass_for_carbon(&food, &paper.composition(Kg(1.0)), ratio).unwrap();
        near(mass.0, needed, 0.000_05);
        let mix = food + paper.composition(mass);
        near(mix.moisture().0, moisture, 0.000_05);
    }
}

/// What 39 teaches: the advice takes the same newspaper and adds the water that is missing.
#[test]
fn advice_for_the_usual_mix_adds_the_missing_water() {
    let food = find("usual-mix").unwrap().composition(Kg(1.0));
    let paper = find_bedding("shredded-newspaper").unwrap();
    let advice = bedding_for(&food, paper, &MixTarget::default());
    assert_eq!(advice.dry.0, 122);
    near(advice.moisture.0, 0.80, 0.001);
    assert!(advice.carbon_to_nitrogen.unwrap() >= 25.0);
}

/// Check value 41, reckoned: 1 kg of vegetables at 87 % comes down to 80 % with 0.0933 kg of
/// paper at 5 %.
#[test]
fn paper_dries_vegetables_to_the_goal() {
    let vegetables = find("vegetable-scraps").unwrap().composition(Kg(1.0));
    let paper = find_bedding("shredded-newspaper").unwrap();
    let mass = mass_for_moisture(&vegetables, &paper.composition(Kg(1.0)), Fraction(0.80));
    near(mass.unwrap().0, 0.0933, 0.000_05);
}

/// Check value 42, reckoned: a kilogram of paper at 5 % takes 2.8 kg of water to come to 75 %.
#[test]
fn dry_paper_takes_the_reckoned_water() {
    let paper = find_bedding("shredded-newspaper").unwrap();
    let water = water_to_add(&paper.composition(Kg(1.0)), Fraction(0.75));
    near(water.0, 2.8, 1e-9);
}
