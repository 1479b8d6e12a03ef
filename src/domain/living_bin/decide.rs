//! How a decision comes about: kinds of food first, then their shares, then the room; an
//! accepted offer gets its conditions, a refused one gets a day.

use super::decision::{Condition, Decision, LineVerdict, Outcome, Reason, Rule};
use super::gate::{Gate, Passage};
use super::habitat::Habitat;
use super::limit::Limit;
use super::mix::{Supplement, supplement};
use super::outlook::{Booking, Outlook, Room, due_then};
use super::settings::MODEL_VERSION;
use super::state::BinState;
use crate::food::{Class, Composition, Group, Offer, OfferLine, SiteFoodList, Why};
use crate::units::{Grams, Kg};
use chrono::{DateTime, Utc};

/// What a decision needs to know.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The bin and its surroundings.
    pub habitat: &'a Habitat,
    /// Its state, now.
    pub state: &'a BinState,
    /// Bookings of others that must be kept, in order of time.
    pub bookings: &'a [Booking],
    /// When the food would go in: now, or the first moment of a later day.
    pub at: DateTime<Utc>,
    /// The offer.
    pub offer: &'a Offer,
    /// What the site keeps out.
    pub list: &'a SiteFoodList,
    /// Later moments to look at for one at which a refused offer would fit, rising.
    pub moments: &'a [DateTime<Utc>],
}

