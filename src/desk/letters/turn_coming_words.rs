//! What the letter about a coming turn says.

use super::content::{Answer, Appointment, Content, Part};
use super::receiver::greeting;
use super::turn_words::{Help, TurnTold};
use chrono::NaiveDate;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// Less than this is nothing to people (our suggestion).
const WORTH_SAYING: Grams = Grams(10);

/// What a holder is told.
pub(super) struct Told {
    pub name: Option<String>,
    pub turn_id: TurnId,
    pub member: MemberId,
    pub turn: TurnTold,
    /// How many come of whom the reader may not know who they are.
    pub unnamed: usize,
    pub when: When,
    /// Whether only what is needed on the way there is said.
    pub is_brief: bool,
    /// About the food, where some goes in.
    pub feeding: Option<Feeding>,
    pub help: Help,
    /// The secret of the link that says that the reader cannot come.
    pub cannot_come: String,
    /// Whether it is the first letter about the turn, which brings it into the calendar.
    pub is_first: bool,
}

/// Which day it is, seen from the day of the letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum When {
    Today,
    Tomorrow,
    Later,
}

/// About the food.
pub(super) struct Feeding {
    /// What the bin will be able to take; none while no worms live in it.
    pub room: Option<Grams>,
    /// What the reader booked, as far as it will still go in.
    pub booked: Option<Grams>,
    /// Dry bedding for that much.
    pub bedding: Option<Grams>,
    /// What the site keeps out besides what every bin does.
    pub never: Vec<String>,
}

impl When {
    pub(super) fn of(day: NaiveDate, today: NaiveDate) -> Self {
        match (day - today).num_days() {
            0 => Self::Today,
            1 => Self::Tomorrow,
            _ => Self::Later,
        }
    }

    const fn code(self) -> &'static str {
        match self {
            Self::Today => "today",
            Self::Tomorrow => "tomorrow",
            Self::Later => "later",
        }
    }
}

impl Told {
    /// A text that says which turn.
    fn about(&self, code: &'static str) -> Phrase {
        (self.turn.task(code))
            .with("when", Value::Code(self.when.code()))
            .with("date", Value::LocalDate(self.turn.on_date))
    }

    fn of_duty(&self, code: &'static str) -> Phrase {
        Phrase::of(code).with("duty", Value::Code(self.turn.duty.code()))
    }

    fn what(&self) -> Part {
        let what = Value::Phrase(Box::new(self.about("letter-coming-duty")));
        let mut said = vec![self.about("letter-coming").with("what", what)];
        said.push(match self.turn.hours {
            Some((opens, closes)) => Phrase::of("letter-coming-hours")
                .with("opens", Value::Time(opens))
                .with("closes", Value::Time(closes)),
            None => Phrase::of("letter-coming-any-hour"),
        });
        said.extend(self.company());
        Part::Paragraph(said)
    }

    fn how(&self) -> Part {
        let mut points = Vec::new();
        let mut is_work = true;
        if let Some(feeding) = &self.feeding {
            points = feeding.said(self.when, self.is_brief);
            is_work = feeding.can_go_in();
        }
        if is_work {
            points.push(self.of_duty("letter-coming-how"));
        }
        points.push(self.of_duty("letter-coming-hands"));
        if !self.is_brief && self.turn.duty != Duty::Tidying {
            points.push(Phrase::of("letter-coming-hot"));
            points.push(Phrase::of("care-health"));
        }
        Part::Points(points)
    }

    /// What to do if something comes up, and whom to ask.
    fn otherwise(&self) -> Part {
        let Some(day) = self.help.last_day(self.turn.on_date) else {
            return Part::sentence(self.help.asking("letter-coming-too-late"));
        };
        let mut said =
            vec![Phrase::of("letter-coming-give-back").with("date", Value::LocalDate(day))];
        if !self.help.ask.is_empty() {
            said.push(self.help.asking("letter-coming-ask"));
        }
        Part::Paragraph(said)
    }

    fn appointment(&self) -> Appointment {
        Appointment {
            description: vec![
                self.of_duty("letter-coming-how"),
                self.of_duty("letter-coming-hands"),
            ],
            ..self.turn.appointment(self.turn_id, self.member)
        }
    }

    /// Who comes too.
    fn company(&self) -> Option<Phrase> {
        let names = || Value::List(self.turn.with.clone());
        let with_count = |code, count: usize| {
            let count = u64::try_from(count).unwrap_or(u64::MAX);
            Phrase::of(code).with("count", Value::Count(count))
        };
        match (self.turn.with.len(), self.unnamed) {
            (0, 0) => None,
            (0, unnamed) => Some(with_count("letter-coming-with-others", unnamed)),
            (count, 0) => Some(with_count("letter-coming-with", count).with("names", names())),
            (_, more) => Some(with_count("letter-coming-with-more", more).with("names", names())),
        }
    }
}

