//! What a letter about a bin's troubles says.

use super::content::{Content, Part};
use super::receiver::greeting;
use super::trouble_steps::steps;
use chrono::{DateTime, Utc};
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::check::{Check, Visitor};
use wormrota_domain::living_bin::gate::Sign;
use wormrota_domain::living_bin::warning::Warning;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

/// What is wrong, as far as it is known when the letter is sent.
pub(super) struct Case {
    pub trouble: Trouble,
    /// Since when, or from when on it is expected.
    pub since: DateTime<Utc>,
    /// Whether that is still to come.
    pub is_ahead: bool,
    /// How warm the bed is then, where that is the trouble.
    pub warning: Option<Warning>,
    /// Why the bin rests, if it does.
    pub sign: Option<Sign>,
    /// What somebody saw.
    pub seen: Option<Check>,
    /// What the bin can take now.
    pub room: Grams,
}

impl Case {
    /// A text that says what it is and from when on.
    fn about(&self, code: &'static str, bin: &str) -> Phrase {
        let when = if self.is_ahead { "soon" } else { "now" };
        Phrase::of(code)
            .with("trouble", Value::Code(self.trouble.code()))
            .with("when", Value::Code(when))
            .with("date", Value::Date(self.since))
            .with("on", Value::OnDay(self.since))
            .with_text("bin", bin)
    }

    fn what(&self, bin: &str) -> Vec<Phrase> {
        let mut what = vec![self.about("letter-trouble", bin)];
        what.extend(self.warning.map(|warning| {
            let code = if warning.assumed {
                "letter-trouble-assumed"
            } else {
                "letter-trouble-measured"
            };
            self.about(code, bin)
                .with("bed", Value::Degrees(warning.bed))
        }));
        if let (Trouble::Rests, Some(sign)) = (self.trouble, self.sign) {
            let sign = Box::new(Phrase::of(named_sign(sign)));
            what.push(Phrase::of("letter-trouble-sign").with("sign", Value::Phrase(sign)));
        }
        what
    }

    /// What was seen, point by point.
    fn seen(&self) -> Option<Part> {
        let visitors = self.seen.iter().flat_map(|check| &check.visitors);
        let seen: Vec<Phrase> = visitors
            .map(|one| Phrase::of(named_visitor(*one)))
            .collect();
        (!seen.is_empty()).then_some(Part::Points(seen))
    }
}

/// The troubles of one moment.
pub(super) struct Troubles<'a> {
    /// What the reader is called.
    pub name: Option<&'a str>,
    /// What the site is called.
    pub site: &'a str,
    /// What the bin is called.
    pub bin: &'a str,
    /// The troubles, the gravest first: one at least.
    pub cases: &'a [Case],
    /// Who can be asked to see to it.
    pub names: Vec<String>,
    /// Whether the reader is told since those who look after the bins left it.
    pub as_deputy: bool,
}

