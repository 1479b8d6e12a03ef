//! The answer to an offer, in one sentence and in the steps that follow from it.

use super::amounts::Rounding;
use super::measures::densest;
use super::voice::{Arg, Names, Voice};
use chrono::{DateTime, Utc};
use wormrota_domain::food::{Class, Density};
use wormrota_domain::living_bin::decision::{Condition, Decision, Outcome};

/// What is said to a reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spoken {
    /// One sentence: the answer with its main reason, its numbers, and what to do next.
    pub sentence: String,
    /// What to do, each a sentence of its own, in this order. May be empty.
    pub todo: Vec<String>,
}

impl Voice {
    /// The answer to an offer, as it reads at `now`. `names` are those of the site's bins.
    #[must_use]
    pub fn decision(&self, decision: &Decision, names: &Names, now: DateTime<Utc>) -> Spoken {
        if decision.outcome != Outcome::Refused {
            return self.yes(decision, now);
        }
        self.no(decision, names, now)
    }

    fn yes(&self, decision: &Decision, now: DateTime<Utc>) -> Spoken {
        let density = density_of(decision);
        let on = self.on_day(decision.at, now);
        let cover = self.say("do-cover", []);
        let conditions = decision.conditions.iter();

        let has_line = |c: &Condition| matches!(c, Condition::StopAt { .. });
        let (id, amount) = if decision.conditions.iter().any(has_line) {
            ("accepted-if-stop", self.portion(decision.allowed, density))
        } else {
            let amount = self.amount(decision.allowed, Rounding::Down);
            let all = decision.allowed == decision.offered;
            match (decision.conditions.is_empty(), all) {
                (true, _) => ("accepted", amount),
                (false, true) => ("accepted-if-all", amount),
                (false, false) => ("accepted-if-part", amount),
            }
        };
        let mut steps: Vec<String> = conditions.clone().filter_map(|c| self.step(c)).collect();
        steps.push(cover.clone());
        let answer = self.say(
            id,
            [
                ("on", on.into()),
                ("amount", amount.into()),
                ("steps", self.steps(&steps).into()),
            ],
        );
        let mut todo: Vec<String> = conditions.map(|c| self.condition_of(c, density)).collect();
        todo.push(self.sentence(&cover));
        self.spoken(answer, todo, decision.temperature_assumed)
    }

    pub(super) fn todo<const N: usize>(&self, id: &str, args: [Arg<'_>; N]) -> String {
        self.sentence(&self.say(id, args))
    }

    pub(super) fn spoken(&self, answer: String, mut todo: Vec<String>, assumed: bool) -> Spoken {
        if assumed {
            todo.push(self.todo("do-measure", []));
        }
        Spoken {
            sentence: self.sentence(&self.with_assumed(answer, assumed)),
            todo,
        }
    }

    /// An answer that leans on a temperature which nobody measured says so.
    pub(super) fn with_assumed(&self, answer: String, assumed: bool) -> String {
        if assumed {
            self.say("assumed", [("sentence", answer.into())])
        } else {
            answer
        }
    }
}

/// The density of the foods of an offer that may go in.
pub(super) fn density_of(decision: &Decision) -> Density {
    let lines = decision.lines.iter();
    let may_go_in = lines.filter(|line| line.class != Class::Never);
    densest(may_go_in.map(|line| line.food.as_str()))
}
