//! The decision on whole offers, as people bring them.

use super::aftermath::{Deed, Told, Trouble};
use super::check::{Check, Left, Smell};
use super::climate::{BedReading, Climate};
use super::decide::Asked;
use super::decision::{Condition, Decision, OtherBin, Outcome, Rule};
use super::event::Event;
use super::habitat::{BinShape, Habitat};
use super::limit::Limit;
use super::meal::{allowed_meal, meal_of};
use super::outlook::{Booking, Outlook};
use super::settings::ModelSettings;
use super::state::BinState;
use super::time::plus_days;
use crate::food::{Offer, OfferLine, SiteFoodList, find};
use crate::ids::{BinId, BookingId};
use crate::site::Spot;
use crate::units::{Celsius, Fraction, Grams, Kg, Litres, SquareMetres};
use chrono::{DateTime, TimeZone, Utc};
use uuid::Uuid;

fn now() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 9, 7, 17, 30, 0).unwrap()
}

fn habitat() -> Habitat {
    let shape = BinShape {
        surface: SquareMetres(0.25),
        volume: Litres(60.0),
        spot: Spot::Indoors,
    };
    Habitat {
        settings: ModelSettings::default(),
        shape,
        climate: Climate::default(),
    }
}

/// A bin with a kilogram of worms at 20 degrees, stocked so many weeks ago, nothing uneaten
/// and plenty of bedding.
fn bin(weeks: f64) -> BinState {
    let h = habitat();
    let mut state = BinState::stocked(
        &h.settings,
        Kg(1.0),
        Kg(4.0),
        plus_days(now(), -7.0 * weeks),
    );
    state.at = now();
    state.reading = Some(BedReading {
        bed: Celsius(20.0),
        at: now(),
    });
    state
}

fn offer_with(spread: f64, lines: &[(&str, i64)]) -> Offer {
    let line = |(key, grams): &(&str, i64)| OfferLine {
        item: find(key).unwrap(),
        amount: Grams(*grams),
        spread: Fraction(spread),
    };
    Offer::parse(lines.iter().map(line).collect()).unwrap()
}

fn weighed(lines: &[(&str, i64)]) -> Offer {
    offer_with(0.0, lines)
}

fn days() -> Vec<DateTime<Utc>> {
    (1..=28)
        .map(|day| plus_days(now(), f64::from(day)))
        .collect()
}

fn ask(state: &BinState, offer: &Offer) -> Decision {
    ask_with(state, offer, &SiteFoodList::default(), &[])
}

fn ask_with(
    state: &BinState,
    offer: &Offer,
    list: &SiteFoodList,
    bookings: &[Booking],
) -> Decision {
    let (habitat, moments) = (habitat(), days());
    let other = OtherBin {
        id: BinId(Uuid::from_u128(7)),
        room: Grams(5000),
    };
    Asked {
        habitat: &habitat,
        state,
        bookings,
        at: now(),
        offer,
        list,
        moments: &moments,
    }
    .decide()
    .sent_elsewhere(&[other], &[])
}

fn fed(state: &BinState, offer: &Offer) -> BinState {
    let lines = offer.lines().iter().map(|line| (line.item, line.amount));
    let mut state = state.clone();
    state.feed(
        &habitat().settings,
        &meal_of(lines, &SiteFoodList::default()),
    );
    state
}

fn room(state: &BinState) -> Grams {
    Outlook::cautious(&habitat(), state).room(&[]).amount
}

