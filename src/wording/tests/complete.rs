//! No text is missing in a language, and none is there for nothing.

use super::samples::{
    CONDITIONS, DEEDS, LIMITS, RULES, condition_number, conditions, deed_number, deeds,
    limit_number, rule_number, rules,
};
use crate::wording::texts::sources;
use fluent_bundle::FluentResource;
use fluent_bundle::concurrent::FluentBundle;
use std::collections::{BTreeMap, BTreeSet};
use wormrota_domain::food::{Class, Group, KitchenMeasure, Why, beddings, catalogue};
use wormrota_domain::living_bin::care::Care;
use wormrota_domain::living_bin::gate::Sign;
use wormrota_domain::living_bin::warning::WarningKind;
use wormrota_domain::rota::explain::limits::ORDER;
use wormrota_domain::rota::explain::sight::Reason;
use wormrota_domain::rota::rules::HardRule;
use wormrota_domain::site::{Language, ScrapOutlet};

/// Folders of the code that speaks, for finding the names of messages in it.
const FOLDERS: [&str; 5] = [
    "src/wording",
    "src/desk/cover",
    "src/desk/letters",
    "src/desk/letter_links",
    "src/api/pages",
];

/// The pages of the desk, which speak too.
fn is_page(path: &std::path::Path) -> bool {
    let name = path.file_stem().and_then(|name| name.to_str());
    name.is_some_and(|name| name.ends_with("_page") || name.ends_with("_password"))
}

/// The code in these folders, and that of the desk's pages, one file after the other.
fn code() -> Vec<String> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let desk = std::fs::read_dir(root.join("src/desk")).unwrap();
    let pages = desk
        .map(|entry| entry.unwrap().path())
        .filter(|path| is_page(path));
    let files = FOLDERS.iter().flat_map(|folder| {
        let entries = std::fs::read_dir(root.join(folder)).unwrap();
        entries.map(|entry| entry.unwrap().path())
    });
    let rust = files
        .chain(pages)
        .filter(|path| path.extension().is_some_and(|end| end == "rs"));
    rust.map(|path| std::fs::read_to_string(path).unwrap())
        .collect()
}

/// Each message of a language with the names of its attributes and variables.
fn messages(language: Language) -> BTreeMap<String, (BTreeSet<String>, BTreeSet<String>)> {
    let mut found: BTreeMap<String, (BTreeSet<String>, BTreeSet<String>)> = BTreeMap::new();
    for source in sources(language) {
        let mut current = String::new();
        for line in source.lines().filter(|line| !line.starts_with('#')) {
            if line.starts_with(|c: char| c.is_ascii_lowercase()) {
                let (id, _) = line.split_once(" =").unwrap();
                current = id.to_owned();
                let twice = found.insert(current.clone(), Default::default());
                assert!(twice.is_none(), "{}: {id} twice", language.code());
            }
            let Some((attributes, variables)) = found.get_mut(&current) else {
                continue;
            };
            if let Some((name, _)) = line
                .trim_start()
                .strip_prefix('.')
                .and_then(|rest| rest.split_once(" ="))
            {
                attributes.insert(name.to_owned());
            }
            for part in line.split('$').skip(1) {
                let name = part.split(|c: char| !(c.is_alphanumeric() || c == '_'));
                variables.insert(name.clone().next().unwrap().to_owned());
            }
        }
    }
    found
}