impl Feeding {
    /// Whether there is room for more than nothing.
    fn can_go_in(&self) -> bool {
        self.room.is_some_and(|room| room >= WORTH_SAYING)
    }

    fn said(&self, when: When, is_brief: bool) -> Vec<Phrase> {
        let Some(room) = self.room else {
            return vec![Phrase::of("letter-coming-no-worms")];
        };
        let with_day = |code| Phrase::of(code).with("when", Value::Code(when.code()));
        if !self.can_go_in() {
            return vec![with_day("letter-coming-no-room")];
        }
        let mut said = match self.booked {
            Some(booked) if booked >= WORTH_SAYING => {
                vec![Phrase::of("letter-coming-booked").with("booked", Value::Scraps(booked))]
            }
            _ => vec![with_day("letter-coming-room").with("room", Value::Scraps(room))],
        };
        let bedding = self.bedding.filter(|dry| *dry > Grams::ZERO);
        said.extend(
            bedding.map(|dry| {
                Phrase::of("letter-coming-bedding").with("bedding", Value::Bedding(dry))
            }),
        );
        if !is_brief {
            said.push(Phrase::of("letter-coming-never"));
            if !self.never.is_empty() {
                let foods = Value::Foods(self.never.clone());
                said.push(Phrase::of("letter-coming-never-here").with("foods", foods));
            }
        }
        said
    }
}

/// The letter.
pub(super) fn content(told: &Told) -> Content {
    let mut parts = vec![
        greeting(told.name.as_deref()),
        told.what(),
        told.how(),
        told.otherwise(),
    ];
    if told.help.last_day(told.turn.on_date).is_some() {
        parts.push(Part::Answers(vec![Answer {
            label: Phrase::of("page-cannot-come-button"),
            deed: LetterDeed::CannotCome,
            token: told.cannot_come.clone(),
        }]));
    }
    if !told.is_brief {
        parts.push(Part::Aside(vec![Phrase::of("letter-coming-rules")]));
    }
    Content {
        calendar: told.is_first.then(|| told.appointment()),
        ..Content::of(told.about("letter-coming-subject"), parts).about(told.turn_id.0)
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: chrono::DateTime<chrono::Utc>) -> Vec<Content> {
    use chrono::TimeDelta;

    let told = |days: i64, duty, feeding| {
        let on_date = now.date_naive() + TimeDelta::days(days);
        let opens = now + TimeDelta::days(days) - TimeDelta::hours(5);
        Told {
            name: Some("Ana".to_owned()),
            turn_id: TurnId(uuid::Uuid::nil()),
            member: MemberId(uuid::Uuid::nil()),
            turn: TurnTold {
                bin: "Courtyard".to_owned(),
                on_date,
                duty,
                hours: Some((opens, opens + TimeDelta::hours(10))),
                with: vec!["Bo".to_owned()],
            },
            unnamed: 0,
            when: When::of(on_date, now.date_naive()),
            is_brief: days < 2,
            feeding,
            help: Help::sample(now, &["Cy", "Di"], if days < 2 { 2 } else { 1 }),
            cannot_come: "TOKEN".to_owned(),
            is_first: days >= 2,
        }
    };
    let food = |room, booked| Feeding {
        room: Some(Grams(room)),
        booked,
        bedding: Some(Grams(90)),
        never: vec!["citrus".to_owned(), "bread_and_grain".to_owned()],
    };
    let alone = |told: Told, unnamed| Told {
        turn: TurnTold {
            hours: None,
            with: Vec::new(),
            ..told.turn
        },
        unnamed,
        ..told
    };
    let unstocked = Feeding {
        room: None,
        booked: None,
        bedding: None,
        never: Vec::new(),
    };
    let all = [
        told(2, Duty::Feeding, Some(food(700, None))),
        told(0, Duty::Feeding, Some(food(900, Some(Grams(500))))),
        Told {
            help: Help::sample(now, &[], 2),
            ..alone(told(1, Duty::Feeding, Some(food(0, None))), 2)
        },
        alone(told(0, Duty::Feeding, Some(unstocked)), 0),
        told(3, Duty::Watering, None),
        told(2, Duty::Looking, None),
        told(2, Duty::Harvest, None),
        told(0, Duty::Tidying, None),
    ];
    all.iter().map(content).collect()
}
