//! Answers of every kind, as the domain gives them.

use super::{day, now};
use chrono::TimeDelta;
use uuid::Uuid;
use wormrota_domain::food::{Class, find};
use wormrota_domain::ids::{BinId, BookingId};
use wormrota_domain::living_bin::aftermath::{Aftermath, Deed, Trouble};
use wormrota_domain::living_bin::decision::{
    Condition, Decision, LineVerdict, OtherBin, Outcome, Reason, Rule,
};
use wormrota_domain::living_bin::gate::Sign;
use wormrota_domain::living_bin::limit::Limit;
use wormrota_domain::living_bin::outlook::{BestDay, Kept, Leaves, Room};
use wormrota_domain::site::ScrapOutlet;
use wormrota_domain::units::{Celsius, Grams};

pub(super) fn courtyard() -> BinId {
    BinId(Uuid::from_u128(7))
}

pub(super) fn names() -> crate::wording::Names {
    [(courtyard(), "Courtyard".to_owned())]
        .into_iter()
        .collect()
}

fn keys(foods: &[&str]) -> Vec<String> {
    foods.iter().map(|food| (*food).to_owned()).collect()
}

/// One of each rule, with and without room left, with and without food that lies there.
pub(super) fn rules() -> Vec<Reason> {
    let uneaten = Grams(1_850);
    let cases = vec![
        (
            Rule::NeverFood {
                foods: keys(&["meat", "cheese"]),
            },
            0,
        ),
        (Rule::Eating { uneaten }, 0),
        (
            Rule::Eating {
                uneaten: Grams(210),
            },
            437,
        ),
        (
            Rule::Eating {
                uneaten: Grams::ZERO,
            },
            437,
        ),
        (
            Rule::Ramp {
                week: 2,
                percent: 25,
                uneaten: Grams::ZERO,
            },
            160,
        ),
        (
            Rule::Ramp {
                week: 4,
                percent: 50,
                uneaten: Grams(300),
            },
            0,
        ),
        (
            Rule::Area {
                a_week: Grams(1_225),
            },
            240,
        ),
        (Rule::Depth { millimetres: 50 }, 900),
        (Rule::Fill { percent: 90 }, 0),
        (
            Rule::TooHot {
                bed: Celsius(31.4),
                opens_below: Celsius(28.0),
                deadly_above: Celsius(35.0),
            },
            0,
        ),
        (Rule::TooCold { bed: Celsius(-0.3) }, 0),
        (Rule::NoWorms, 0),
        (
            Rule::SparingShare {
                percent: 15,
                foods: keys(&["onion", "garlic", "leek", "orange-peel", "bread"]),
            },
            0,
        ),
        (
            Rule::CoffeeShare {
                percent: 25,
                foods: keys(&["coffee-grounds"]),
            },
            0,
        ),
    ];
    let reason = |(rule, leaves)| Reason {
        rule,
        leaves: Grams(leaves),
        guards: None,
    };
    let cases = cases.into_iter().chain(resting(uneaten));
    let mut reasons: Vec<Reason> = cases.map(reason).collect();
    reasons.push(Reason {
        rule: Rule::Eating { uneaten },
        leaves: Grams(120),
        guards: Some(day(9)),
    });
    reasons.push(Reason {
        rule: Rule::Eating { uneaten },
        leaves: Grams::ZERO,
        guards: Some(day(8)),
    });
    reasons
}

/// Why a bin rests after a sign of overfeeding, and what each rule leaves.
fn resting(uneaten: Grams) -> [(Rule, i64); 4] {
    [
        (
            Rule::Signs {
                sign: Sign::SourSmell,
                since: now() - TimeDelta::days(2),
            },
            0,
        ),
        (
            Rule::Handful {
                sign: Sign::OldFood,
                since: now() - TimeDelta::days(9),
            },
            75,
        ),
        (
            Rule::Resuming {
                percent: 50,
                uneaten,
            },
            300,
        ),
        (
            Rule::Resuming {
                percent: 50,
                uneaten: Grams::ZERO,
            },
            400,
        ),
    ]
}

