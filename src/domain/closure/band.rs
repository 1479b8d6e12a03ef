//! What a plan comes to where the bed is colder or warmer, or the worms slower or faster, than
//! expected.

use super::ground::Ground;
use super::standing::ShareBand;
use crate::living_bin::habitat::Habitat;
use crate::living_bin::state::BinState;
use crate::units::{Celsius, Fraction};

/// The share of the worms at each moment from the last turn on, with its band.
pub(crate) fn shares(ground: &Ground, visits: &[usize]) -> Vec<ShareBand> {
    let s = &ground.habitat.settings;
    let colder = s.caution * s.assumed_temperature_sd;
    let left = &ground.left;
    let speed = |deviations: f64| {
        let mut state = left.clone();
        state.speed.mean = left.speed.quantile(s, left.at, deviations, 0.0);
        state
    };
    let edges = [
        course(&warmed(ground, -colder), left, visits),
        course(&warmed(ground, colder), left, visits),
        course(ground, &speed(-s.caution), visits),
        course(ground, &speed(s.caution), visits),
    ];
    let middle = course(ground, left, visits);
    let band = |(at, share): (usize, f64)| {
        let others = edges.iter().filter_map(|edge| edge.get(at).copied());
        let (low, high) = others.fold((share, share), |(low, high), other| {
            (libm::fmin(low, other), libm::fmax(high, other))
        });
        ShareBand {
            low: Fraction(low),
            middle: Fraction(share),
            high: Fraction(high),
        }
    };
    middle.into_iter().enumerate().map(band).collect()
}

/// The share at each moment. At a visit as much goes in as the rules let in then, whatever was
/// planned: people ask before they feed.
fn course(ground: &Ground, from: &BinState, visits: &[usize]) -> Vec<f64> {
    let mut shares = vec![1.0];
    ground.run(from, visits, |_, state| {
        shares.push(ground.share(state));
        true
    });
    shares
}

/// The same with a bed that is so much warmer than assumed. A reading holds at first and fades
/// towards it, as it does towards what is assumed.
fn warmed(ground: &Ground, by: f64) -> Ground {
    let mut ground = ground.clone();
    let Habitat {
        settings, climate, ..
    } = &mut ground.habitat;
    climate.0.iter_mut().for_each(|month| *month += by);
    for follows in [
        &mut settings.bed_indoors,
        &mut settings.bed_sheltered,
        &mut settings.bed_outdoors,
    ] {
        follows.base += Celsius(by);
    }
    ground
}
