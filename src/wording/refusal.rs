//! No, and what now: when it fits, what fits, and where else it may go.

use super::amounts::{Rounding, worth_saying};
use super::decision::{Spoken, density_of};
use super::voice::{Names, Voice};
use chrono::{DateTime, Utc};
use wormrota_domain::food::{Class, Density, Group, find};
use wormrota_domain::living_bin::decision::{Decision, OtherBin, Reason, Rule};
use wormrota_domain::site::ScrapOutlet;
use wormrota_domain::units::Grams;

/// Scraps that wait longer than this go into the freezer (own suggestion).
const DAYS_IN_A_TUB: i64 = 3;
/// More other bins than this are a list and no help.
const MOST_BINS: usize = 3;

impl Voice {
    /// The answer to an offer that was refused.
    pub(super) fn no(&self, decision: &Decision, names: &Names, now: DateTime<Utc>) -> Spoken {
        let answer = No::of(decision, now);
        match decision.reasons.first() {
            Some(Reason {
                rule: Rule::NeverFood { foods },
                ..
            }) => self.never(&answer, foods),
            Some(reason) if is_share(&reason.rule) => self.no_share(&answer, reason),
            reason => self.no_room(&answer, reason, names),
        }
    }

    /// Nothing was offered but what never goes in.
    fn never(&self, no: &No<'_>, foods: &[String]) -> Spoken {
        let few = self.few_foods(foods);
        let mut answer = match self.one_why(foods) {
            Some(why) => {
                let args = [("foods", few.into()), ("why", why.into())];
                self.say("refused-never-why", args)
            }
            None => self.say("refused-never", [("foods", few.into())]),
        };
        if no.room.is_some() {
            answer = self.steps(&[answer, self.room_for_others(no)]);
        }
        let because = self.foods_because(foods);
        let mut todo = vec![self.todo("do-leave-out", [("foods", because.into())])];
        todo.extend(self.put_in_others(no));
        for outlet in &no.decision.outlets {
            if *outlet != ScrapOutlet::GardenHeap || from_a_garden(foods) {
                todo.push(self.todo(&format!("outlet-never-{}", outlet.code()), []));
            }
        }
        let assumed = no.decision.temperature_assumed && no.room.is_some();
        self.spoken(answer, todo, assumed)
    }

    /// The bin has its share of this kind of food already.
    fn no_share(&self, no: &No<'_>, reason: &Reason) -> Spoken {
        let next = if no.room.is_some() {
            self.room_for_others(no)
        } else {
            self.say("next-keep", [])
        };
        let answer = self.refused(no, reason, &next);
        let mut todo = self.leave_out(no);
        todo.extend(self.put_in_others(no));
        todo.push(self.todo("do-keep-all", []));
        todo.extend(self.outlets(no));
        self.spoken(answer, todo, no.decision.temperature_assumed)
    }

    /// It does not fit.
    fn no_room(&self, no: &No<'_>, reason: Option<&Reason>, names: &Names) -> Spoken {
        let mut next = vec![self.when_it_fits(no)];
        if let Some(other) = no.decision.other_bins.iter().max_by_key(|other| other.room) {
            let bin = self.bin(other, names);
            next.push(self.say("next-other-bin", [("bin", bin.into())]));
        }
        let next = self.steps(&next);
        let answer = match reason {
            Some(reason) => self.refused(no, reason, &next),
            None => self.say(
                "refused-unexplained",
                [("on", no.on(self).into()), ("next", next.into())],
            ),
        };

        let mut todo = self.leave_out(no);
        let rules = no.decision.reasons.iter().map(|reason| &reason.rule);
        todo.extend(rules.clone().flat_map(|rule| self.about_the_bin(rule)));
        if let Some(room) = no.room {
            let portion = self.portion(room, no.density);
            let args = [
                ("portion", portion.into()),
                ("moment", no.moment(self).into()),
            ];
            todo.push(self.todo("do-put-in-now", args));
        }
        if !rules.clone().any(|rule| matches!(rule, Rule::NoWorms)) {
            todo.push(self.keep(no));
        }
        for other in no.decision.other_bins.iter().take(MOST_BINS) {
            let room = self.amount(other.room, Rounding::Down);
            let args = [
                ("bin", self.bin(other, names).into()),
                ("room", room.into()),
            ];
            todo.push(self.todo("do-other-bin", args));
        }
        todo.extend(self.outlets(no));
        self.spoken(answer, todo, no.decision.temperature_assumed)
    }

    fn refused(&self, no: &No<'_>, reason: &Reason, next: &str) -> String {
        self.say(
            "refused",
            [
                ("on", no.on(self).into()),
                ("reason", self.reason_clause(reason, no.now).into()),
                ("next", next.into()),
            ],
        )
    }