fn codes(decision: &Decision) -> Vec<String> {
    let code = |r| {
        serde_json::to_value(r).unwrap()["code"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    decision.reasons.iter().map(code).collect()
}

#[test]
fn an_ordinary_meal_is_accepted_in_full() {
    let decision = ask(&bin(30.0), &weighed(&[("usual-mix", 400)]));
    assert_eq!(decision.outcome, Outcome::Accepted, "{decision:?}");
    assert_eq!(decision.allowed, Grams(400));
    assert!(decision.reasons.is_empty() && decision.fits_at.is_none());
}

#[test]
fn too_much_is_refused_with_what_fits_and_when_and_where_else() {
    let state = bin(30.0);
    let room = room(&state);
    let mut full = state.clone();
    full.feed(
        &habitat().settings,
        &allowed_meal(
            &ask(&state, &weighed(&[("usual-mix", room.0)])),
            &SiteFoodList::default(),
        ),
    );
    let decision = ask(&full, &weighed(&[("usual-mix", 500)]));
    assert_eq!(decision.outcome, Outcome::Refused);
    assert_eq!((decision.allowed, decision.room), (Grams(0), Grams(0)));
    assert!(
        codes(&decision).contains(&"eating".to_owned()),
        "{decision:?}"
    );
    let at = decision.fits_at.expect("a day in the next four weeks");
    let h = habitat();
    let outlook = Outlook::cautious(&h, &full);
    assert!(outlook.room_at(at, &[]) >= Grams(500));
    assert!(
        outlook.room_at(plus_days(at, -1.0), &[]) < Grams(500),
        "not the first day"
    );
    assert_eq!(decision.other_bins.len(), 1);
}

#[test]
fn more_than_ever_fits_is_refused_with_the_best_day() {
    let decision = ask(&bin(30.0), &weighed(&[("usual-mix", 9_000)]));
    assert_eq!(decision.outcome, Outcome::Refused);
    assert!(decision.fits_at.is_none());
    assert!(decision.most.unwrap().amount >= decision.room);
    assert!(
        decision.other_bins.is_empty(),
        "5 kg of room are not enough for 9 kg"
    );
}

/// Common practice, no source: meat, dairy and the like are kept out.
#[test]
fn a_never_food_alone_is_refused_and_the_rest_of_an_offer_is_decided() {
    let alone = ask(&bin(30.0), &weighed(&[("meat", 200)]));
    assert_eq!(codes(&alone), ["never_food"]);
    let mixed = ask(&bin(30.0), &weighed(&[("meat", 200), ("usual-mix", 300)]));
    assert_eq!(mixed.outcome, Outcome::AcceptedIf);
    assert_eq!(mixed.allowed, Grams(300));
    assert!(mixed.conditions.contains(&Condition::LeaveOut {
        foods: vec!["meat".into()]
    }));
}

#[test]
fn a_guess_over_by_less_than_its_own_error_is_told_to_stop_at_the_line() {
    let room = room(&bin(30.0));
    let over = Grams(room.0 * 110 / 100);
    let guessed = ask(&bin(30.0), &offer_with(0.2, &[("usual-mix", over.0)]));
    assert_eq!(guessed.outcome, Outcome::AcceptedIf);
    assert_eq!(guessed.allowed, room);
    assert!(
        guessed
            .conditions
            .contains(&Condition::StopAt { amount: room })
    );
    let on_scales = ask(&bin(30.0), &offer_with(0.02, &[("usual-mix", over.0)]));
    assert_eq!(on_scales.outcome, Outcome::Refused);
}

#[test]
fn the_sparing_list_is_cut_to_its_share_and_the_rest_goes_in() {
    let decision = ask(&bin(30.0), &weighed(&[("onion", 300), ("usual-mix", 200)]));
    let cut = decision.conditions.iter().find_map(|c| match c {
        Condition::LessOf {
            limit: Limit::SparingShare,
            at_most,
            ..
        } => Some(*at_most),
        _ => None,
    });
    let at_most = cut.expect("onion is sparing");
    assert!(at_most > Grams::ZERO && at_most < Grams(300));
    assert!(decision.allowed > Grams(200) && decision.allowed <= Grams(200) + at_most);
}

#[test]
fn a_school_may_keep_citrus_out() {
    let decision = ask_with(
        &bin(30.0),
        &weighed(&[("orange-peel", 50)]),
        &SiteFoodList::school(),
        &[],
    );
    assert_eq!(codes(&decision), ["never_food"]);
}

/// Common practice, no source: a couple of handfuls at first.
#[test]
fn a_new_bin_takes_a_couple_of_handfuls_and_says_so() {
    let new = bin(0.5);
    let handful = 75;
    let few = room(&new).0 / handful;
    assert!((1..=6).contains(&few), "{few} handfuls");
    let decision = ask(&new, &weighed(&[("usual-mix", 900)]));
    let ramp = decision.reasons.iter().any(|r| {
        matches!(
            r.rule,
            Rule::Ramp {
                week: 1,
                percent: 25,
                ..
            }
        )
    });
    assert!(ramp, "{decision:?}");
}

/// Limit of Earthworm Ecology, table 18.3: nothing above 30 degrees Celsius.
#[test]
fn a_hot_bin_takes_nothing() {
    let mut hot = bin(30.0);
    hot.vitals.too_hot = true;
    hot.reading = Some(BedReading {
        bed: Celsius(31.0),
        at: now(),
    });
    let decision = ask(&hot, &weighed(&[("usual-mix", 10)]));
    assert_eq!(
        codes(&decision).first().map(String::as_str),
        Some("too_hot")
    );
}

/// Limit of Earthworm Ecology, table 18.3: nothing below 4 degrees Celsius.
#[test]
fn a_cold_bin_takes_nothing() {
    let mut cold = bin(30.0);
    cold.reading = Some(BedReading {
        bed: Celsius(2.0),
        at: now(),
    });
    let decision = ask(&cold, &weighed(&[("usual-mix", 10)]));
    assert_eq!(
        codes(&decision).first().map(String::as_str),
        Some("too_cold")
    );
}

#[test]
fn room_promised_to_somebody_is_not_given_away() {
    let state = bin(30.0);
    let all = room(&state);
    let promised = Booking {
        id: BookingId(Uuid::from_u128(1)),
        due_at: plus_days(now(), 0.5),
        promised: all,
    };
    let decision = ask_with(
        &state,
        &weighed(&[("usual-mix", all.0 / 2)]),
        &SiteFoodList::default(),
        &[promised],
    );
    assert_eq!(decision.outcome, Outcome::Refused);
    assert!(
        decision
            .reasons
            .iter()
            .any(|r| r.guards == Some(promised.due_at))
    );
}

#[test]
fn food_poor_in_carbon_asks_for_bedding_and_water_once_the_bedding_is_used_up() {
    let mut worn = bin(60.0);
    worn.bedding = Kg(0.0);
    let decision = ask(&worn, &weighed(&[("usual-mix", 500)]));
    let asks = |wanted: fn(&Condition) -> bool| decision.conditions.iter().any(wanted);
    assert!(
        asks(|c| matches!(c, Condition::AddBedding { dry } if dry.0 > 40)),
        "{decision:?}"
    );
    assert!(asks(
        |c| matches!(c, Condition::AddWater { millilitres } if *millilitres > 100)
    ));
}

#[test]
fn what_is_in_already_is_recorded_over_the_limit_and_says_what_to_do() {
    let (habitat, state, moments) = (habitat(), bin(30.0), days());
    let offer = offer_with(0.2, &[("usual-mix", 3_000), ("meat", 300)]);
    let told = Told {
        habitat: &habitat,
        before: &state,
        now: &fed(&state, &offer),
        bookings: &[],
        offer: &offer,
        bedding: Grams::ZERO,
        list: &SiteFoodList::default(),
        moments: &moments,
    };
    let after = told.aftermath();
    assert_eq!(after.recorded, Grams(3_300));
    assert_eq!(after.over_by, Grams(3_300).less(room(&state)));
    assert_eq!(after.troubles, [Trouble::OverLimit, Trouble::NeverFood]);
    assert!(matches!(&after.deeds[0], Deed::TakeOutFoods { foods } if foods == &["meat"]));
    assert!(
        after
            .deeds
            .iter()
            .any(|d| matches!(d, Deed::TakeOutAmount { .. }))
    );
    assert!(
        after
            .deeds
            .iter()
            .any(|d| matches!(d, Deed::FeedNothingUntil { .. }))
    );
}

#[test]
fn a_modest_feeding_told_afterwards_is_simply_fine() {
    let (habitat, state, moments) = (habitat(), bin(30.0), days());
    let offer = offer_with(0.2, &[("usual-mix", 200)]);
    let told = Told {
        habitat: &habitat,
        before: &state,
        now: &fed(&state, &offer),
        bookings: &[],
        offer: &offer,
        bedding: Grams::ZERO,
        list: &SiteFoodList::default(),
        moments: &moments,
    };
    let after = told.aftermath();
    assert_eq!((after.over_by, after.troubles), (Grams::ZERO, vec![]));
    assert_eq!(after.deeds, [Deed::Cover]);
}

/// A decision is kept for ever: it must come back from the store as it was.
#[test]
fn a_decision_comes_back_from_json_as_it_was() {
    for offer in [
        weighed(&[("usual-mix", 9_000)]),
        weighed(&[("meat", 9), ("onion", 400)]),
    ] {
        let decision = ask(&bin(30.0), &offer);
        let text = serde_json::to_string(&decision).unwrap();
        assert_eq!(serde_json::from_str::<Decision>(&text).unwrap(), decision);
    }
}

/// Nothing that anybody says makes food vanish faster than the fastest worms could eat it.
#[test]
fn a_careless_look_wins_no_room_and_teaches_nothing() {
    let h = habitat();
    let offer = weighed(&[("usual-mix", 600)]);
    let full = fed(&bin(30.0), &offer);
    let check = Check {
        left: Some(Left::Little),
        smell: Some(Smell::Earthy),
        ..Check::default()
    };
    let looked = Event::Checked {
        check,
        by_visitor: false,
    };
    let after = looked.apply(&h, Some(full.clone()), now()).unwrap();
    assert_eq!(room(&after), room(&full));
    assert_eq!(
        (after.lessons, after.speed.mean.to_bits()),
        (0, full.speed.mean.to_bits())
    );
}