/// Which of the rules one is. A new rule stops the build here until a sample shows it.
pub(super) fn rule_number(rule: &Rule) -> usize {
    match rule {
        Rule::NeverFood { .. } => 0,
        Rule::Eating { .. } => 1,
        Rule::Ramp { .. } => 2,
        Rule::Area { .. } => 3,
        Rule::Depth { .. } => 4,
        Rule::Fill { .. } => 5,
        Rule::TooHot { .. } => 6,
        Rule::TooCold { .. } => 7,
        Rule::NoWorms => 8,
        Rule::SparingShare { .. } => 9,
        Rule::CoffeeShare { .. } => 10,
        Rule::Signs { .. } => 11,
        Rule::Handful { .. } => 12,
        Rule::Resuming { .. } => 13,
    }
}

pub(super) const RULES: usize = 14;

pub(super) fn conditions() -> Vec<Condition> {
    vec![
        Condition::LeaveOut {
            foods: keys(&["meat", "fish", "cheese", "orange-peel"]),
        },
        Condition::LessOf {
            foods: keys(&["onion", "garlic"]),
            limit: Limit::SparingShare,
            at_most: Grams(118),
        },
        Condition::LessOf {
            foods: keys(&["coffee-grounds", "tea-leaf"]),
            limit: Limit::CoffeeShare,
            at_most: Grams(240),
        },
        Condition::LessOf {
            foods: keys(&["onion"]),
            limit: Limit::SparingShare,
            at_most: Grams::ZERO,
        },
        Condition::StopAt {
            amount: Grams(1_204),
        },
        Condition::CutSmall {
            foods: keys(&["melon-rind", "fig"]),
        },
        Condition::AddBedding { dry: Grams(58) },
        Condition::AddBedding { dry: Grams(3) },
        Condition::AddWater { millilitres: 130 },
        Condition::AddWater { millilitres: 1_210 },
    ]
}

/// As [`rule_number`], for conditions.
pub(super) fn condition_number(condition: &Condition) -> usize {
    match condition {
        Condition::LeaveOut { .. } => 0,
        Condition::LessOf { .. } => 1,
        Condition::StopAt { .. } => 2,
        Condition::CutSmall { .. } => 3,
        Condition::AddBedding { .. } => 4,
        Condition::AddWater { .. } => 5,
    }
}

pub(super) const CONDITIONS: usize = 6;

pub(super) fn deeds() -> Vec<Deed> {
    vec![
        Deed::TakeOutFoods {
            foods: keys(&["meat", "cat-litter"]),
        },
        Deed::TakeOutAmount {
            amount: Grams(1_920),
        },
        Deed::TakeOutAmount { amount: Grams(30) },
        Deed::Cover,
        Deed::Cool,
        Deed::SayWhenOut,
        Deed::AddBedding { dry: Grams(150) },
        Deed::AddWater { millilitres: 400 },
        Deed::FeedNothingUntil { at: Some(day(17)) },
        Deed::FeedNothingUntil { at: None },
    ]
}

/// As [`rule_number`], for deeds.
pub(super) fn deed_number(deed: &Deed) -> usize {
    match deed {
        Deed::TakeOutFoods { .. } => 0,
        Deed::TakeOutAmount { .. } => 1,
        Deed::AddBedding { .. } => 2,
        Deed::AddWater { .. } => 3,
        Deed::FeedNothingUntil { .. } => 4,
        Deed::Cover => 5,
        Deed::Cool => 6,
        Deed::SayWhenOut => 7,
    }
}

pub(super) const DEEDS: usize = 8;

/// Every rule that may bind a room, in the order of declaration.
pub(super) const LIMITS: [Limit; 13] = [
    Limit::Eating,
    Limit::Ramp,
    Limit::Area,
    Limit::Depth,
    Limit::Fill,
    Limit::TooHot,
    Limit::TooCold,
    Limit::Signs,
    Limit::Handful,
    Limit::Resuming,
    Limit::NoWorms,
    Limit::SparingShare,
    Limit::CoffeeShare,
];

/// As [`rule_number`], for limits.
pub(super) fn limit_number(limit: Limit) -> usize {
    match limit {
        Limit::Eating => 0,
        Limit::Ramp => 1,
        Limit::Area => 2,
        Limit::Depth => 3,
        Limit::Fill => 4,
        Limit::TooHot => 5,
        Limit::TooCold => 6,
        Limit::Signs => 7,
        Limit::Handful => 8,
        Limit::Resuming => 9,
        Limit::NoWorms => 10,
        Limit::SparingShare => 11,
        Limit::CoffeeShare => 12,
    }
}

