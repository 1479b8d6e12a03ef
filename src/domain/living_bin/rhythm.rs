//! How often a bin wants to be fed, and how much each time, from the same rules by which every
//! offer is decided: so that turns can be laid before anybody brings anything.

use super::forecast::{Band, appetite};
use super::habitat::Habitat;
use super::limit::Limit;
use super::outlook::Outlook;
use super::state::BinState;
use crate::units::{Grams, Kg};

/// Days in which everybody who shares a bin should have had a turn, where there is enough to
/// eat for that many (common practice, no source: people plan by the month).
pub const ROUND_DAYS: u32 = 28;
/// The area rule counts by the week.
const WEEK_DAYS: f64 = 7.0;
/// Far less than a gram: what is whole but for rounding stays whole.
const ROUNDING_KG: f64 = 1e-9;

/// What a bin advises.
#[derive(Debug, Clone, PartialEq)]
pub enum Advice {
    /// To lay no rhythm now: this rule lets nothing in, or a handful at most.
    Wait(Limit),
    /// A rhythm.
    Feed(Rhythm),
}

/// How often, and how much, with what it was reckoned from.
#[derive(Debug, Clone, PartialEq)]
pub struct Rhythm {
    /// What the bin eats in a day.
    pub appetite: Band,
    /// What may go in within a week, in the long run, with slow worms.
    pub weekly: Kg,
    /// The rule behind it.
    pub weekly_by: Limit,
    /// The most that may go in at once when all is eaten.
    pub at_once: Kg,
    /// The rule behind it.
    pub at_once_by: Limit,
    /// Every how many days to feed.
    pub every_days: u32,
    /// How much each time: neither more in the long run nor more at once than may go in.
    pub each: Grams,
}

impl Rhythm {
    /// The rule of a pattern that begins on a day of feeding (RFC 5545), without an end.
    #[must_use]
    pub fn rule(&self) -> String {
        match self.every_days {
            1 => "FREQ=DAILY".to_owned(),
            7 => "FREQ=WEEKLY".to_owned(),
            days => format!("FREQ=DAILY;INTERVAL={days}"),
        }
    }

    /// Turns in four weeks.
    #[must_use]
    pub fn turns_in_a_round(&self) -> f64 {
        f64::from(ROUND_DAYS) / f64::from(self.every_days)
    }
}

/// The rhythm of a bin that so many people share, as things stand.
///
/// Feeding is as rare as the rules allow; but the more people share the bin, the oftener and
/// the less each time, so that everybody has a turn in four weeks, down to a handful.
#[must_use]
pub fn advise(habitat: &Habitat, state: &BinState, people: u32) -> Advice {
    let outlook = Outlook::cautious(habitat, state);
    if let Some(limit) = outlook.shut_by() {
        return Advice::Wait(limit);
    }
    let limits = outlook.limits();
    let (at_once_by, at_once) =
        limits
            .into_iter()
            .fold((Limit::NoWorms, f64::INFINITY), |least, limit| {
                if limit.1 < least.1 { limit } else { least }
            });
    let daily = |(limit, kg): &(Limit, f64)| match limit {
        Limit::Area => Some((*limit, kg / WEEK_DAYS)),
        Limit::Eating | Limit::Ramp | Limit::Resuming => {
            Some((*limit, kg / habitat.settings.uneaten_days))
        }
        // Room that is there again once the food is eaten.
        _ => None,
    };
    let (weekly_by, daily) =
        limits
            .iter()
            .filter_map(daily)
            .fold((Limit::NoWorms, f64::INFINITY), |least, limit| {
                if limit.1 < least.1 { limit } else { least }
            });
    let every_days = every_days(habitat, daily, at_once, people);
    let each = libm::fmin(daily * f64::from(every_days), at_once);
    let each = Grams::rounded_down(Kg(each + ROUNDING_KG));
    if each <= Grams::ZERO {
        return Advice::Wait(if daily > 0.0 { at_once_by } else { weekly_by });
    }
    Advice::Feed(Rhythm {
        appetite: appetite(habitat, state),
        weekly: Kg(daily * WEEK_DAYS),
        weekly_by,
        at_once: Kg(at_once),
        at_once_by,
        every_days,
        each,
    })
}

fn every_days(habitat: &Habitat, daily: f64, at_once: f64, people: u32) -> u32 {
    // Never rarer than what lies there may take to be eaten.
    let most = libm::fmin(habitat.settings.uneaten_days, WEEK_DAYS);
    let fits =
        |days: u32| f64::from(days) <= most && daily * f64::from(days) <= at_once + ROUNDING_KG;
    let longest = (1..=7).rev().find(|days| fits(*days)).unwrap_or(1);
    let a_handful = |days: &u32| daily * f64::from(*days) >= habitat.settings.handful_kg;
    let shortest = (1..=longest).find(a_handful).unwrap_or(longest);
    (shortest..=longest)
        .rev()
        .find(|days| ROUND_DAYS / days >= people)
        .unwrap_or(shortest)
}

#[cfg(test)]
mod tests {
    use super::super::climate::{BedReading, Climate};
    use super::super::gate::{Gate, Sign};
    use super::super::habitat::BinShape;
    use super::super::settings::ModelSettings;
    use super::super::state::Meal;
    use super::super::time::plus_days;
    use super::*;
    use crate::food::Composition;
    use crate::site::Spot;
    use crate::units::{Celsius, Litres, SquareMetres};
    use chrono::{DateTime, TimeZone, Utc};