impl Troubles<'_> {
    pub(super) fn content(&self) -> Content {
        let here = |code| Phrase::of(code).with_text("site", self.site);
        let mut parts = vec![greeting(self.name)];
        if self.as_deputy {
            parts.push(Part::sentence(here("letter-as-deputy")));
        }
        let here = here("letter-trouble-site");
        let subject = if let [case] = self.cases {
            let mut what = case.what(self.bin);
            what.push(here);
            parts.push(Part::Paragraph(what));
            parts.extend(case.seen());
            parts.push(Part::Heading(Phrase::of("letter-what-to-do")));
            parts.push(Part::Steps(steps(case)));
            case.about("letter-trouble-subject", self.bin)
        } else {
            let several = Phrase::of("letter-troubles").with_text("bin", self.bin);
            parts.push(Part::Paragraph(vec![several, here]));
            parts.extend(self.one_by_one());
            Phrase::of("letter-troubles-subject").with_text("bin", self.bin)
        };
        parts.push(Part::Paragraph(self.then()));
        parts.push(Part::Paragraph(vec![
            Phrase::of("letter-care-gloves"),
            Phrase::of("care-hands"),
            Phrase::of("care-health"),
            Phrase::of("letter-care-rules"),
        ]));
        Content::of(subject, parts)
    }

    /// Each trouble under a heading of its own, with what to do; a step that was said is not
    /// said again.
    fn one_by_one(&self) -> Vec<Part> {
        let mut parts = Vec::new();
        let mut said: Vec<Phrase> = Vec::new();
        for case in self.cases {
            let heading = case.about("letter-trouble-heading", self.bin);
            parts.push(Part::Heading(heading));
            parts.push(Part::Paragraph(case.what(self.bin)));
            parts.extend(case.seen());
            let mut fresh = steps(case);
            fresh.retain(|step| !said.contains(step));
            if !fresh.is_empty() {
                said.extend(fresh.iter().cloned());
                parts.push(Part::Steps(fresh));
            }
        }
        parts
    }

    /// Whom to ask, and what to do afterwards.
    fn then(&self) -> Vec<Phrase> {
        let names = || Value::OneOf(self.names.clone());
        let ask = Phrase::of("letter-trouble-ask").with("names", names());
        let ask = (!self.names.is_empty()).then_some(ask);
        let count = u64::try_from(self.cases.len()).unwrap_or(u64::MAX);
        let tick = Phrase::of("letter-trouble-tick").with("count", Value::Count(count));
        ask.into_iter().chain([tick]).collect()
    }
}

const fn named_sign(sign: Sign) -> &'static str {
    match sign {
        Sign::SourSmell => "sign-sour_smell",
        Sign::AmmoniaSmell => "sign-ammonia_smell",
        Sign::OldFood => "sign-old_food",
    }
}

const fn named_visitor(visitor: Visitor) -> &'static str {
    match visitor {
        Visitor::FruitFlies => "letter-seen-flies",
        Visitor::Ants => "letter-seen-ants",
        Visitor::Mites => "letter-seen-mites",
        Visitor::WormsClimbing => "letter-seen-climbing",
        Visitor::Liquid => "letter-seen-liquid",
        Visitor::Rodents => "letter-seen-rodents",
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use wormrota_domain::living_bin::warning::WarningKind;
    use wormrota_domain::units::Celsius;
    let warning = |trouble| {
        let (kind, bed, assumed) = match trouble {
            Trouble::TooHot => (WarningKind::TooHot, 31.0, false),
            Trouble::TooCold => (WarningKind::TooCold, 2.0, true),
            _ => return None,
        };
        let (at, bed) = (now, Celsius(bed));
        Some(Warning {
            kind,
            at,
            bed,
            assumed,
        })
    };
    let visitors = vec![Visitor::Rodents, Visitor::Liquid, Visitor::WormsClimbing];
    let case = |trouble| {
        let warning = warning(trouble);
        let days = |days| chrono::TimeDelta::days(days);
        let since = match trouble {
            Trouble::TooHot => now,
            Trouble::TooCold => now + days(2),
            _ => now - days(9),
        };
        Case {
            trouble,
            since,
            is_ahead: since > now,
            warning,
            sign: Some(Sign::SourSmell),
            seen: (trouble == Trouble::TroubleSeen).then(|| Check {
                visitors: visitors.clone(),
                ..Check::default()
            }),
            room: Grams(if trouble == Trouble::Rests { 75 } else { 420 }),
        }
    };
    let told = |cases: &[Case], as_deputy| {
        Troubles {
            name: Some("Ana"),
            site: "Elm Court",
            bin: "Courtyard",
            cases,
            names: vec!["Cy".to_owned(), "Iris".to_owned()],
            as_deputy,
        }
        .content()
    };
    let mut all: Vec<Content> = (Trouble::ALL.iter())
        .map(|trouble| told(&[case(*trouble)], false))
        .collect();
    let resting_at_once = Case {
        since: now,
        room: Grams::ZERO,
        ..case(Trouble::Rests)
    };
    let (over, never) = (case(Trouble::OverLimit), case(Trouble::NeverFood));
    all.push(told(&[over, never], false));
    all.push(told(&[resting_at_once, case(Trouble::TroubleSeen)], true));
    all
}
