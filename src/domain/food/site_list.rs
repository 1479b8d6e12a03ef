//! What one site keeps out besides what the catalogue keeps out.
//!
//! A site may be stricter than the catalogue, never milder: what kills worms in one building
//! kills them in the next.

use super::class::{Class, Group, Why};
use super::item::FoodItem;
use super::nearest::nearest_of;
use super::{catalogue, find};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use thiserror::Error;

/// What an entry speaks of: one food or a whole group. No food and group share a name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FoodSubject {
    /// One food.
    Item(&'static FoodItem),
    /// Every food of a group.
    Group(Group),
}

impl FoodSubject {
    /// The food with this key, or else the group with this code.
    #[must_use]
    pub fn find(name: &str) -> Option<Self> {
        find(name)
            .map(Self::Item)
            .or_else(|| Group::from_code(name).map(Self::Group))
    }

    /// The food's key or the group's code.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Item(item) => item.key,
            Self::Group(group) => group.code(),
        }
    }

    /// The foods it speaks of.
    pub fn items(self) -> impl Iterator<Item = &'static FoodItem> {
        catalogue().iter().filter(move |item| match self {
            Self::Item(one) => item.key == one.key,
            Self::Group(group) => item.group == group,
        })
    }
}

/// One entry as people write it and the store keeps it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteFoodEntry {
    /// A food's key or a group's code.
    pub subject: String,
    /// The class that it has at this site.
    pub class: Class,
}

/// How a food stands at a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Whether it may go in here.
    pub class: Class,
    /// The catalogue's reason; nothing for a food that is welcome there.
    pub why: Option<Why>,
    /// Whether the site is stricter than the catalogue: then the class is the site's own
    /// rule, and `why` at most a part of the reason.
    pub tightened: bool,
}

/// The foods that a site has tightened. An empty list is the catalogue as it stands.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(try_from = "Vec<SiteFoodEntry>", into = "Vec<SiteFoodEntry>")]
pub struct SiteFoodList {
    /// By name, so that the same list is always written the same way.
    classes: BTreeMap<&'static str, Class>,
}

impl SiteFoodList {
    /// Checks the entries.
    ///
    /// Where a food and its group both have an entry, the stricter one holds. A group's entry
    /// leaves those of its foods alone that are stricter already. An entry's number in an
    /// error is its place, from 0.
    pub fn parse(entries: &[SiteFoodEntry]) -> Result<Self, SiteFoodError> {
        let mut classes = BTreeMap::new();
        for (line, entry) in entries.iter().enumerate() {
            let subject =
                FoodSubject::find(&entry.subject).ok_or_else(|| SiteFoodError::Unknown {
                    line,
                    subject: entry.subject.chars().take(60).collect(),
                    nearest: nearest_subjects(&entry.subject),
                })?;
            let mildest = subject.items().map(|item| item.class).min();
            if let Some(at_least) = mildest.filter(|class| entry.class < *class) {
                return Err(SiteFoodError::Loosens {
                    line,
                    subject: subject.name(),
                    at_least,
                });
            }
            let strictest = subject.items().map(|item| item.class).max();
            if entry.class == Class::Welcome && strictest > Some(Class::Welcome) {
                return Err(SiteFoodError::Loosens {
                    line,
                    subject: subject.name(),
                    at_least: Class::Sparing,
                });
            }
            if classes.insert(subject.name(), entry.class).is_some() {
                return Err(SiteFoodError::Twice {
                    line,
                    subject: subject.name(),
                });
            }
        }
        Ok(Self { classes })
    }

    /// For a school: no citrus, no bread or grain, no cooked food.
    ///
    /// Citrus because the literature is divided and a school takes the cautious side; the
    /// rest after Cornell's rule for class bins, raw fruit and vegetables only.
    #[must_use]
    pub fn school() -> Self {
        let out = [Group::Citrus, Group::BreadAndGrain, Group::CookedFood];
        Self {
            classes: out.map(|group| (group.code(), Class::Never)).into(),
        }
    }

