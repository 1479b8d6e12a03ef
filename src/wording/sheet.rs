//! The sheet for whoever stands in for a teacher for one day.

use super::voice::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::food::{Class, Group, SiteFoodList, catalogue};

/// Lines to write on, on a printed sheet.
const LINES: usize = 8;

/// What a sheet speaks of.
#[derive(Debug, Clone, Copy)]
pub struct SheetOf<'a> {
    /// What the site is called.
    pub site: &'a str,
    /// What the class is called.
    pub class: &'a str,
    /// The day, at its first moment.
    pub on: DateTime<Utc>,
    /// When the sheet is made.
    pub now: DateTime<Utc>,
    /// The labels of the pupils.
    pub pupils: &'a [String],
    /// The labels of those who are away on that day.
    pub away: &'a [String],
    /// What the teachers of the class are called.
    pub teachers: &'a [String],
    /// A sentence for each turn of the class on that day.
    pub duty: &'a [String],
    /// A sentence for each bin.
    pub bins: &'a [String],
    /// What the site keeps out.
    pub foods: &'a SiteFoodList,
}

/// A sheet in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetWords {
    /// What to do, a sentence each.
    pub to_do: Vec<String>,
    /// What not to do.
    pub not_to_do: Vec<String>,
    /// What to be careful of, and whom to ask.
    pub cautions: Vec<String>,
    /// What to write down of each thing that went in.
    pub columns: Vec<String>,
    /// The whole sheet, ready to be printed.
    pub text: String,
}

impl Voice {
    /// The sheet of a day.
    #[must_use]
    pub fn sheet(&self, of: &SheetOf<'_>) -> SheetWords {
        let to_do = [
            "sheet-do-amount",
            "sheet-do-small",
            "sheet-do-bury",
            "sheet-do-write",
            "sheet-do-honest",
        ];
        let to_do = to_do.map(|id| self.sentence(&self.say(id, [])));
        let never = self.steps(&self.never_groups(of.foods));
        let not_to_do = [
            self.say("sheet-not-foods", [("foods", never.into())]),
            self.say("sheet-not-dig", []),
            self.say("sheet-not-baits", []),
        ];
        let ask = if of.teachers.is_empty() {
            self.say("sheet-care-ask-keeper", [])
        } else {
            let names = self.one_of(of.teachers);
            self.say("sheet-care-ask", [("names", names.into())])
        };
        let cautions = [
            self.say("sheet-care-hands", []),
            self.say("sheet-care-gloves", []),
            self.say("sheet-care-hot", []),
            ask,
        ];
        let columns = [
            "sheet-column-time",
            "sheet-column-bin",
            "sheet-column-what",
            "sheet-column-amount",
        ];
        let mut words = SheetWords {
            to_do: to_do.into(),
            not_to_do: not_to_do.map(|part| self.sentence(&part)).into(),
            cautions: cautions.map(|part| self.sentence(&part)).into(),
            columns: columns.map(|id| self.say(id, [])).into(),
            text: String::new(),
        };
        words.text = self.printed(of, &words);
        words
    }

    /// What a bin without worms can take.
    #[must_use]
    pub fn sheet_bin_empty(&self, bin: &str) -> String {
        let bin = self.say("quoted", [("name", bin.into())]);
        self.sentence(&self.say("sheet-bin-empty", [("bin", bin.into())]))
    }

    /// What a bin can take on a later day.
    #[must_use]
    pub fn sheet_bin_later(&self, bin: &str) -> String {
        let bin = self.say("quoted", [("name", bin.into())]);
        self.sentence(&self.say("sheet-bin-later", [("bin", bin.into())]))
    }

    /// Who is on a turn of the class, and between which hours of the site's clock.
    #[must_use]
    pub fn sheet_duty(&self, bin: &str, hours: Option<(&str, &str)>, pupils: &[String]) -> String {
        let bin = self.say("quoted", [("name", bin.into())]);
        let what = match hours {
            None => bin,
            Some((opens, closes)) => self.say(
                "sheet-duty-hours",
                [
                    ("bin", bin.into()),
                    ("opens", opens.into()),
                    ("closes", closes.into()),
                ],
            ),
        };
        let names = self.list(pupils);
        let args = [
            ("bin", what.into()),
            ("count", pupils.len().into()),
            ("pupils", names.into()),
        ];
        self.sentence(&self.say("sheet-duty", args))
    }

    /// The groups of foods of which a site takes none.
    fn never_groups(&self, foods: &SiteFoodList) -> Vec<String> {
        let never = |group: &Group| {
            let mut items = catalogue()
                .iter()
                .filter(|item| item.group == *group)
                .peekable();
            items.peek().is_some() && items.all(|item| foods.class_of(item).class == Class::Never)
        };
        Group::ALL
            .iter()
            .filter(|group| never(group))
            .map(|group| self.group(*group))
            .collect()
    }

    fn printed(&self, of: &SheetOf<'_>, words: &SheetWords) -> String {
        let date = self.date(of.on, of.now);
        let title = self.say(
            "sheet-title",
            [("class", of.class.into()), ("date", date.into())],
        );
        let pupils = of.pupils.join(", ");
        let people = self.say(
            "sheet-pupils",
            [("count", of.pupils.len().into()), ("pupils", pupils.into())],
        );
        let listed = |id: &str, lines: &[String]| {
            let lines: Vec<String> = lines.iter().map(|line| format!("- {line}")).collect();
            format!("{}\n{}", self.say(id, []), lines.join("\n"))
        };
        let line = words
            .columns
            .iter()
            .map(|name| "_".repeat(name.chars().count().max(12)));
        let line = line.collect::<Vec<_>>().join("  ");
        let blank = vec![line; LINES].join("\n\n");
        let log = format!(
            "{}\n{}\n\n{blank}",
            self.say("sheet-head-log", []),
            words.columns.join(" | ")
        );
        let mut parts = vec![format!("{title}\n{}", of.site), people];
        if !of.away.is_empty() {
            let away = of.away.join(", ");
            parts.push(self.say("sheet-away", [("pupils", away.into())]));
        }
        if !of.duty.is_empty() {
            parts.push(listed("sheet-head-duty", of.duty));
        }
        parts.extend([
            listed("sheet-head-bins", of.bins),
            listed("sheet-head-do", &words.to_do),
            listed("sheet-head-not", &words.not_to_do),
            listed("sheet-head-care", &words.cautions),
            log,
        ]);
        parts.join("\n\n") + "\n"
    }
}