fn answer(outcome: Outcome, room: i64, foods: &[(&str, i64, i64)]) -> Decision {
    let lines: Vec<LineVerdict> = foods
        .iter()
        .map(|(key, offered, allowed)| {
            let item = find(key).unwrap();
            LineVerdict {
                food: item.key.to_owned(),
                offered: Grams(*offered),
                allowed: Grams(*allowed),
                class: item.class,
                why: item.why,
            }
        })
        .collect();
    let may_go_in = lines.iter().filter(|line| line.class != Class::Never);
    Decision {
        outcome,
        at: now(),
        offered: lines.iter().map(|line| line.offered).sum(),
        wanted: may_go_in.map(|line| line.offered).sum(),
        allowed: lines.iter().map(|line| line.allowed).sum(),
        room: Grams(room),
        lines,
        conditions: Vec::new(),
        reasons: Vec::new(),
        fits_at: None,
        most: None,
        other_bins: Vec::new(),
        outlets: Vec::new(),
        temperature_assumed: false,
        model_version: 1,
        settings_revision: "0".to_owned(),
    }
}

fn refused(room: i64, foods: &[(&str, i64)], rules: &[(Rule, i64)]) -> Decision {
    let foods: Vec<_> = foods.iter().map(|(key, grams)| (*key, *grams, 0)).collect();
    let reason = |(rule, leaves): &(Rule, i64)| Reason {
        rule: rule.clone(),
        leaves: Grams(*leaves),
        guards: None,
    };
    Decision {
        reasons: rules.iter().map(reason).collect(),
        ..answer(Outcome::Refused, room, &foods)
    }
}

fn eating(grams: i64) -> Rule {
    Rule::Eating {
        uneaten: Grams(grams),
    }
}

/// Whole answers, each with a name.
pub(super) fn decisions() -> Vec<Sample<Decision>> {
    [yes(), no_room(), closed(), unsuitable()].concat()
}