    /// How a food stands at this site.
    #[must_use]
    pub fn class_of(&self, item: &FoodItem) -> Standing {
        let class = [item.key, item.group.code()]
            .into_iter()
            .filter_map(|name| self.classes.get(name).copied())
            .fold(item.class, Class::max);
        Standing {
            class,
            why: item.why,
            tightened: class > item.class,
        }
    }

    /// The entries again, by name.
    #[must_use]
    pub fn to_entries(&self) -> Vec<SiteFoodEntry> {
        self.classes
            .iter()
            .map(|(subject, class)| SiteFoodEntry {
                subject: (*subject).to_owned(),
                class: *class,
            })
            .collect()
    }
}

impl TryFrom<Vec<SiteFoodEntry>> for SiteFoodList {
    type Error = SiteFoodError;
    fn try_from(entries: Vec<SiteFoodEntry>) -> Result<Self, Self::Error> {
        Self::parse(&entries)
    }
}

impl From<SiteFoodList> for Vec<SiteFoodEntry> {
    fn from(list: SiteFoodList) -> Self {
        list.to_entries()
    }
}

/// Names of foods and groups that somebody may have meant.
fn nearest_subjects(asked: &str) -> Vec<&'static str> {
    let foods = catalogue().iter().map(|item| item.key);
    let groups = Group::ALL.iter().map(|group| group.code());
    nearest_of(asked, 3, foods.chain(groups))
}

/// Why a list was not taken. Entries count from 0.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SiteFoodError {
    /// Neither a food nor a group.
    #[error("entry {line}: no food or group is called {subject:?}")]
    Unknown {
        /// The entry.
        line: usize,
        /// The name as it was given, cut to 60 characters.
        subject: String,
        /// Names that may have been meant, the nearest first.
        nearest: Vec<&'static str>,
    },
    /// The catalogue is stricter, and a site can't loosen it.
    #[error("entry {line}: {subject} is at least {class} everywhere", class = at_least.code())]
    Loosens {
        /// The entry.
        line: usize,
        /// The food or group.
        subject: &'static str,
        /// The mildest class that the entry may have.
        at_least: Class,
    },
    /// The same food or group again.
    #[error("entry {line}: {subject} has an entry already")]
    Twice {
        /// The entry.
        line: usize,
        /// The food or group.
        subject: &'static str,
    },
}

