//! Lists as people say them.

use super::voice;
use wormrota_domain::site::{Language, UnitSystem};

fn list(language: Language, items: &[&str]) -> String {
    let items: Vec<String> = items.iter().map(|item| (*item).to_owned()).collect();
    voice(language, UnitSystem::Metric).list(&items)
}

#[test]
fn the_last_of_a_list_is_joined_with_a_word() {
    let english = |items: &[&str]| list(Language::English, items);
    assert_eq!(english(&[]), "");
    assert_eq!(english(&["a"]), "a");
    assert_eq!(english(&["a", "b"]), "a and b");
    assert_eq!(english(&["a", "b", "c"]), "a, b and c");
}

#[test]
fn spanish_says_e_before_the_vowel_i() {
    for (last, joined) in [
        ("higos", "papas e higos"),
        ("Iris", "papas e Iris"),
        ("hierbas", "papas y hierbas"),
        ("huevos", "papas y huevos"),
        ("ajo", "papas y ajo"),
    ] {
        assert_eq!(list(Language::Spanish, &["papas", last]), joined);
    }
}

/// Protects people from asking everybody where one will do.
#[test]
fn of_several_one_will_do() {
    let one_of = |language, items: &[&str]| {
        let items: Vec<String> = items.iter().map(|item| (*item).to_owned()).collect();
        voice(language, UnitSystem::Metric).one_of(&items)
    };
    let english = |items: &[&str]| one_of(Language::English, items);
    assert_eq!(english(&["Cy"]), "Cy");
    assert_eq!(english(&["Bo", "Cy", "Di"]), "Bo, Cy or Di");
    for (last, joined) in [
        ("Olga", "Cy u Olga"),
        ("Óscar", "Cy u Óscar"),
        ("Horacio", "Cy u Horacio"),
        ("Iris", "Cy o Iris"),
        ("Di", "Cy o Di"),
    ] {
        assert_eq!(one_of(Language::Spanish, &["Cy", last]), joined);
    }
}

#[test]
fn a_long_list_names_three_and_counts_the_rest() {
    let english = voice(Language::English, UnitSystem::Metric);
    let short = |count: u8| {
        let items: Vec<String> = (0..count)
            .map(|n| char::from(b'a' + n).to_string())
            .collect();
        english.short_list(&items)
    };
    assert_eq!(short(3), "a, b and c");
    assert_eq!(short(4), "a, b, c and d");
    assert_eq!(short(5), "a, b, c and 2 more");
}