    /// What would fit, and when.
    fn when_it_fits(&self, no: &No<'_>) -> String {
        let decision = no.decision;
        let room = no.room.map(|room| self.portion(room, no.density));
        if let Some(at) = decision.fits_at {
            let whole = if decision.wanted < decision.offered {
                let wanted = self.amount(decision.wanted, Rounding::Up);
                self.say("whole-part", [("wanted", wanted.into())])
            } else {
                self.say("whole-all", [])
            };
            let on = self.on_day(at, no.now);
            let Some(room) = room else {
                let args = [("whole", whole.into()), ("on", on.into())];
                return self.say("next-fits-later", args);
            };
            return self.say(
                "next-fits-now-and-later",
                [
                    ("room", room.into()),
                    ("moment", no.moment(self).into()),
                    ("whole", whole.into()),
                    ("on", on.into()),
                ],
            );
        }
        let more = decision.most.filter(|most| {
            worth_saying(most.amount).is_some() && most.amount > no.room.unwrap_or(Grams::ZERO)
        });
        let most = more.map(|most| {
            let portion = self.portion(most.amount, no.density);
            (portion, self.on_day(most.at, no.now))
        });
        match (room, most) {
            (Some(room), Some((most, on))) => self.say(
                "next-now-and-most-later",
                [
                    ("room", room.into()),
                    ("moment", no.moment(self).into()),
                    ("most", most.into()),
                    ("on", on.into()),
                ],
            ),
            (None, Some((most, on))) => {
                let args = [("most", most.into()), ("on", on.into())];
                self.say("next-most-later", args)
            }
            (Some(room), None) => {
                let args = [("room", room.into()), ("moment", no.moment(self).into())];
                self.say("next-fits-now-only", args)
            }
            (None, None) => self.say("next-never-soon", []),
        }
    }

    fn room_for_others(&self, no: &No<'_>) -> String {
        let room = self.portion(no.room.unwrap_or(Grams::ZERO), Density::KITCHEN_SCRAPS);
        let args = [("room", room.into()), ("moment", no.moment(self).into())];
        self.say("next-other-scraps", args)
    }

    fn put_in_others(&self, no: &No<'_>) -> Option<String> {
        let portion = self.portion(no.room?, Density::KITCHEN_SCRAPS);
        let args = [
            ("portion", portion.into()),
            ("moment", no.moment(self).into()),
        ];
        Some(self.todo("do-put-in-other", args))
    }

    /// What never goes in, where more than that was offered.
    fn leave_out(&self, no: &No<'_>) -> Vec<String> {
        let lines = no.decision.lines.iter();
        let never = lines.filter(|line| line.class == Class::Never);
        let foods: Vec<String> = never.map(|line| line.food.clone()).collect();
        if foods.is_empty() {
            return Vec::new();
        }
        let because = self.foods_because(&foods);
        vec![self.todo("do-leave-out", [("foods", because.into())])]
    }

    /// What to do about the bin itself.
    fn about_the_bin(&self, rule: &Rule) -> Vec<String> {
        match rule {
            Rule::TooHot {
                bed, deadly_above, ..
            } if bed > deadly_above => {
                let lethal = self.temperature(*deadly_above);
                let at_once = self.todo("do-cool-at-once", [("lethal", lethal.into())]);
                vec![at_once, self.todo("do-cool", [])]
            }
            Rule::TooHot { .. } => vec![self.todo("do-cool", [])],
            Rule::TooCold { .. } => vec![self.todo("do-warm", [])],
            Rule::Fill { .. } => vec![self.todo("do-harvest", [])],
            Rule::Signs { .. } | Rule::Handful { .. } => vec![self.todo("do-look", [])],
            Rule::NoWorms => vec![self.todo("do-stock", [])],
            _ => Vec::new(),
        }
    }

    fn keep(&self, no: &No<'_>) -> String {
        let some_fits = no.room.is_some();
        match no.decision.fits_at {
            Some(at) => {
                let id = if some_fits {
                    "do-keep-until"
                } else {
                    "do-keep-all-until"
                };
                let short = self.days_until(at, no.now) <= DAYS_IN_A_TUB;
                let wait = if short { "short" } else { "long" };
                let day = self.day(at, no.now);
                self.todo(id, [("day", day.into()), ("wait", wait.into())])
            }
            None if some_fits => self.todo("do-keep", []),
            None => self.todo("do-keep-all", []),
        }
    }

    fn outlets(&self, no: &No<'_>) -> Vec<String> {
        let outlets = no.decision.outlets.iter();
        outlets
            .map(|outlet| self.todo(&format!("outlet-{}", outlet.code()), []))
            .collect()
    }

    fn bin(&self, other: &OtherBin, names: &Names) -> String {
        match names.bin(other.id) {
            Some(name) => self.say("quoted", [("name", name.into())]),
            None => self.say("some-other-bin", []),
        }
    }
}

/// A refusal, seen from the moment at which it is read.
struct No<'a> {
    decision: &'a Decision,
    now: DateTime<Utc>,
    /// What would fit, if it is worth saying.
    room: Option<Grams>,
    density: Density,
}

impl<'a> No<'a> {
    fn of(decision: &'a Decision, now: DateTime<Utc>) -> Self {
        Self {
            decision,
            now,
            room: worth_saying(decision.room),
            density: density_of(decision),
        }
    }

    fn on(&self, voice: &Voice) -> String {
        voice.on_day(self.decision.at, self.now)
    }

    fn moment(&self, voice: &Voice) -> String {
        voice.moment(self.decision.at, self.now)
    }
}

/// A heap takes what a garden gives; meat on it draws rats.
fn from_a_garden(foods: &[String]) -> bool {
    let group = |key: &String| find(key).map(|item| item.group);
    foods.iter().all(|key| group(key) == Some(Group::Garden))
}

fn is_share(rule: &Rule) -> bool {
    matches!(rule, Rule::SparingShare { .. } | Rule::CoffeeShare { .. })
}