impl Asked<'_> {
    /// Decides.
    #[must_use]
    pub fn decide(&self) -> Decision {
        let outlook = Outlook::cautious(self.habitat, self.state).moved_to(self.at, self.bookings);
        let later = due_then(self.bookings, self.state.at, self.at);
        let room = outlook.room(&later);
        let mut sorted = Sorted::by_class(self.offer, self.list);
        let mut conditions = Vec::new();
        let mut reasons = Vec::new();
        if !sorted.never.is_empty() {
            conditions.push(Condition::LeaveOut {
                foods: keys(&sorted.never),
            });
        }
        if sorted.lines.iter().all(|line| line.allowed == Grams::ZERO) {
            let rule = Rule::NeverFood {
                foods: keys(&sorted.never),
            };
            reasons.push(Reason {
                rule,
                leaves: Grams::ZERO,
                guards: None,
            });
        } else {
            self.trim_shares(&outlook, &mut sorted, &mut conditions, &mut reasons);
            self.hold_to_room(&outlook, &room, &mut sorted, &mut conditions, &mut reasons);
        }

        let mut decision = Decision {
            outcome: Outcome::Refused,
            at: self.at,
            offered: self.offer.total(),
            wanted: sorted.total(),
            allowed: sorted.total(),
            room: room.amount,
            lines: Vec::new(),
            conditions,
            reasons,
            fits_at: None,
            most: None,
            other_bins: Vec::new(),
            outlets: Vec::new(),
            temperature_assumed: self
                .habitat
                .bed_temperature(self.state.reading, self.at)
                .assumed,
            model_version: MODEL_VERSION,
            settings_revision: self.habitat.settings.revision(),
        };
        if decision.reasons.is_empty() {
            self.add_handling(&sorted, &mut decision);
        } else {
            self.find_a_day(&outlook, &later, &sorted, &mut decision);
            sorted.refuse();
        }
        decision.lines = sorted.lines.iter().map(Line::verdict).collect();
        decision
    }

    /// Foods that may only be a part of what lies in the bin are cut down to that part.
    fn trim_shares(
        &self,
        outlook: &Outlook<'_>,
        sorted: &mut Sorted,
        conditions: &mut Vec<Condition>,
        reasons: &mut Vec<Reason>,
    ) {
        let (s, blend) = (&self.habitat.settings, &self.state.blend);
        let shares = [
            (Limit::SparingShare, s.sparing_share, blend.sparing),
            (Limit::CoffeeShare, s.coffee_share, blend.coffee),
        ];
        for (limit, share, lies) in shares {
            let left = outlook.most_uneaten().0 * share - lies * outlook.uneaten().0;
            let left = Grams::rounded_down(Kg(left)).max(Grams::ZERO);
            let Some(foods) = sorted.trim(limit, left) else {
                continue;
            };
            if sorted.total() > Grams::ZERO {
                conditions.push(Condition::LessOf {
                    foods,
                    limit,
                    at_most: left,
                });
            } else {
                let percent = percent(share);
                let rule = match limit {
                    Limit::CoffeeShare => Rule::CoffeeShare { percent, foods },
                    _ => Rule::SparingShare { percent, foods },
                };
                reasons.push(Reason {
                    rule,
                    leaves: left,
                    guards: None,
                });
            }
        }
    }

    fn hold_to_room(
        &self,
        outlook: &Outlook<'_>,
        room: &Room,
        sorted: &mut Sorted,
        conditions: &mut Vec<Condition>,
        reasons: &mut Vec<Reason>,
    ) {
        let wanted = sorted.total();
        if wanted <= room.amount {
            return;
        }
        let error = Grams::rounded_up(wanted.kg() * self.offer.spread().0);
        if room.amount > Grams::ZERO && wanted.less(room.amount) <= error {
            sorted.scale_to(room.amount);
            conditions.push(Condition::StopAt {
                amount: sorted.total(),
            });
            return;
        }
        for rule in room.rules.iter().filter(|rule| rule.leaves < wanted) {
            reasons.push(Reason {
                rule: self.rule(rule.limit, outlook),
                leaves: rule.leaves,
                guards: (rule.at > self.at).then_some(rule.at),
            });
        }
    }

    fn rule(&self, limit: Limit, outlook: &Outlook<'_>) -> Rule {
        let (s, habitat) = (&self.habitat.settings, self.habitat);
        let uneaten = Grams::rounded_up(outlook.uneaten());
        let bed = habitat.bed_temperature(self.state.reading, self.at).bed;
        match limit {
            Limit::Eating | Limit::SparingShare | Limit::CoffeeShare => Rule::Eating { uneaten },
            Limit::Signs | Limit::Handful | Limit::Resuming => self.gate_rule(limit, uneaten),
            Limit::Ramp => {
                let days = libm::fmax(self.state.age_days(self.at), 0.0);
                let share = percent(s.ramp_at(days));
                Rule::Ramp {
                    week: whole(days / 7.0) + 1,
                    percent: share,
                    uneaten,
                }
            }
            Limit::Area => Rule::Area {
                a_week: Grams::rounded_down(habitat.area_limit()),
            },
            Limit::Depth => Rule::Depth {
                millimetres: whole(s.depth_m * 1000.0 + 0.5),
            },
            Limit::Fill => Rule::Fill {
                percent: percent(s.fill),
            },
            Limit::TooHot => Rule::TooHot {
                bed,
                opens_below: s.heat_reopens_below,
                deadly_above: s.lethal_above,
            },
            Limit::TooCold => Rule::TooCold { bed },
            Limit::NoWorms => Rule::NoWorms,
        }
    }

    fn gate_rule(&self, limit: Limit, uneaten: Grams) -> Rule {
        match self.state.gate {
            Gate::Held { sign, since } if limit == Limit::Signs => Rule::Signs { sign, since },
            Gate::Held { sign, since } => Rule::Handful { sign, since },
            gate @ (Gate::Half { .. } | Gate::Open) => {
                let share = match gate.passage(&self.habitat.settings, self.at) {
                    Passage::Share(share) => share,
                    Passage::Shut(..) | Passage::Handful(..) => 0.0,
                };
                Rule::Resuming {
                    percent: percent(share),
                    uneaten,
                }
            }
        }
    }

    /// What an accepted offer still needs: small pieces, bedding, water.
    fn add_handling(&self, sorted: &Sorted, decision: &mut Decision) {
        let small: Vec<OfferLine> = sorted.allowed().filter(|l| l.item.cut).collect();
        if !small.is_empty() {
            decision.conditions.push(Condition::CutSmall {
                foods: keys(&small),
            });
        }
        let Supplement { dry, millilitres } =
            supplement(self.habitat, self.state, &sorted.composition());
        if dry > Grams::ZERO {
            decision.conditions.push(Condition::AddBedding { dry });
        }
        if millilitres > 0 {
            decision
                .conditions
                .push(Condition::AddWater { millilitres });
        }
        decision.outcome = if decision.conditions.is_empty() {
            Outcome::Accepted
        } else {
            Outcome::AcceptedIf
        };
    }

    /// A refused offer gets a day.
    fn find_a_day(
        &self,
        outlook: &Outlook<'_>,
        bookings: &[Booking],
        sorted: &Sorted,
        decision: &mut Decision,
    ) {
        decision.allowed = Grams::ZERO;
        decision.conditions.clear();
        let wanted = sorted.total();
        if wanted == Grams::ZERO {
            return;
        }
        decision.fits_at = outlook.first_fit(bookings, wanted, self.moments);
        if decision.fits_at.is_none() {
            decision.most = outlook.best_day(bookings, self.moments);
        }
    }
}

