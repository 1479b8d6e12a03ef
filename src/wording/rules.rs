//! Why not: a broken rule with its numbers.

use super::amounts::Rounding;
use super::measures::densest;
use super::voice::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::living_bin::decision::{Reason, Rule};
use wormrota_domain::living_bin::gate::Sign;
use wormrota_domain::living_bin::limit::Limit;
use wormrota_domain::units::Grams;

impl Voice {
    /// A broken rule with its numbers, as a sentence of its own.
    #[must_use]
    pub fn reason(&self, reason: &Reason, now: DateTime<Utc>) -> String {
        let clause = self.reason_clause(reason, now);
        let said = match reason.rule {
            Rule::Eating { .. }
            | Rule::Ramp { .. }
            | Rule::Area { .. }
            | Rule::Depth { .. }
            | Rule::Resuming { .. }
            | Rule::Handful { .. }
            | Rule::Fill { .. } => self.with_what_is_left(clause, reason.leaves),
            Rule::NeverFood { .. }
            | Rule::TooHot { .. }
            | Rule::TooCold { .. }
            | Rule::Signs { .. }
            | Rule::NoWorms
            | Rule::SparingShare { .. }
            | Rule::CoffeeShare { .. } => clause,
        };
        self.sentence(&said)
    }

    fn with_what_is_left(&self, clause: String, leaves: Grams) -> String {
        if leaves > Grams::ZERO {
            let room = self.portion(leaves, densest(std::iter::empty()));
            let args = [("clause", clause.into()), ("room", room.into())];
            self.say("reason-leaves", args)
        } else {
            self.say("reason-leaves-nothing", [("clause", clause.into())])
        }
    }

    /// The same as a part of a sentence, without what it leaves.
    pub(super) fn reason_clause(&self, reason: &Reason, now: DateTime<Utc>) -> String {
        let clause = self.rule(reason, now);
        let Some(guarded) = reason.guards else {
            return clause;
        };
        let day = self.day(guarded, now);
        self.say(
            "rule-guarded",
            [("clause", clause.into()), ("day", day.into())],
        )
    }

    fn rule(&self, reason: &Reason, now: DateTime<Utc>) -> String {
        let shares = |id: &str, percent: u32, foods: &[String]| {
            let percent = self.percent(percent);
            let foods = self.few_foods(foods);
            self.say(id, [("percent", percent.into()), ("foods", foods.into())])
        };
        match &reason.rule {
            Rule::NeverFood { foods } => {
                self.say("rule-never-food", [("foods", self.few_foods(foods).into())])
            }
            Rule::Eating { uneaten } => self.say(
                "rule-eating",
                [
                    ("uneaten", self.amount(*uneaten, Rounding::Up).into()),
                    ("lies", some_or_none(*uneaten).into()),
                    ("left", some_or_none(reason.leaves).into()),
                ],
            ),
            Rule::Ramp {
                week,
                percent,
                uneaten,
            } => self.say(
                "rule-ramp",
                [
                    ("week", (*week).into()),
                    ("percent", self.percent(*percent).into()),
                    ("uneaten", self.amount(*uneaten, Rounding::Up).into()),
                    ("lies", some_or_none(*uneaten).into()),
                ],
            ),
            Rule::Area { a_week } => {
                let a_week = self.amount(*a_week, Rounding::Down);
                self.say("rule-area", [("a_week", a_week.into())])
            }
            Rule::Depth { millimetres } => {
                let deep = self.depth(*millimetres);
                self.say("rule-depth", [("deep", deep.into())])
            }
            Rule::Fill { percent } => {
                let percent = self.percent(*percent);
                self.say("rule-fill", [("percent", percent.into())])
            }
            Rule::TooHot {
                bed, opens_below, ..
            } => self.say(
                "rule-too-hot",
                [
                    ("bed", self.temperature(*bed).into()),
                    ("opens_below", self.temperature(*opens_below).into()),
                ],
            ),
            Rule::TooCold { bed } => {
                let bed = self.temperature(*bed);
                self.say("rule-too-cold", [("bed", bed.into())])
            }
            Rule::Signs { sign, since } => self.held("rule-signs", *sign, *since, now),
            Rule::Handful { sign, since } => self.held("rule-handful", *sign, *since, now),
            Rule::Resuming { percent, uneaten } => self.say(
                "rule-resuming",
                [
                    ("percent", self.percent(*percent).into()),
                    ("uneaten", self.amount(*uneaten, Rounding::Up).into()),
                    ("lies", some_or_none(*uneaten).into()),
                ],
            ),
            Rule::NoWorms => self.say("rule-no-worms", []),
            Rule::SparingShare { percent, foods } => shares("rule-sparing-share", *percent, foods),
            Rule::CoffeeShare { percent, foods } => shares("rule-coffee-share", *percent, foods),
        }
    }

    fn held(&self, id: &str, sign: Sign, since: DateTime<Utc>, now: DateTime<Utc>) -> String {
        let sign = self.say(&format!("sign-{}", sign.code()), []);
        let day = self.on_day(since, now);
        self.say(id, [("sign", sign.into()), ("on", day.into())])
    }

    /// Why a bin can take no more, as a part of a sentence.
    pub(super) fn binds(&self, limit: Limit) -> String {
        self.say(&format!("binds-{}", limit.code()), [])
    }
}

fn some_or_none(amount: Grams) -> &'static str {
    if amount > Grams::ZERO { "some" } else { "none" }
}
