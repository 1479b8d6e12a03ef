//! What happened and when: `demo-data/year.csv` and `demo-data/lately.csv`.

use super::DemoError;
use crate::desk::offers::{Amount, Item};
use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, TimeDelta, Timelike, Utc};
use sha2::{Digest, Sha256};
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::living_bin::check::{Check, Dampness, Left, Smell, Visitor};
use wormrota_domain::units::{Celsius, Grams};

const FILES: [(&str, &str); 2] = [
    ("year.csv", include_str!("../../demo-data/year.csv")),
    ("lately.csv", include_str!("../../demo-data/lately.csv")),
];
const COLUMNS: &str = "when,at,bin,member,deed,items,bedding_g,then";
/// The fewest days before the demo begins on which something may happen: then it lies in
/// the past in every time zone.
const YESTERDAY: u16 = 1;
/// The most: on the day before that the old bins were stocked.
const A_YEAR_AGO: u16 = 366;

/// One entry of a diary.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    pub when: When,
    pub at: NaiveTime,
    /// A key of the scenario.
    pub bin: String,
    /// A key of the scenario.
    pub member: String,
    pub deed: Deed,
    /// Where it stands, for messages: file and line.
    pub place: Place,
    /// SHA-256 of the line.
    pub fingerprint: [u8; 32],
}

/// A line of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub file: &'static str,
    /// From 1.
    pub line: usize,
}

impl Place {
    pub(super) fn wrong(self, what: impl Into<String>) -> DemoError {
        DemoError::Data {
            file: self.file,
            line: self.line,
            what: what.into(),
        }
    }
}

/// A day of the past year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum When {
    /// The last such day before the demo begins, so that seasons are right.
    Calendar { month: u32, day: u32 },
    /// So many days before the demo begins.
    DaysBefore(u16),
}

#[derive(Debug, Clone, PartialEq)]
pub(super) enum Deed {
    PutIn {
        items: Vec<Item>,
        /// When refused, put in as much as fits.
        or_part: bool,
    },
    Tell {
        items: Vec<Item>,
        bedding: Grams,
        /// Days until it was told.
        late: u16,
    },
    Book {
        amount: Grams,
        /// Days after the demo begins.
        day: u16,
    },
    Care(Care),
}

/// What is done for a bin besides feeding it.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Care {
    /// Dry bedding went in.
    Bedding(Grams),
    /// Somebody looked.
    Check(Check),
    /// A thermometer stood in the bed.
    BedTemperature(Celsius),
}

impl When {
    /// The day, seen from the day on which the demo begins.
    pub(super) fn before(self, start: NaiveDate) -> Option<NaiveDate> {
        match self {
            Self::DaysBefore(days) => start.checked_sub_days(Days::new(days.into())),
            Self::Calendar { month, day } => {
                let this_year = NaiveDate::from_ymd_opt(start.year(), month, day)?;
                if this_year < start {
                    Some(this_year)
                } else {
                    NaiveDate::from_ymd_opt(start.year() - 1, month, day)
                }
            }
        }
    }
}

/// A local time of day as an instant. On the two days a year on which clocks change it may
/// be an hour off, which a diary of feedings can bear.
pub(super) fn instant(zone: SiteZone, date: NaiveDate, at: NaiveTime) -> DateTime<Utc> {
    zone.start_of_day(date) + TimeDelta::seconds(at.num_seconds_from_midnight().into())
}

/// All entries, in the order of the files.
pub(super) fn read() -> Result<Vec<Entry>, DemoError> {
    let mut entries = Vec::new();
    for (file, text) in FILES {
        entries.extend(read_file(file, text)?);
    }
    Ok(entries)
}

fn read_file(file: &'static str, text: &str) -> Result<Vec<Entry>, DemoError> {
    let mut lines = (1..).zip(text.lines());
    if lines.next().map(|(_, line)| line) != Some(COLUMNS) {
        let place = Place { file, line: 1 };
        return Err(place.wrong(format!("expected the columns {COLUMNS}")));
    }
    lines
        .filter(|(_, line)| !line.starts_with('#'))
        .map(|(line, text)| {
            let place = Place { file, line };
            entry(text, place).map_err(|what| place.wrong(what))
        })
        .collect()
}

fn entry(line: &str, place: Place) -> Result<Entry, String> {
    let fields: Vec<&str> = line.split(',').collect();
    let &[when, at, bin, member, deed, items, bedding, then] = fields.as_slice() else {
        return Err(format!("expected 8 fields, found {}", fields.len()));
    };
    Ok(Entry {
        when: parse_when(when).ok_or_else(|| format!("no day of the past year: {when}"))?,
        at: NaiveTime::parse_from_str(at, "%H:%M").map_err(|_| format!("no time: {at}"))?,
        bin: bin.to_owned(),
        member: member.to_owned(),
        deed: parse_deed(deed, items, bedding, then)?,
        place,
        fingerprint: Sha256::digest(line).into(),
    })
}

