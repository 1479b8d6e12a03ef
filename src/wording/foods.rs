//! Foods, classes and reasons by name.

use super::texts;
use super::voice::Voice;
use std::collections::BTreeSet;
use wormrota_domain::food::{Class, FoodSubject, Group, Why, find};

impl Voice {
    /// A food by its key, as it stands within a sentence: "banana peels". A key that no
    /// language names is shown as it is.
    #[must_use]
    pub fn food(&self, key: &str) -> String {
        self.named("food", key)
    }

    /// A bedding material by its key: "shredded newspaper".
    #[must_use]
    pub fn bedding(&self, key: &str) -> String {
        self.named("bedding", key)
    }

    /// A group of foods: "the onion family".
    #[must_use]
    pub fn group(&self, group: Group) -> String {
        self.named("group", group.code())
    }

    /// How a food stands: "welcome".
    #[must_use]
    pub fn class(&self, class: Class) -> String {
        self.named("class", class.code())
    }

    /// Why a food is not welcome, as half a sentence.
    #[must_use]
    pub fn why(&self, why: Why) -> String {
        self.named("why", why.code())
    }

    fn named(&self, kind: &str, key: &str) -> String {
        let id = format!("{kind}-{key}");
        if texts::has(self.language, &id) {
            self.say(&id, [])
        } else {
            key.to_owned()
        }
    }

    /// Every one of these foods.
    pub(super) fn foods(&self, keys: &[String]) -> String {
        self.list(&self.each_food(keys))
    }

    /// The first few of these foods, and how many more.
    pub(super) fn few_foods(&self, keys: &[String]) -> String {
        self.short_list(&self.each_food(keys))
    }

    /// These foods and groups, some of whose names are lists themselves.
    pub(super) fn subjects(&self, names: &[String]) -> String {
        let each = names.iter().map(|name| match FoodSubject::find(name) {
            Some(FoodSubject::Group(group)) => self.group(group),
            _ => self.food(name),
        });
        self.steps(&each.collect::<Vec<_>>())
    }

    fn each_food(&self, keys: &[String]) -> Vec<String> {
        keys.iter().map(|key| self.food(key)).collect()
    }

    /// Every one of these foods with why it stays out, foods of one reason together.
    pub(super) fn foods_because(&self, keys: &[String]) -> String {
        let mut kinds: Vec<(String, Vec<String>)> = Vec::new();
        for key in keys {
            let why = self.why_out(key);
            match kinds.iter_mut().find(|(known, _)| *known == why) {
                Some((_, foods)) => foods.push(self.food(key)),
                None => kinds.push((why, vec![self.food(key)])),
            }
        }
        let kinds: Vec<String> = kinds
            .into_iter()
            .map(|(why, foods)| {
                let foods = self.list(&foods);
                self.say(
                    "foods-because",
                    [("foods", foods.into()), ("why", why.into())],
                )
            })
            .collect();
        self.list(&kinds)
    }

    /// The one reason for which all of these foods stay out, if it is one.
    pub(super) fn one_why(&self, keys: &[String]) -> Option<String> {
        let whys: BTreeSet<String> = keys.iter().map(|key| self.why_out(key)).collect();
        (whys.len() == 1).then(|| whys.into_iter().next()).flatten()
    }

    /// Why a food stays out: the catalogue's reason, or that the site is stricter.
    fn why_out(&self, key: &str) -> String {
        let ruled = find(key).filter(|item| item.class == Class::Never);
        match ruled.and_then(|item| item.why) {
            Some(why) => self.why(why),
            None => self.say("why-site-rule", []),
        }
    }
}
