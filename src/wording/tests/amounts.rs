//! What is shown is never more than there is, and never less than is needed.

use super::{caddy, pail, voice, voices};
use crate::wording::measures::{Known, densest};
use crate::wording::{Rounding, Voice};
use wormrota_domain::food::{Container, Density, KitchenMeasure, Quarters, catalogue};
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::units::{Celsius, Grams, KG_PER_POUND, Litres};

fn english(units: UnitSystem) -> Voice {
    voice(Language::English, units)
}

/// The grams that a shown amount stands for, read back from its text. "Less than" is nothing.
fn read_back(shown: &str) -> f64 {
    if shown.contains("less") || shown.contains("menos") {
        return 0.0;
    }
    let (figure, unit) = shown.split_once(' ').unwrap();
    let figure: f64 = figure.replace(',', ".").parse().unwrap();
    let pound = KG_PER_POUND * 1000.0;
    let grams = match unit {
        "g" => 1.0,
        "kg" => 1000.0,
        "lb" => pound,
        "oz" => pound / 16.0,
        other => panic!("{other}"),
    };
    figure * grams
}

#[test]
fn shown_room_is_never_more_than_the_room_and_shown_needs_never_less() {
    const ROUNDING: f64 = 1e-9;
    for voice in voices() {
        for grams in (0..3_000).chain((3_000..=50_000).step_by(7)) {
            let real = f64::from(grams);
            let shown = |rounding| read_back(&voice.amount(Grams(i64::from(grams)), rounding));
            let (down, up) = (shown(Rounding::Down), shown(Rounding::Up));
            assert!(down <= real + ROUNDING, "{down} of {real}");
            assert!(up >= real - ROUNDING, "{up} of {real}");
            // The coarsest steps are half an ounce below four ounces, and an ounce from there.
            let step = f64::max(real * 0.26, 15.0);
            assert!(up - down <= step, "{down} to {up} of {real}");
        }
    }
}

#[test]
fn amounts_read_as_people_write_them() {
    let metric = english(UnitSystem::Metric);
    let us = english(UnitSystem::Us);
    let down = |voice: &Voice, grams| voice.amount(Grams(grams), Rounding::Down);
    let up = |voice: &Voice, grams| voice.amount(Grams(grams), Rounding::Up);
    for (grams, shown) in [
        (-5, "0 g"),
        (0, "0 g"),
        (7, "7 g"),
        (58, "55 g"),
        (437, "430 g"),
        (999, "990 g"),
        (1_000, "1 kg"),
        (1_999, "1.9 kg"),
    ] {
        assert_eq!(down(&metric, grams), shown);
    }
    for (grams, shown) in [(58, "60 g"), (996, "1 kg"), (1_001, "1.1 kg")] {
        assert_eq!(up(&metric, grams), shown);
    }
    for (grams, shown) in [
        (0, "0 oz"),
        (2, "less than 0.1 oz"),
        (60, "2 oz"),
        (400, "14 oz"),
        (453, "15 oz"),
        (454, "1 lb"),
        (8_620, "19 lb"),
    ] {
        assert_eq!(down(&us, grams), shown);
    }
    for (grams, shown) in [(60, "2.5 oz"), (453, "1 lb"), (455, "1.1 lb")] {
        assert_eq!(up(&us, grams), shown);
    }
}

#[test]
fn spanish_writes_a_decimal_comma_except_where_people_read_pounds() {
    let spanish = |units| voice(Language::Spanish, units);
    let amount = Grams(1_900);
    let down = Rounding::Down;
    assert_eq!(spanish(UnitSystem::Metric).amount(amount, down), "1,9 kg");
    assert_eq!(spanish(UnitSystem::Us).amount(amount, down), "4.1 lb");
}

#[test]
fn water_is_rounded_up() {
    let (metric, us) = (english(UnitSystem::Metric), english(UnitSystem::Us));
    for (ml, shown) in [
        (-1, "0 ml"),
        (61, "70 ml"),
        (130, "150 ml"),
        (1_201, "1.3 L"),
    ] {
        assert_eq!(metric.water(ml), shown);
    }
    // A US cup is 236.588 ml, a fluid ounce an eighth of it.
    for (ml, shown) in [
        (30, "2 fl oz"),
        (130, "5 fl oz"),
        (236, "1 cup"),
        (237, "1¼ cups"),
        (500, "2¼ cups"),
    ] {
        assert_eq!(us.water(ml), shown);
    }
}