fn parse_when(text: &str) -> Option<When> {
    if let Some(days) = text.strip_prefix('-') {
        let days = days.parse().ok()?;
        return (YESTERDAY..=A_YEAR_AGO)
            .contains(&days)
            .then_some(When::DaysBefore(days));
    }
    let (month, day) = text.split_once('-')?;
    let (month, day) = (month.parse().ok()?, day.parse().ok()?);
    // A year without a 29 February: such a day would be missing in most.
    NaiveDate::from_ymd_opt(2001, month, day)?;
    Some(When::Calendar { month, day })
}

fn parse_deed(deed: &str, items: &str, bedding: &str, then: &str) -> Result<Deed, String> {
    let unused = |name: &str, text: &str| {
        if text.is_empty() {
            Ok(())
        } else {
            Err(format!("{name} means nothing here: {text}"))
        }
    };
    let days = |word: &str| {
        then.strip_prefix(word)
            .and_then(|days| days.trim_start().parse::<u16>().ok())
            .ok_or_else(|| format!("expected `{word}` and a number of days, found `{then}`"))
    };
    match deed {
        "put_in" => {
            unused("bedding_g", bedding)?;
            let or_part = then == "part";
            if !or_part {
                unused("then", then)?;
            }
            Ok(Deed::PutIn {
                items: parse_items(items)?,
                or_part,
            })
        }
        "tell" => Ok(Deed::Tell {
            items: parse_items(items)?,
            bedding: if bedding.is_empty() {
                Grams::ZERO
            } else {
                Grams(number(bedding)?)
            },
            late: if then.is_empty() { 0 } else { days("late")? },
        }),
        "book" => {
            unused("bedding_g", bedding)?;
            match parse_items(items)?.as_slice() {
                [
                    Item {
                        food,
                        amount: Amount::Weighed(amount),
                    },
                ] if food == "usual-mix" => Ok(Deed::Book {
                    amount: *amount,
                    day: days("day")?,
                }),
                _ => Err(format!("a booking is of usual-mix in grams: {items}")),
            }
        }
        "add_bedding" => {
            unused("items", items)?;
            unused("then", then)?;
            Ok(Deed::Care(Care::Bedding(Grams(number(bedding)?))))
        }
        "check" | "measure" => {
            unused("bedding_g", bedding)?;
            unused("then", then)?;
            Ok(Deed::Care(if deed == "check" {
                Care::Check(parse_check(items)?)
            } else {
                let bed = items.strip_suffix(" C");
                let bed = bed.ok_or_else(|| format!("expected degrees, as 12.5 C: {items}"))?;
                Care::BedTemperature(Celsius(number(bed)?))
            }))
        }
        other => Err(format!("no deed: {other}")),
    }
}

fn parse_check(text: &str) -> Result<Check, String> {
    let mut check = Check::default();
    for word in text.split(" + ") {
        let known = match word.split_once(' ') {
            Some(("left", code)) => {
                check.left = Left::from_code(code);
                check.left.is_some()
            }
            Some(("smell", code)) => {
                check.smell = Smell::from_code(code);
                check.smell.is_some()
            }
            Some(("bed", code)) => {
                check.dampness = Dampness::from_code(code);
                check.dampness.is_some()
            }
            Some(("saw", code)) => {
                let visitor = Visitor::from_code(code);
                check.visitors.extend(visitor);
                visitor.is_some()
            }
            _ => false,
        };
        if !known {
            return Err(format!("nothing that can be seen: {word}"));
        }
    }
    Ok(check)
}

fn parse_items(text: &str) -> Result<Vec<Item>, String> {
    text.split(" + ").map(parse_item).collect()
}

fn parse_item(text: &str) -> Result<Item, String> {
    let parts = text.split_once(' ').and_then(|(food, rest)| {
        let (amount, unit) = rest.split_once(' ')?;
        Some((food, amount, unit))
    });
    let Some((food, amount, unit)) = parts else {
        return Err(format!("expected a food and an amount: {text}"));
    };
    let amount = match (amount.strip_suffix("/4"), unit) {
        (Some(quarters), measure) => Amount::Filled {
            measure: measure.to_owned(),
            quarters: number(quarters)?,
        },
        (None, "g") => Amount::Weighed(Grams(number(amount)?)),
        (None, _) => return Err(format!("expected grams or quarters: {text}")),
    };
    Ok(Item {
        food: food.to_owned(),
        amount,
    })
}

fn number<T: std::str::FromStr>(text: &str) -> Result<T, String> {
    text.parse().map_err(|_| format!("no number: {text}"))
}

#[cfg(test)]
mod tests {
    use super::super::scenario::Scenario;
    use super::*;
    use wormrota_domain::food::find;

