//! What the letter about a coming turn says.

use super::content::{Answer, Appointment, Content, Part};
use super::plan_words::to_do;
use super::receiver::greeting;
use super::turn_words::{Help, TurnTold};
use chrono::NaiveDate;
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::living_bin::outlook::WORTH_BRINGING;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// What a holder is told.
pub(super) struct Told {
    pub name: Option<String>,
    pub turn_id: TurnId,
    pub member: MemberId,
    pub turn: TurnTold,
    /// How many come of whom the reader may not know who they are.
    pub unnamed: usize,
    pub when: When,
    /// What the site is called.
    pub site: String,
    /// Whether it is shut that day.
    pub is_visit: bool,
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
    /// What the bin will be able to take besides what others booked; none while no worms live in
    /// it.
    pub room: Option<Grams>,
    /// Between whom it is shared, where the reader booked nothing and others come too.
    pub shared: Option<Shared>,
    /// What the reader booked, as far as it will still go in.
    pub booked: Option<Grams>,
    /// Dry bedding for that much.
    pub bedding: Option<Grams>,
    /// What the plan says of a visit on a closed day.
    pub visit: Option<Serving>,
    /// What the site keeps out besides what every bin does.
    pub never: Vec<String>,
}

/// Room for several who come to one turn.
pub(super) struct Shared {
    /// What they can bring in all, with what some of them booked.
    pub in_all: Grams,
    /// How many come.
    pub people: usize,
    /// How many of them booked nothing, the reader among them.
    pub unbooked: usize,
}

impl Shared {
    /// How much of it is the reader's.
    fn part(&self, part: Grams) -> Phrase {
        let booked = u64::try_from(self.people - self.unbooked).unwrap_or(u64::MAX);
        Phrase::of("letter-coming-part")
            .with("booked", Value::Count(booked))
            .with("part", Value::Scraps(part))
    }
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
        if self.is_visit {
            said.extend(visit_shut(&self.site, &self.help));
        }
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
            ..(self.turn).appointment(self.turn_id, self.member, &self.site)
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
    /// The reader's even part of a room.
    pub(super) fn part(&self, room: Grams) -> Grams {
        let unbooked = self.shared.as_ref().map_or(1, |shared| shared.unbooked);
        let unbooked = i64::try_from(unbooked.max(1)).unwrap_or(i64::MAX);
        Grams(room.0 / unbooked)
    }

    /// Whether there is room for more than nothing.
    fn can_go_in(&self) -> bool {
        self.room.is_some_and(|room| room >= WORTH_BRINGING)
    }

    fn said(&self, when: When, is_brief: bool) -> Vec<Phrase> {
        let Some(room) = self.room else {
            return vec![Phrase::of("letter-coming-no-worms")];
        };
        if let Some(serving) = &self.visit {
            let mut said = vec![visit_to_do(serving)];
            if serving.meal >= WORTH_BRINGING && !is_brief {
                said.extend(self.left_out());
            }
            return said;
        }
        let with_day = |code| Phrase::of(code).with("when", Value::Code(when.code()));
        if !self.can_go_in() {
            let taken = self.shared.as_ref().map(|shared| shared.in_all);
            return vec![match taken.filter(|in_all| *in_all >= WORTH_BRINGING) {
                Some(_) => with_day("letter-coming-room-booked"),
                None => with_day("letter-coming-no-room"),
            }];
        }
        let part = self.part(room);
        let mut said = vec![match (self.booked, &self.shared) {
            (Some(booked), _) if booked >= WORTH_BRINGING => {
                Phrase::of("letter-coming-booked").with("booked", Value::Scraps(booked))
            }
            (_, Some(shared)) if part >= WORTH_BRINGING => {
                let people = Phrase::of("letter-coming-people");
                let count = u64::try_from(shared.people).unwrap_or(u64::MAX);
                let people = people.with("count", Value::Count(count));
                with_day("letter-coming-room-shared")
                    .with("people", Value::Phrase(Box::new(people)))
                    .with("room", Value::AtMost(shared.in_all))
                    .with("yours", Value::Phrase(Box::new(shared.part(part))))
            }
            _ => with_day("letter-coming-room").with("room", Value::Scraps(room)),
        }];
        let bedding = self.bedding.filter(|dry| *dry > Grams::ZERO);
        said.extend(
            bedding.map(|dry| {
                Phrase::of("letter-coming-bedding").with("bedding", Value::Bedding(dry))
            }),
        );
        if !is_brief {
            said.extend(self.left_out());
        }
        said
    }

    /// What never goes in.
    fn left_out(&self) -> Vec<Phrase> {
        let mut said = vec![Phrase::of("letter-coming-never")];
        if !self.never.is_empty() {
            let foods = Value::Foods(self.never.clone());
            said.push(Phrase::of("letter-coming-never-here").with("foods", foods));
        }
        said
    }
}

/// That a visit takes place although the site is shut.
pub(super) fn visit_shut(site: &str, help: &Help) -> [Phrase; 2] {
    [
        Phrase::of("letter-coming-shut").with_text("site", site),
        help.asking("letter-coming-way-in"),
    ]
}

/// What is to be done at a visit by the plan for the closed days.
pub(super) fn visit_to_do(serving: &Serving) -> Phrase {
    let what = Value::Phrase(Box::new(to_do(serving)));
    Phrase::of("letter-coming-by-plan").with("what", what)
}

/// The letter.
pub(super) fn content(told: &Told) -> Content {
    let mut parts = vec![
        greeting(told.name.as_deref()),
        told.what(),
        told.how(),
        told.otherwise(),
        // Also when it is too late to give the place back: it can be said until the turn.
        Part::Answers(vec![Answer {
            label: Phrase::of("page-cannot-come-button"),
            deed: LetterDeed::CannotCome,
            token: told.cannot_come.clone(),
        }]),
    ];
    if !told.is_brief {
        parts.push(Part::Aside(vec![Phrase::of("letter-coming-rules")]));
    }
    Content {
        calendar: (told.is_first.then(|| told.appointment()).into_iter()).collect(),
        ..Content::of(told.about("letter-coming-subject"), parts).about(told.turn_id.0)
    }
}