/// The messages that go by a code or a key.
fn by_code() -> BTreeSet<String> {
    let with = |kind: &str, codes: Vec<&str>| -> Vec<String> {
        codes.iter().map(|code| format!("{kind}-{code}")).collect()
    };
    let numbered = |kind: &str, last: u32| -> Vec<String> {
        (1..=last).map(|n| format!("{kind}-{n}")).collect()
    };
    let outlets: Vec<&str> = ScrapOutlet::ALL.iter().map(|one| one.code()).collect();
    [
        with("food", catalogue().iter().map(|item| item.key).collect()),
        with("bedding", beddings().iter().map(|one| one.key).collect()),
        with("group", Group::ALL.iter().map(|one| one.code()).collect()),
        with("class", Class::ALL.iter().map(|one| one.code()).collect()),
        with("why", Why::ALL.iter().map(|one| one.code()).collect()),
        with(
            "measure",
            KitchenMeasure::ALL.iter().map(|one| one.code()).collect(),
        ),
        with("binds", LIMITS.iter().map(|one| one.code()).collect()),
        with("sign", Sign::ALL.iter().map(|one| one.code()).collect()),
        with("care", Care::ALL.iter().map(|one| one.code()).collect()),
        with(
            "warning",
            WarningKind::ALL.iter().map(|one| one.code()).collect(),
        ),
        with("rota-shut", ORDER.iter().map(|one| one.code()).collect()),
        with(
            "rota-why",
            HardRule::ALL.iter().map(|one| one.code()).collect(),
        ),
        with(
            "rota-why",
            Reason::ALL.iter().map(|one| one.code()).collect(),
        ),
        with("outlet", outlets.clone()),
        with("outlet-never", outlets),
        numbered("weekday", 7),
        numbered("month", 12),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// What stands between quotes in the code.
fn literals() -> BTreeSet<String> {
    let code = code();
    let texts = code.iter().flat_map(|code| code.lines());
    let spoken = texts.filter(|line| !line.trim_start().starts_with("//"));
    spoken
        .flat_map(|line| line.split('"').skip(1).step_by(2))
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_text_that_goes_by_a_code_is_there_in_every_language() {
    for language in Language::ALL {
        let texts = messages(*language);
        for id in by_code() {
            assert!(texts.contains_key(&id), "{}: no {id}", language.code());
        }
    }
}

#[test]
fn every_text_that_the_code_names_is_there_in_every_language() {
    let is_name = |literal: &String| {
        literal.contains('-')
            && literal
                .split('-')
                .all(|word| !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase()))
    };
    let no_texts = ["three-quarters", "x-robots-tag"];
    let named: Vec<String> = literals()
        .into_iter()
        .filter(is_name)
        .filter(|literal| !no_texts.contains(&literal.as_str()))
        .collect();
    assert!(named.len() > 60, "only {} names found", named.len());
    for language in Language::ALL {
        let texts = messages(*language);
        for id in &named {
            assert!(texts.contains_key(id), "{}: no {id}", language.code());
        }
    }
}

#[test]
fn no_text_is_there_for_nothing() {
    let (codes, named) = (by_code(), literals());
    for language in Language::ALL {
        for id in messages(*language).keys() {
            let used = codes.contains(id) || named.contains(id.as_str());
            assert!(used, "{}: nobody says {id}", language.code());
        }
    }
}

/// A language may do without a variable that is there for another's grammar; it may not need
/// one that the code does not give.
#[test]
fn no_language_has_a_text_or_a_part_of_one_that_another_lacks() {
    let grammar = ["sound", "units", "count", "sheets"];
    let first = messages(Language::ALL[0]);
    for language in Language::ALL {
        let texts = messages(*language);
        let ids = |texts: &BTreeMap<String, _>| texts.keys().cloned().collect::<Vec<_>>();
        assert_eq!(ids(&texts), ids(&first), "{}", language.code());
        for (id, (attributes, variables)) in &texts {
            let (first_attributes, first_variables) = &first[id];
            assert_eq!(attributes, first_attributes, "{}: {id}", language.code());
            let apart = variables.symmetric_difference(first_variables);
            let apart: Vec<_> = apart.filter(|v| !grammar.contains(&v.as_str())).collect();
            assert!(apart.is_empty(), "{}: {id}: {apart:?}", language.code());
        }
    }
}

#[test]
fn the_files_hold_no_faults() {
    for language in Language::ALL {
        let id = language.code().parse().unwrap();
        let mut bundle = FluentBundle::new_concurrent(vec![id]);
        for source in sources(*language) {
            let resource = FluentResource::try_new(source.to_owned())
                .map_err(|(_, errors)| format!("{}: {errors:?}", language.code()))
                .unwrap();
            bundle.add_resource(resource).unwrap();
        }
    }
}

/// Formats every text and attribute, with words for all its variables: a reference to
/// something that is not there shows itself.
#[test]
fn every_text_can_be_said() {
    for language in Language::ALL {
        for (id, (attributes, variables)) in messages(*language) {
            let args = variables.iter().map(|name| (name.as_str(), "x"));
            let args = args.collect::<fluent_bundle::FluentArgs<'_>>();
            let whole = crate::wording::texts::say(*language, &id, None, &args);
            assert!(!whole.is_empty());
            for attribute in &attributes {
                crate::wording::texts::say(*language, &id, Some(attribute), &args);
            }
        }
    }
}

#[test]
fn the_samples_show_every_rule_condition_deed_and_limit() {
    let all = |numbers: BTreeSet<usize>, count| assert_eq!(numbers, (0..count).collect());
    all(
        rules().iter().map(|r| rule_number(&r.rule)).collect(),
        RULES,
    );
    all(
        conditions().iter().map(condition_number).collect(),
        CONDITIONS,
    );
    all(deeds().iter().map(deed_number).collect(), DEEDS);
    all(
        LIMITS.iter().map(|one| limit_number(*one)).collect(),
        LIMITS.len(),
    );
}