    fn now() -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, 6, 10, 17, 0, 0).unwrap()
    }

    fn habitat() -> Habitat {
        Habitat {
            settings: ModelSettings::default(),
            shape: BinShape {
                surface: SquareMetres(0.25),
                volume: Litres(60.0),
                spot: Spot::Indoors,
            },
            climate: Climate::default(),
        }
    }

    /// A bin at 20 degrees, stocked so many weeks ago, with nothing in it.
    fn bin(worms: f64, weeks: f64) -> BinState {
        let since = plus_days(now(), -7.0 * weeks);
        let mut state = BinState::stocked(&habitat().settings, Kg(worms), Kg(4.0), since);
        state.at = now();
        state.reading = Some(BedReading {
            bed: Celsius(20.0),
            at: now(),
        });
        state
    }

    fn rhythm(state: &BinState, people: u32) -> Rhythm {
        match advise(&habitat(), state, people) {
            Advice::Feed(rhythm) => rhythm,
            Advice::Wait(limit) => panic!("{}", limit.code()),
        }
    }

    /// Guards the figures against rules of their own: they are those of every decision. A
    /// surface of 0.25 m² lets 4.9 kg/m² a week in, which is 1.225 kg; a kilogram of worms eats
    /// less at the cautious speed.
    #[test]
    fn the_figures_are_those_of_the_rules() {
        let of_few = rhythm(&bin(1.0, 20.0), 4);
        assert_eq!(of_few.weekly_by, Limit::Eating);
        assert!(of_few.weekly.0 < 1.225);
        // What it eats today, seven times over, but for how the bed warms or cools meanwhile.
        let of_today = of_few.appetite.low.0 * 7.0;
        let off = (of_few.weekly.0 - of_today).abs();
        assert!(off < 0.05 * of_today, "{} {of_today}", of_few.weekly.0);
        let of_many = rhythm(&bin(5.0, 20.0), 4);
        assert_eq!(of_many.weekly_by, Limit::Area);
        assert!((of_many.weekly.0 - 1.225).abs() < 1e-9);
        assert_eq!(of_many.every_days, 7);
        assert_eq!(of_many.each, Grams(1225));
        assert_eq!(of_many.rule(), "FREQ=WEEKLY");
    }

    /// Guards neighbours who never get a turn, and turns that are not worth coming for.
    #[test]
    fn the_more_people_share_a_bin_the_oftener_and_the_less() {
        let state = bin(1.0, 20.0);
        let mut last = 8;
        for people in [1, 4, 5, 7, 9, 14, 28, 200] {
            let rhythm = rhythm(&state, people);
            assert!(rhythm.every_days <= last, "{people}");
            last = rhythm.every_days;
            assert!(rhythm.each >= Grams(75), "{people}: {:?}", rhythm.each);
            let enough = ROUND_DAYS / rhythm.every_days >= people;
            let oftener = rhythm.weekly.0 / 7.0 * f64::from(rhythm.every_days - 1);
            assert!(enough || oftener < 0.075, "{people}");
        }
        assert_eq!(rhythm(&state, 7).every_days, 4);
        assert_eq!(rhythm(&state, 7).rule(), "FREQ=DAILY;INTERVAL=4");
        assert_eq!(rhythm(&state, 28).rule(), "FREQ=DAILY");
    }

    /// Guards against a rhythm that the bin then refuses: fed by it for eight weeks, it takes
    /// every meal, but for the few in a hundred that are held back because a temperature is
    /// known less well the longer ago it was read.
    #[test]
    fn a_bin_takes_what_its_rhythm_says() {
        for (worms, people) in [(0.3, 3), (1.0, 7), (1.0, 28), (5.0, 10)] {
            let h = habitat();
            let mut state = bin(worms, 20.0);
            let rhythm = rhythm(&state, people);
            for meal in 0..56 / rhythm.every_days {
                let at = plus_days(now(), f64::from(meal * rhythm.every_days));
                state.advance(&h, at);
                state.reading = Some(BedReading {
                    bed: Celsius(20.0),
                    at,
                });
                let room = Outlook::cautious(&h, &state).room(&[]);
                assert!(
                    room.amount.kg().0 >= 0.95 * rhythm.each.kg().0,
                    "{worms} kg of worms, meal {meal}: {:?} of {:?}, {}",
                    room.amount,
                    rhythm.each,
                    room.bound_by().code()
                );
                let mass = rhythm.each.kg();
                let nitrogen = Kg(mass.0 * 0.3 * 0.024);
                let composition = Composition {
                    mass,
                    water: Kg(mass.0 * 0.7),
                    carbon: Kg(nitrogen.0 * 15.0),
                    nitrogen,
                };
                state.feed(
                    &h.settings,
                    &Meal {
                        composition,
                        sparing: Kg(0.0),
                        coffee: Kg(0.0),
                    },
                );
            }
        }
    }

    /// Guards young and resting bins against plans for grown ones.
    #[test]
    fn a_young_bin_gets_its_share_and_a_resting_one_waits() {
        let (young, grown) = (rhythm(&bin(1.0, 1.0), 4), rhythm(&bin(1.0, 20.0), 4));
        assert_eq!(young.weekly_by, Limit::Ramp);
        assert!(young.weekly.0 < grown.weekly.0 / 3.0);
        let mut state = bin(1.0, 20.0);
        state.gate = Gate::Held {
            sign: Sign::SourSmell,
            since: now(),
        };
        assert_eq!(advise(&habitat(), &state, 4), Advice::Wait(Limit::Signs));
        let since = plus_days(now(), -8.0);
        state.gate = Gate::Held {
            sign: Sign::SourSmell,
            since,
        };
        assert_eq!(advise(&habitat(), &state, 4), Advice::Wait(Limit::Handful));
        state.gate = Gate::Half { since: now() };
        assert_eq!(rhythm(&state, 4).weekly_by, Limit::Resuming);
    }
}
