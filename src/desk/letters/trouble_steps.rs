//! What to do about a trouble of a bin, step by step (common practice, no source).

use super::bin_trouble_words::Case;
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::care::{Care, care_for};
use wormrota_domain::living_bin::outlook::WORTH_BRINGING;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Celsius;

/// Above it worms die (common practice, no source).
const LETHAL: Celsius = Celsius(35.0);

/// The steps, the first to be done first.
pub(super) fn steps(case: &Case) -> Vec<Phrase> {
    let plain = |codes: &[&'static str]| -> Vec<Phrase> {
        codes.iter().map(|code| Phrase::of(code)).collect()
    };
    match case.trouble {
        Trouble::TooHot => {
            let deadly = Phrase::of("letter-step-deadly").with("lethal", Value::Degrees(LETHAL));
            let rest = plain(&[
                "letter-step-hot",
                "letter-step-nothing-in",
                "letter-step-shade",
                "letter-step-ice",
                "letter-step-measure",
            ]);
            [vec![deadly], rest].concat()
        }
        Trouble::TooCold => plain(&[
            "letter-step-nothing-in",
            "letter-step-bring-in",
            "letter-step-measure",
        ]),
        Trouble::OverLimit => plain(&[
            "care-stop_feeding",
            "care-dry_bedding",
            "letter-step-look-again",
        ]),
        Trouble::NeverFood => plain(&["letter-step-take-out", "deed-cover", "letter-step-remind"]),
        Trouble::Rests => {
            // Nobody has looked for a week, and the forecast says so too.
            let handful = case.room >= WORTH_BRINGING;
            let food = if handful {
                Phrase::of("letter-step-handful").with("room", Value::Scraps(case.room))
            } else {
                Phrase::of("care-stop_feeding")
            };
            let rest = plain(&["care-dry_bedding", "letter-step-look-clear"]);
            [vec![food], rest].concat()
        }
        Trouble::TroubleSeen => {
            let seen = case.seen.iter();
            let mut steps: Vec<Phrase> = seen
                .flat_map(care_for)
                .map(|care| Phrase::of(of_care(care)))
                .collect();
            steps.push(Phrase::of("letter-step-look-again"));
            steps
        }
        Trouble::Hungry => vec![
            Phrase::of("letter-step-small-meal").with("room", Value::AtMost(case.room)),
            Phrase::of("letter-step-turns"),
        ],
        Trouble::DryingOut => plain(&["care-moisten", "letter-step-look-write"]),
        Trouble::TooWet => plain(&[
            "care-dry_bedding",
            "care-drain_liquid",
            "letter-step-dry-food",
            "letter-step-look-again",
        ]),
        Trouble::NoWorms => plain(&["letter-step-find-worms", "letter-step-restock"]),
    }
}

const fn of_care(care: Care) -> &'static str {
    match care {
        Care::StopFeeding => "care-stop_feeding",
        Care::DryBedding => "care-dry_bedding",
        Care::Moisten => "care-moisten",
        Care::DrainLiquid => "care-drain_liquid",
        Care::BuryAndCover => "care-bury_and_cover",
        Care::AntBarrier => "care-ant_barrier",
        Care::WormsWantOut => "care-worms_want_out",
        // Residents are told to ask a caretaker, who is the reader here.
        Care::RodentsOut => "letter-step-rodents",
    }
}
