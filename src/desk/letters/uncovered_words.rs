//! What is said about turns of a bin that nobody comes to.

use super::content::{Content, Part};
use super::cover_ground::TurnSaid;
use super::receiver::greeting;
use crate::desk::cover::alone_said;
use chrono::{DateTime, TimeDelta, Utc};
use wormrota_domain::cover::need::Reason;
use wormrota_domain::cover::recheck::Alone;
use wormrota_domain::phrase::{Phrase, Value};

/// A turn that nobody comes to.
pub(super) struct Day {
    /// The turn.
    pub turn: TurnSaid,
    /// Whether the site is shut then: it is a visit during a closure.
    pub is_shut: bool,
}

/// What came of asking.
#[derive(Clone, Copy)]
pub(super) struct Asked {
    /// Somebody said yes, and gave the place back.
    pub gave_back: bool,
    /// Anybody was asked.
    pub anybody: bool,
}

/// What becomes of the bin if nobody comes.
#[derive(Default)]
pub(super) struct Fate {
    /// Why somebody must come, where somebody must, and until when.
    pub must: Option<(Reason, DateTime<Utc>)>,
    /// Why somebody would be welcome all the same, or why nobody is, where nobody must come.
    pub welcome: Option<Reason>,
    /// Whether the bed is dry already.
    pub is_dry: bool,
    /// Of several days the one on which one person would do for all, where that is so.
    pub enough: Option<usize>,
    /// How the bin fares.
    pub alone: Vec<Alone>,
    /// When somebody is sure to come the next time, if somebody is.
    pub next: Option<DateTime<Utc>>,
}

/// What is told to one reader about one bin.
pub(super) struct Told<'a> {
    pub name: Option<&'a str>,
    pub site: &'a str,
    pub bin: &'a str,
    /// In order of time: one at least.
    pub days: Vec<Day>,
    pub asked: Asked,
    pub fate: Fate,
}

impl Told<'_> {
    pub(super) fn content(&self) -> Content {
        let mut parts = vec![greeting(self.name)];
        let subject = if let [day] = self.days.as_slice() {
            let shut = Phrase::of("letter-uncovered-shut").with_text("site", self.site);
            let shut = day.is_shut.then_some(shut);
            let so_far = day.turn.say(self.so_far());
            parts.push(Part::Paragraph([so_far].into_iter().chain(shut).collect()));
            day.turn.say(if self.others_come() {
                "letter-uncovered-welcome-subject"
            } else {
                "letter-uncovered-subject"
            })
        } else {
            parts.push(Part::sentence(self.about(self.so_far())));
            parts.push(Part::Points(self.days.iter().map(Day::point).collect()));
            self.about("letter-uncovered-days-subject")
        };
        parts.push(Part::Paragraph(self.must()));
        let fate = &self.fate;
        if !fate.alone.is_empty() {
            parts.push(Part::Heading(match fate.next {
                // A turn of a whole day is over at the midnight after it.
                Some(next) => Phrase::of("letter-uncovered-until")
                    .with("date", Value::Date(next - TimeDelta::microseconds(1))),
                None => Phrase::of("letter-uncovered-alone"),
            }));
            parts.push(Part::Points(fate.alone.iter().map(alone_said).collect()));
        }
        let still = Phrase::of("letter-uncovered-still");
        let still = self.asked.anybody.then_some(still);
        let next = [self.about("letter-uncovered-next")]
            .into_iter()
            .chain(still);
        parts.push(Part::Paragraph(next.collect()));
        Content::of(subject, parts)
    }

    /// A sentence about all the days together.
    fn about(&self, code: &'static str) -> Phrase {
        let count = u64::try_from(self.days.len()).unwrap_or(u64::MAX);
        Phrase::of(code)
            .with_text("bin", self.bin)
            .with("count", Value::Count(count))
    }

    /// Whether somebody comes to the turn all the same.
    fn others_come(&self) -> bool {
        self.fate.welcome == Some(Reason::OthersCome)
    }

    fn so_far(&self) -> &'static str {
        match (self.days.len(), self.asked) {
            (1, _) if self.others_come() => "letter-uncovered-welcome",
            (1, Asked { gave_back, .. }) if gave_back => "letter-uncovered-back",
            (1, Asked { anybody: true, .. }) => "letter-uncovered",
            (1, _) => "letter-uncovered-unasked",
            (_, Asked { anybody: true, .. }) => "letter-uncovered-days",
            _ => "letter-uncovered-days-unasked",
        }
    }

    fn must(&self) -> Vec<Phrase> {
        let fate = &self.fate;
        let must = match fate.must {
            Some(_) if fate.is_dry => Phrase::of("letter-uncovered-dry"),
            Some((reason, at)) => Phrase::of("letter-uncovered-must")
                .with("reason", Value::Code(reason.code()))
                .with("until", Value::Until(at)),
            None => Phrase::of("letter-uncovered-can-wait").with(
                "reason",
                Value::Code(fate.welcome.map_or("unknown", Reason::code)),
            ),
        };
        let enough = fate.enough.and_then(|at| self.days.get(at));
        let enough = enough.map(|day| day.turn.say("letter-uncovered-enough"));
        [must].into_iter().chain(enough).collect()
    }
}

impl Day {
    fn point(&self) -> Phrase {
        self.turn.say(if self.is_shut {
            "letter-uncovered-day-shut"
        } else {
            "letter-uncovered-day"
        })
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use super::cover_ground;
    use wormrota_domain::units::Fraction;
    let on = |days| now + TimeDelta::days(days);
    let moment = |days, worms, hungry, drying| Alone {
        at: on(days),
        worms: Fraction(worms),
        hungry,
        drying,
    };
    let day = |later: i64, with_hours, is_shut| Day {
        turn: cover_ground::sample(on(later), with_hours),
        is_shut,
    };
    let told = |days, (gave_back, anybody): (bool, bool), fate| {
        Told {
            name: anybody.then_some("Cy"),
            site: "Elm Court",
            bin: "Courtyard",
            days,
            asked: Asked { gave_back, anybody },
            fate,
        }
        .content()
    };
    let must = || Fate {
        must: Some((Reason::Drying, on(4))),
        alone: vec![
            moment(3, 1.0, false, false),
            moment(10, 0.982, true, true),
            moment(17, 0.71, false, true),
            moment(31, 0.004, true, true),
        ],
        ..Fate::default()
    };
    let dry = Fate {
        is_dry: true,
        alone: vec![moment(3, 1.0, true, true), moment(5, 0.98, true, true)],
        next: Some(on(5)),
        ..must()
    };
    let one_does = Fate {
        enough: Some(1),
        ..must()
    };
    let welcome = Fate {
        welcome: Some(Reason::OthersCome),
        ..Fate::default()
    };
    let several = || {
        vec![
            day(0, true, false),
            day(2, false, true),
            day(7, false, false),
        ]
    };
    vec![
        told(vec![day(0, true, false)], (false, true), must()),
        told(vec![day(0, false, false)], (false, false), Fate::default()),
        told(vec![day(0, false, true)], (true, true), dry),
        told(vec![day(0, true, false)], (false, true), welcome),
        told(several(), (true, true), one_does),
        told(several(), (false, false), Fate::default()),
    ]
}