    fn date(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn parsed(line: &str) -> Result<Entry, String> {
        entry(
            line,
            Place {
                file: "year.csv",
                line: 7,
            },
        )
    }

    #[test]
    fn the_diaries_speak_of_bins_people_and_foods_that_exist() {
        let scenario = Scenario::read().unwrap();
        let entries = read().unwrap();
        assert!((400..=550).contains(&entries.len()), "{}", entries.len());
        for entry in entries {
            let (site, _) = scenario.bin(&entry.bin).unwrap();
            let here = site.people.iter().any(|who| who.key == entry.member);
            assert!(here, "{:?}: {}", entry.place, entry.member);
            let (Deed::PutIn { items, .. } | Deed::Tell { items, .. }) = entry.deed else {
                continue;
            };
            for item in items {
                assert!(
                    find(&item.food).is_some(),
                    "{:?}: {}",
                    entry.place,
                    item.food
                );
                if let Amount::Filled { measure, .. } = item.amount {
                    let here = site.containers.iter().any(|own| own.name == measure);
                    assert!(here, "{:?}: {measure}", entry.place);
                }
            }
        }
    }

    #[test]
    fn a_line_says_what_it_says() {
        let entry = parsed("08-14,18:30,shed,ilse,put_in,plum 240 g + tomato 3/4 Blue caddy,,part");
        let entry = entry.unwrap();
        assert_eq!(entry.when, When::Calendar { month: 8, day: 14 });
        let plum = Item {
            food: "plum".to_owned(),
            amount: Amount::Weighed(Grams(240)),
        };
        let tomato = Item {
            food: "tomato".to_owned(),
            amount: Amount::Filled {
                measure: "Blue caddy".to_owned(),
                quarters: 3,
            },
        };
        assert_eq!(
            entry.deed,
            Deed::PutIn {
                items: vec![plum, tomato],
                or_part: true
            }
        );
    }

    #[test]
    fn care_is_read_too() {
        let care = |line: &str| parsed(line).unwrap().deed;
        let check = Check {
            left: Some(Left::Most),
            smell: Some(Smell::Sour),
            dampness: Some(Dampness::Wet),
            visitors: vec![Visitor::FruitFlies],
            ..Check::default()
        };
        let seen = "left most + smell sour + bed wet + saw fruit_flies";
        assert_eq!(
            care(&format!("06-08,07:30,shed,joost,check,{seen},,")),
            Deed::Care(Care::Check(check))
        );
        assert_eq!(
            care("01-08,07:30,tub,joost,measure,4.5 C,,"),
            Deed::Care(Care::BedTemperature(Celsius(4.5)))
        );
        assert_eq!(
            care("01-08,07:30,tub,joost,add_bedding,,300,"),
            Deed::Care(Care::Bedding(Grams(300)))
        );
    }

    #[test]
    fn what_cannot_be_meant_is_said_with_its_line() {
        for (line, what) in [
            ("", "expected 8 fields"),
            ("02-29,18:30,shed,ilse,put_in,plum 240 g,,", "no day"),
            ("-0,18:30,shed,ilse,put_in,plum 240 g,,", "no day"),
            ("-400,18:30,shed,ilse,put_in,plum 240 g,,", "no day"),
            ("08-14,25:00,shed,ilse,put_in,plum 240 g,,", "no time"),
            ("08-14,18:30,shed,ilse,eat,plum 240 g,,", "no deed"),
            (
                "08-14,18:30,shed,ilse,put_in,plum,,",
                "a food and an amount",
            ),
            (
                "08-14,18:30,shed,ilse,put_in,plum 2 kg,,",
                "grams or quarters",
            ),
            (
                "08-14,18:30,shed,ilse,put_in,plum 240 g,50,",
                "means nothing",
            ),
            (
                "08-14,18:30,shed,ilse,put_in,plum 240 g,,late 2",
                "means nothing",
            ),
            (
                "08-14,18:30,shed,ilse,tell,plum 240 g,,day 2",
                "expected `late`",
            ),
            (
                "08-14,18:30,shed,ilse,check,left some,,",
                "nothing that can be seen",
            ),
            ("08-14,18:30,shed,ilse,measure,12 F,,", "expected degrees"),
            ("08-14,18:30,shed,ilse,add_bedding,,much,", "no number"),
            ("08-14,18:30,shed,ilse,book,plum 240 g,,day 2", "usual-mix"),
        ] {
            let told = parsed(line).unwrap_err();
            assert!(told.contains(what), "{line}: {told}");
        }
        let error = read_file("year.csv", "when,at\n").unwrap_err();
        assert!(
            error.to_string().starts_with("demo-data/year.csv, line 1:"),
            "{error}"
        );
        let text = format!("{COLUMNS}\n# a comment\nnonsense\n");
        let error = read_file("year.csv", &text).unwrap_err();
        assert!(
            error.to_string().starts_with("demo-data/year.csv, line 3:"),
            "{error}"
        );
    }

    #[test]
    fn a_calendar_day_is_the_last_one_before_the_start() {
        let august = When::Calendar { month: 8, day: 14 };
        for (start, day) in [
            ("2026-11-25", "2026-08-14"),
            ("2026-08-15", "2026-08-14"),
            ("2026-08-14", "2025-08-14"),
            ("2026-01-01", "2025-08-14"),
        ] {
            assert_eq!(august.before(date(start)), Some(date(day)));
        }
        // Over a 29 February the year is a day longer, and no entry is older than that.
        let first = When::Calendar { month: 3, day: 1 };
        let start = date("2028-03-01");
        let age = start - first.before(start).unwrap();
        assert_eq!(age.num_days(), i64::from(A_YEAR_AGO));
        assert_eq!(When::DaysBefore(1).before(start), Some(date("2028-02-29")));
    }
}