type Sample<T> = (&'static str, T);

/// Accepted, with and without conditions.
fn yes() -> Vec<Sample<Decision>> {
    vec![
        (
            "an ordinary meal",
            answer(Outcome::Accepted, 900, &[("usual-mix", 400, 400)]),
        ),
        (
            "an ordinary meal on a later day, temperature assumed",
            Decision {
                at: day(10),
                temperature_assumed: true,
                ..answer(Outcome::Accepted, 900, &[("usual-mix", 400, 400)])
            },
        ),
        (
            "yes with bedding, water and small pieces",
            Decision {
                conditions: vec![
                    Condition::CutSmall {
                        foods: keys(&["melon-rind"]),
                    },
                    Condition::AddBedding { dry: Grams(58) },
                    Condition::AddWater { millilitres: 130 },
                ],
                ..answer(Outcome::AcceptedIf, 900, &[("melon-rind", 600, 600)])
            },
        ),
        (
            "yes without the meat",
            Decision {
                conditions: vec![Condition::LeaveOut {
                    foods: keys(&["meat"]),
                }],
                ..answer(
                    Outcome::AcceptedIf,
                    900,
                    &[("usual-mix", 400, 400), ("meat", 100, 0)],
                )
            },
        ),
        (
            "yes with less onion",
            Decision {
                conditions: vec![Condition::LessOf {
                    foods: keys(&["onion"]),
                    limit: Limit::SparingShare,
                    at_most: Grams(118),
                }],
                ..answer(
                    Outcome::AcceptedIf,
                    900,
                    &[("usual-mix", 200, 200), ("onion", 300, 118)],
                )
            },
        ),
        (
            "a guess a little over the line",
            Decision {
                conditions: vec![Condition::StopAt {
                    amount: Grams(1_204),
                }],
                ..answer(Outcome::AcceptedIf, 1_204, &[("usual-mix", 1_320, 1_204)])
            },
        ),
        (
            "a guess a little over the line, with meat in it, on a later day",
            Decision {
                at: day(10),
                conditions: vec![
                    Condition::LeaveOut {
                        foods: keys(&["meat"]),
                    },
                    Condition::StopAt {
                        amount: Grams(1_204),
                    },
                    Condition::AddWater { millilitres: 130 },
                ],
                ..answer(
                    Outcome::AcceptedIf,
                    1_204,
                    &[("usual-mix", 1_320, 1_204), ("meat", 50, 0)],
                )
            },
        ),
    ]
}

/// Too much for now.
fn no_room() -> Vec<Sample<Decision>> {
    vec![
        (
            "too much today, all of it on Thursday, another bin has room",
            Decision {
                fits_at: Some(day(10)),
                other_bins: vec![OtherBin {
                    id: courtyard(),
                    room: Grams(5_140),
                }],
                outlets: ScrapOutlet::ALL.to_vec(),
                temperature_assumed: true,
                ..refused(
                    437,
                    &[("usual-mix", 900)],
                    &[(eating(1_850), 437), (Rule::Depth { millimetres: 50 }, 810)],
                )
            },
        ),
        (
            "a full bin, tomorrow",
            Decision {
                fits_at: Some(day(8)),
                ..refused(0, &[("usual-mix", 200)], &[(eating(1_850), 0)])
            },
        ),
        (
            "too much with meat in it",
            Decision {
                fits_at: Some(day(10)),
                ..refused(
                    437,
                    &[("usual-mix", 900), ("meat", 200)],
                    &[(eating(210), 437)],
                )
            },
        ),
        (
            "room is kept for somebody, asked for tomorrow, an unknown bin",
            Decision {
                at: day(8),
                fits_at: Some(day(12)),
                other_bins: vec![OtherBin {
                    id: BinId(Uuid::from_u128(8)),
                    room: Grams(1_000),
                }],
                reasons: vec![Reason {
                    rule: eating(210),
                    leaves: Grams(300),
                    guards: Some(day(9)),
                }],
                ..refused(300, &[("usual-mix", 900)], &[])
            },
        ),
        (
            "a young bin offered a bucket",
            Decision {
                most: Some(BestDay {
                    at: day(28),
                    amount: Grams(730),
                }),
                ..refused(
                    160,
                    &[("usual-mix", 8_620)],
                    &[(
                        Rule::Ramp {
                            week: 2,
                            percent: 25,
                            uneaten: Grams::ZERO,
                        },
                        160,
                    )],
                )
            },
        ),
        (
            "a bucket, and the bin has most room now",
            refused(
                730,
                &[("usual-mix", 8_620)],
                &[(
                    Rule::Area {
                        a_week: Grams(1_225),
                    },
                    730,
                )],
            ),
        ),
        (
            "nothing now and at most a little later",
            Decision {
                most: Some(BestDay {
                    at: day(20),
                    amount: Grams(730),
                }),
                ..refused(0, &[("usual-mix", 8_620)], &[(eating(1_850), 0)])
            },
        ),
    ]
}

/// Full, hot, cold or empty of worms.
fn closed() -> Vec<Sample<Decision>> {
    let hot = |bed| Rule::TooHot {
        bed: Celsius(bed),
        opens_below: Celsius(28.0),
        deadly_above: Celsius(35.0),
    };
    vec![
        (
            "a nearly full vessel",
            refused(0, &[("usual-mix", 900)], &[(Rule::Fill { percent: 90 }, 0)]),
        ),
        (
            "too hot",
            Decision {
                fits_at: Some(day(12)),
                ..refused(0, &[("usual-mix", 400)], &[(hot(31.4), 0)])
            },
        ),
        (
            "so hot that worms die, temperature assumed",
            Decision {
                temperature_assumed: true,
                ..refused(0, &[("usual-mix", 400)], &[(hot(36.2), 0)])
            },
        ),
        (
            "too cold",
            Decision {
                outlets: vec![ScrapOutlet::GardenHeap],
                ..refused(
                    0,
                    &[("usual-mix", 400)],
                    &[(Rule::TooCold { bed: Celsius(2.0) }, 0)],
                )
            },
        ),
        (
            "a bin that rests",
            Decision {
                most: Some(BestDay {
                    at: day(13),
                    amount: Grams(75),
                }),
                ..refused(
                    0,
                    &[("usual-mix", 400)],
                    &[(
                        Rule::Signs {
                            sign: Sign::SourSmell,
                            since: day(6),
                        },
                        0,
                    )],
                )
            },
        ),
        (
            "no worms",
            refused(0, &[("usual-mix", 400)], &[(Rule::NoWorms, 0)]),
        ),
    ]
}

/// Of what never goes in, or only a little.
fn unsuitable() -> Vec<Sample<Decision>> {
    vec![
        (
            "only meat and fish",
            Decision {
                outlets: ScrapOutlet::ALL.to_vec(),
                ..refused(
                    437,
                    &[("meat", 200), ("fish", 100)],
                    &[(
                        Rule::NeverFood {
                            foods: keys(&["meat", "fish"]),
                        },
                        0,
                    )],
                )
            },
        ),
        (
            "only weeds, and a heap in the garden",
            Decision {
                outlets: ScrapOutlet::ALL.to_vec(),
                ..refused(
                    0,
                    &[("weeds", 400)],
                    &[(
                        Rule::NeverFood {
                            foods: keys(&["weeds"]),
                        },
                        0,
                    )],
                )
            },
        ),
        (
            "only things that never go in, a full bin",
            refused(
                0,
                &[
                    ("meat", 200),
                    ("cheese", 100),
                    ("plastic", 50),
                    ("foil", 10),
                    ("cat-litter", 500),
                ],
                &[(
                    Rule::NeverFood {
                        foods: keys(&["meat", "cheese", "plastic", "foil", "cat-litter"]),
                    },
                    0,
                )],
            ),
        ),
        (
            "only onions, and there are enough of them",
            Decision {
                outlets: vec![ScrapOutlet::OrganicsCollection],
                ..refused(
                    437,
                    &[("onion", 300)],
                    &[(
                        Rule::SparingShare {
                            percent: 15,
                            foods: keys(&["onion"]),
                        },
                        0,
                    )],
                )
            },
        ),
        (
            "only coffee, and no room either",
            refused(
                3,
                &[("coffee-grounds", 300)],
                &[(
                    Rule::CoffeeShare {
                        percent: 25,
                        foods: keys(&["coffee-grounds"]),
                    },
                    0,
                )],
            ),
        ),
        (
            "a refusal that lost its reasons",
            refused(0, &[("usual-mix", 400)], &[]),
        ),
    ]
}

/// Leaves out the second of a kind: one feeding gets one of each.
fn told_at_once(deed: &Deed) -> bool {
    !matches!(deed, Deed::FeedNothingUntil { at: None })
        && *deed != Deed::TakeOutAmount { amount: Grams(30) }
}

/// What came of feedings that were told afterwards, each with a name.
pub(super) fn aftermaths() -> Vec<Sample<Aftermath>> {
    let told = |recorded, over_by, deeds: Vec<Deed>| Aftermath {
        recorded: Grams(recorded),
        room_before: Grams(900),
        over_by: Grams(over_by),
        troubles: if over_by > 0 || deeds.len() > 1 {
            vec![Trouble::OverLimit]
        } else {
            vec![]
        },
        deeds,
    };
    vec![
        ("a modest feeding", told(200, 0, vec![Deed::Cover])),
        (
            "far too much with meat and cat litter",
            told(
                3_300,
                2_400,
                deeds().into_iter().filter(told_at_once).collect(),
            ),
        ),
        (
            "a little over",
            told(
                950,
                50,
                vec![Deed::Cover, Deed::FeedNothingUntil { at: None }],
            ),
        ),
        (
            "cheese in a bin with room",
            told(
                300,
                0,
                vec![
                    Deed::TakeOutFoods {
                        foods: keys(&["cheese"]),
                    },
                    Deed::Cover,
                ],
            ),
        ),
    ]
}

/// A room of so many grams that this rule binds, with so much kept.
pub(super) fn room(amount: i64, limit: Limit, kept: i64) -> Room {
    let kept = (kept > 0).then_some(Kept {
        id: BookingId(Uuid::from_u128(3)),
        due_at: day(9),
        amount: Grams(kept),
    });
    Room {
        amount: Grams(amount),
        rules: vec![Leaves {
            limit,
            leaves: Grams(amount),
            at: now(),
        }],
        kept: kept.into_iter().collect(),
    }
}
