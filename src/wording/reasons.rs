//! Why somebody has the turns that they have, and why a place is empty.

use super::voice::Voice;
use std::collections::BTreeMap;
use wormrota_domain::rota::explain::Fraction;
use wormrota_domain::rota::explain::limits::{Limits, ORDER};
use wormrota_domain::rota::explain::shares::Account;
use wormrota_domain::rota::explain::sight::{ComparisonSeen, EmptySeen};

impl Voice {
    /// What somebody got beside what is fair, and which of their limits cost how many turns:
    /// a sentence each, without those that would say nothing.
    #[must_use]
    pub fn reasons(&self, account: &Account, limits: &Limits) -> Vec<String> {
        let fair = tenths(account.fair);
        // Less than nothing is fair for whoever did so much before that a rota would have to
        // give something back, which none can.
        let own = match fair {
            ..0 => "rota-own-nothing-fair",
            _ => "rota-own",
        };
        let mut parts = vec![self.say(
            own,
            [
                ("count", account.turns.into()),
                ("effort", account.effort.into()),
                ("fair", self.decimal(fair.max(0)).into()),
            ],
        )];
        let brought = |id: &str, count: i64| self.say(id, [("count", count.into())]);
        match account.balance {
            0 => {}
            more @ 1.. => parts.push(brought("rota-brought-more", more)),
            less => parts.push(brought("rota-brought-less", -less)),
        }
        parts.extend(self.limits(limits));
        parts.iter().map(|part| self.sentence(part)).collect()
    }

    fn limits(&self, limits: &Limits) -> Vec<String> {
        let shut = ORDER.iter().filter_map(|rule| {
            let shut = limits.shut.get(rule).filter(|shut| shut.first > 0)?;
            let id = format!("rota-shut-{}", rule.code());
            let part = self.say(&id, [("count", shut.first.into())]);
            Some(match shut.alone {
                0 => part,
                alone => self.say(
                    "rota-shut-alone",
                    [("part", part.into()), ("count", alone.into())],
                ),
            })
        });
        let open = [
            ("rota-within-held", limits.full),
            ("rota-within-free", limits.within - limits.full),
        ];
        let open = (open.into_iter())
            .filter(|(_, count)| *count > 0)
            .map(|(id, count)| self.say(id, [("count", count.into())]));
        shut.chain(open).collect()
    }

    /// Why places of a turn are empty, in one sentence.
    #[must_use]
    pub fn empty_places(&self, seen: &EmptySeen) -> String {
        let none = BTreeMap::new();
        let (places, could, counts): (_, _, Vec<(&str, usize)>) = match seen {
            EmptySeen::Reasons(empty) => {
                let counts = empty.by_rule().into_iter();
                let counts = counts.map(|(rule, count)| (rule.code(), count));
                (empty.places, empty.could.len(), counts.collect())
            }
            EmptySeen::Counts {
                places, reasons, ..
            } => {
                let counts = reasons.as_ref().unwrap_or(&none).iter();
                let counts = counts.map(|(reason, count)| (reason.code(), *count));
                (*places, 0, counts.collect())
            }
        };
        let mut whys: Vec<String> = (counts.into_iter())
            .filter(|(_, count)| *count > 0)
            .map(|(code, count)| self.say(&format!("rota-why-{code}"), [("count", count.into())]))
            .collect();
        if could > 0 {
            whys.push(self.say("rota-could", [("count", could.into())]));
        }
        let part = self.say("rota-empty", [("count", places.into())]);
        if whys.is_empty() {
            return self.sentence(&part);
        }
        let why = self.say(
            "rota-empty-why",
            [("part", part.into()), ("whys", self.list(&whys).into())],
        );
        self.sentence(&why)
    }

    /// Why one member has more effort than another, less or as much, in one sentence: causes
    /// that come to nothing are left out.
    #[must_use]
    pub fn comparison(&self, seen: &ComparisonSeen) -> String {
        let (effort, causes) = match seen {
            ComparisonSeen::Reasons(all) => (
                all.effort,
                vec![
                    ("rota-because-share", all.by_share),
                    ("rota-because-balance", whole(all.by_balance)),
                    ("rota-because-rest", all.rest),
                ],
            ),
            ComparisonSeen::Figures { effort, fair, rest } => (
                *effort,
                vec![
                    ("rota-because-fair", whole(*fair)),
                    ("rota-because-rest", whole(*rest)),
                ],
            ),
        };
        let part = match effort {
            0 => self.say("rota-compare-same", []),
            1.. => self.amount_of_effort("rota-compare-more", whole(effort)),
            _ => self.amount_of_effort("rota-compare-less", whole(effort)),
        };
        let causes = causes.into_iter().filter_map(|(id, effort)| {
            let step = match tenths(effort) {
                0 => return None,
                1.. => "rota-step-more",
                _ => "rota-step-less",
            };
            let step = self.amount_of_effort(step, effort);
            Some(self.say(id, [("step", step.into())]))
        });
        let causes: Vec<String> = causes.collect();
        if causes.is_empty() {
            return self.sentence(&part);
        }
        let causes = self.list(&causes);
        let args = [("part", part.into()), ("causes", causes.into())];
        self.sentence(&self.say("rota-compare-why", args))
    }

    /// So much effort, whichever way it goes: the message says that.
    fn amount_of_effort(&self, id: &str, effort: Fraction) -> String {
        let digits = self.decimal(tenths(effort).abs());
        self.say(id, [("effort", digits.into())])
    }
}

const fn whole(effort: i64) -> Fraction {
    Fraction {
        parts: effort,
        of: 1,
    }
}

/// Effort to the nearest tenth.
fn tenths(effort: Fraction) -> i128 {
    let (parts, of) = (i128::from(effort.parts), i128::from(effort.of));
    (20 * parts + of).div_euclid(2 * of)
}