/// An offer under decision, food by food.
struct Sorted {
    lines: Vec<Line>,
    never: Vec<OfferLine>,
}

struct Line {
    offered: OfferLine,
    class: Class,
    why: Option<Why>,
    allowed: Grams,
}

impl Line {
    fn verdict(&self) -> LineVerdict {
        LineVerdict {
            food: self.offered.item.key.to_owned(),
            offered: self.offered.amount,
            allowed: self.allowed,
            class: self.class,
            why: self.why,
        }
    }

    fn is_under(&self, limit: Limit) -> bool {
        match limit {
            Limit::SparingShare => self.class == Class::Sparing,
            Limit::CoffeeShare => self.offered.item.group == Group::CoffeeAndTea,
            _ => true,
        }
    }
}

impl Sorted {
    fn by_class(offer: &Offer, list: &SiteFoodList) -> Self {
        let line = |line: &OfferLine| {
            let standing = list.class_of(line.item);
            let out = standing.class == Class::Never;
            Line {
                offered: *line,
                class: standing.class,
                why: standing.why,
                allowed: if out { Grams::ZERO } else { line.amount },
            }
        };
        let lines: Vec<Line> = offer.lines().iter().map(line).collect();
        let never = lines
            .iter()
            .filter(|l| l.class == Class::Never)
            .map(|l| l.offered)
            .collect();
        Self { lines, never }
    }

    fn total(&self) -> Grams {
        self.lines.iter().map(|line| line.allowed).sum()
    }

    fn allowed(&self) -> impl Iterator<Item = OfferLine> {
        let lines = self.lines.iter().filter(|line| line.allowed > Grams::ZERO);
        lines.map(|line| OfferLine {
            amount: line.allowed,
            ..line.offered
        })
    }

    /// Cuts the foods under a rule on shares down to what it leaves; names them if it had
    /// to.
    fn trim(&mut self, limit: Limit, left: Grams) -> Option<Vec<String>> {
        let under = |line: &&mut Line| line.is_under(limit) && line.allowed > Grams::ZERO;
        let wanted: Grams = self
            .lines
            .iter_mut()
            .filter(under)
            .map(|line| line.allowed)
            .sum();
        if wanted <= left {
            return None;
        }
        let mut foods = Vec::new();
        for line in self.lines.iter_mut().filter(under) {
            line.allowed = part(line.allowed, left, wanted);
            foods.push(line.offered.item.key.to_owned());
        }
        Some(foods)
    }

    fn scale_to(&mut self, amount: Grams) {
        let wanted = self.total();
        for line in &mut self.lines {
            line.allowed = part(line.allowed, amount, wanted);
        }
    }

    fn refuse(&mut self) {
        for line in &mut self.lines {
            line.allowed = Grams::ZERO;
        }
    }

    fn composition(&self) -> Composition {
        self.allowed().map(|line| line.composition()).sum()
    }
}

/// `amount` x `left` / `of`, rounded down, so that the parts never come to more than `left`.
fn part(amount: Grams, left: Grams, of: Grams) -> Grams {
    let share = i128::from(amount.0) * i128::from(left.0) / i128::from(of.0.max(1));
    Grams(i64::try_from(share).unwrap_or(0))
}

fn keys(lines: &[OfferLine]) -> Vec<String> {
    lines.iter().map(|line| line.item.key.to_owned()).collect()
}

fn percent(share: f64) -> u32 {
    whole(share * 100.0 + 0.5)
}

fn whole(x: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts saturate, and what is shown is never negative"
    )]
    let whole = x as u32;
    whole
}