impl SiteFoodError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Unknown { .. } => "site_food_unknown",
            Self::Loosens { .. } => "site_food_loosened",
            Self::Twice { .. } => "site_food_twice",
        }
    }

    /// The entry it speaks of.
    #[must_use]
    pub const fn line(&self) -> usize {
        match self {
            Self::Unknown { line, .. } | Self::Loosens { line, .. } | Self::Twice { line, .. } => {
                *line
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn entries(list: &[(&str, Class)]) -> Vec<SiteFoodEntry> {
        list.iter()
            .map(|(subject, class)| SiteFoodEntry {
                subject: (*subject).to_owned(),
                class: *class,
            })
            .collect()
    }

    fn parse(list: &[(&str, Class)]) -> Result<SiteFoodList, SiteFoodError> {
        SiteFoodList::parse(&entries(list))
    }

    #[test]
    fn no_food_has_a_groups_name() {
        for item in catalogue() {
            assert_eq!(Group::from_code(item.key), None, "{}", item.key);
        }
    }

    #[test]
    fn an_empty_list_is_the_catalogue() {
        for item in catalogue() {
            let standing = SiteFoodList::default().class_of(item);
            assert_eq!((standing.class, standing.why), (item.class, item.why));
            assert!(!standing.tightened);
        }
    }

    #[test]
    fn a_site_tightens_a_food_and_a_group() {
        let list = parse(&[
            ("potato-peel", Class::Sparing),
            ("onion_family", Class::Never),
        ])
        .unwrap();
        let of = |key| list.class_of(find(key).unwrap());
        assert_eq!(
            of("potato-peel"),
            Standing {
                class: Class::Sparing,
                why: None,
                tightened: true
            }
        );
        assert_eq!(
            of("garlic"),
            Standing {
                class: Class::Never,
                why: Some(Why::Smell),
                tightened: true
            }
        );
        assert!(!of("carrot").tightened);
    }

    #[test]
    fn the_stricter_of_food_and_group_holds() {
        let list = parse(&[("fruit", Class::Never), ("apple", Class::Sparing)]).unwrap();
        assert_eq!(list.class_of(find("apple").unwrap()).class, Class::Never);
    }

    #[test]
    fn a_group_leaves_its_stricter_foods_alone() {
        let list = parse(&[("kitchen_paper", Class::Sparing)]).unwrap();
        let glossy = list.class_of(find("glossy-paper").unwrap());
        assert_eq!((glossy.class, glossy.tightened), (Class::Never, false));
    }

    #[test]
    fn loosening_is_refused_and_named() {
        for (subject, class, at_least) in [
            ("meat", Class::Sparing, Class::Never),
            ("cheese", Class::Welcome, Class::Never),
            ("lemon", Class::Welcome, Class::Sparing),
            ("citrus", Class::Welcome, Class::Sparing),
            ("milk_product", Class::Sparing, Class::Never),
            ("vegetable", Class::Welcome, Class::Sparing),
        ] {
            let error = parse(&[("carrot", Class::Sparing), (subject, class)]).unwrap_err();
            assert_eq!(
                error,
                SiteFoodError::Loosens {
                    line: 1,
                    subject,
                    at_least
                }
            );
        }
    }

    #[test]
    fn an_unknown_name_is_refused_with_what_was_perhaps_meant() {
        let error = parse(&[("citrous", Class::Never)]).unwrap_err();
        let SiteFoodError::Unknown { line, nearest, .. } = &error else {
            panic!("{error}");
        };
        assert_eq!((*line, nearest.first()), (0, Some(&"citrus")));
        assert_eq!(error.code(), "site_food_unknown");
    }

    #[test]
    fn a_name_given_twice_is_refused() {
        let twice = [("carrot", Class::Sparing), ("carrot", Class::Never)];
        assert_eq!(
            parse(&twice),
            Err(SiteFoodError::Twice {
                line: 1,
                subject: "carrot"
            })
        );
    }

    #[test]
    fn a_school_has_no_citrus_no_bread_and_nothing_cooked() {
        let school = SiteFoodList::school();
        for key in ["orange-peel", "lemon", "bread", "plain-pasta", "soup"] {
            assert_eq!(
                school.class_of(find(key).unwrap()).class,
                Class::Never,
                "{key}"
            );
        }
        assert_eq!(
            school.class_of(find("carrot").unwrap()).class,
            Class::Welcome
        );
        assert_eq!(SiteFoodList::parse(&school.to_entries()), Ok(school));
    }

    #[test]
    fn a_list_is_stored_as_its_entries_and_checked_when_read() {
        let school = SiteFoodList::school();
        let text = serde_json::to_string(&school).unwrap();
        assert_eq!(
            text,
            r#"[{"subject":"bread_and_grain","class":"never"},{"subject":"citrus","class":"never"},{"subject":"cooked_food","class":"never"}]"#
        );
        assert_eq!(serde_json::from_str::<SiteFoodList>(&text).unwrap(), school);
        let mild = text.replacen("never", "welcome", 1);
        assert!(serde_json::from_str::<SiteFoodList>(&mild).is_err());
    }

    proptest! {
        #[test]
        fn no_list_ever_loosens(
            picks in prop::collection::vec(
                (0..catalogue().len() + Group::ALL.len(), 0..Class::ALL.len()), 0..12),
        ) {
            let list: Vec<_> = picks
                .iter()
                .map(|(subject, class)| SiteFoodEntry {
                    subject: catalogue()
                        .get(*subject)
                        .map_or_else(|| Group::ALL[*subject - catalogue().len()].code(), |i| i.key)
                        .to_owned(),
                    class: Class::ALL[*class],
                })
                .collect();
            if let Ok(list) = SiteFoodList::parse(&list) {
                for item in catalogue() {
                    prop_assert!(list.class_of(item).class >= item.class);
                }
            }
        }
    }
}