#[test]
fn temperatures_are_whole_degrees() {
    let (metric, us) = (english(UnitSystem::Metric), english(UnitSystem::Us));
    assert_eq!(metric.temperature(Celsius(31.4)), "31 °C");
    assert_eq!(metric.temperature(Celsius(-0.3)), "0 °C");
    assert_eq!(metric.temperature(Celsius(-5.0)), "-5 °C");
    assert_eq!(us.temperature(Celsius(35.0)), "95 °F");
}

/// All sizes of container that a site may name, at all densities that a food may have.
#[test]
fn room_in_a_measure_is_never_more_than_the_room() {
    let container = |litres: f64| Container::new("one", Litres(litres)).unwrap();
    let kits = [
        vec![],
        vec![pail(), caddy()],
        vec![container(0.1)],
        vec![container(120.0), container(0.7)],
    ];
    let mut told = 0;
    for mut voice in voices() {
        for kit in &kits {
            voice.containers.clone_from(kit);
            for item in catalogue() {
                for grams in (0..60).chain((60..20_000).step_by(331)) {
                    let room = Grams(grams);
                    let Some(filled) = voice.best_measure(room, item.density) else {
                        continue;
                    };
                    let holds = Grams::rounded_up(item.density.weigh(filled.volume()));
                    assert!(holds <= room, "{} {filled:?} of {room:?}", item.key);
                    told += 1;
                }
            }
        }
    }
    assert!(told > 100_000, "only {told} rooms were told in a measure");
}

/// What is to be taken out is told with at least as much.
#[test]
fn what_is_taken_out_is_rounded_up_in_its_measure_too() {
    let metric = english(UnitSystem::Metric);
    let scraps = Density::KITCHEN_SCRAPS;
    // Half of a caddy of 5 L is 1,138 g, three quarters 1,707 g.
    let out = metric.portion_up(Grams(1_690), scraps);
    assert_eq!(out, "1.7 kg (2 times the blue pail)");
    let no_own = Voice {
        containers: Vec::new(),
        ..metric
    };
    assert_eq!(
        no_own.portion_up(Grams(1_690), scraps),
        "1.7 kg (three quarters of a 5-litre caddy)"
    );
    assert_eq!(no_own.portion_up(Grams(80), scraps), "80 g (2 handfuls)");
    assert_eq!(no_own.portion_up(Grams(10), scraps), "10 g");
}

#[test]
fn the_fill_that_is_said_is_the_fill_that_was_reckoned() {
    let metric = english(UnitSystem::Metric);
    let said = |quarters| metric.container(&caddy(), Quarters(quarters));
    assert_eq!(said(1), "a quarter of the caddy");
    assert_eq!(said(2), "half of the caddy");
    assert_eq!(said(3), "three quarters of the caddy");
    assert_eq!(said(4), "one full caddy");
    assert_eq!(said(6), "1½ times the caddy");
    assert_eq!(said(8), "2 times the caddy");
    let said = |quarters| metric.measure(KitchenMeasure::Cup, Quarters(quarters));
    assert_eq!(said(1), "a quarter of a cup");
    assert_eq!(said(4), "1 cup");
    assert_eq!(said(5), "1¼ cups");
    assert_eq!(said(11), "2¾ cups");
    let spanish = voice(Language::Spanish, UnitSystem::Metric);
    assert_eq!(
        spanish.container(&caddy(), Quarters(7)),
        "1¾ veces el recipiente «caddy»"
    );
}

#[test]
fn a_measure_is_told_in_the_sites_own_container_and_a_hand_steps_in_below() {
    let metric = english(UnitSystem::Metric);
    let best = |grams| {
        metric
            .best_measure(Grams(grams), Density::KITCHEN_SCRAPS)
            .unwrap()
    };
    assert_eq!(best(1_204).with, Known::Own(&caddy()));
    assert_eq!(best(500).with, Known::Own(&pail()));
    // A quarter of the pail is 228 g; five handfuls are 375 g.
    assert_eq!(best(430).with, Known::Kitchen(KitchenMeasure::Handful));
    assert_eq!(best(430).fill, Quarters::full(5));
    assert_eq!(best(160).with, Known::Kitchen(KitchenMeasure::Handful));
    assert!(
        metric
            .best_measure(Grams(30), Density::KITCHEN_SCRAPS)
            .is_none()
    );
}

/// A caddy told for leaves and melons together must not be too much if it is all melon.
#[test]
fn a_mixed_offer_is_told_at_the_density_of_its_heaviest_food() {
    let mixed = densest(["lettuce", "melon-rind", "usual-mix"].into_iter());
    for key in ["lettuce", "melon-rind", "usual-mix"] {
        let density = wormrota_domain::food::find(key).unwrap().density;
        assert!(density.kg_per_litre() <= mixed.kg_per_litre());
    }
}
