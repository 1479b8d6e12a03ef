//! The search against all sets of days, each tried from the start.

use super::ground::Ground;
use super::search::fewest_visits;
use super::trials::Trial;

const CASES: u64 = 600;

/// Whether a set of visits keeps everything, told from the rules and not by the search's own
/// walk: the bin goes from day to day, and somebody comes on the days of the set.
fn keeps_everything(ground: &Ground, visits: &[usize]) -> bool {
    let damp = ground.habitat.settings.unattended_days;
    let worms = ground.left.vitals.worms_kg;
    let mut bin = ground.left.clone();
    for (day, at) in ground.moments.iter().enumerate().skip(1) {
        bin = bin.advanced(&ground.habitat, *at);
        bin.moisture =
            super::drying::moisture_after(&ground.habitat.settings, bin.vitals.unattended);
        let last = day + 1 == ground.moments.len();
        let grace = if last {
            ground.settings.first_turn_grace_days
        } else {
            0.0
        };
        let somebody = last || visits.contains(&day);
        if bin.vitals.worms_kg / worms < ground.settings.wanted_share.0
            || (somebody && bin.vitals.unattended > damp + grace)
        {
            return false;
        }
        if visits.contains(&day) {
            ground.visit(&mut bin);
        }
    }
    true
}

/// All sets of days, the fewest first, and of as many the latest first.
fn sets(possible: &[usize]) -> Vec<Vec<usize>> {
    let mut sets: Vec<Vec<usize>> = (0_u32..1 << possible.len())
        .map(|bits| {
            let of = |i: &usize| bits & (1 << i) != 0;
            let chosen = (0..possible.len()).filter(of);
            chosen.map(|i| possible[i]).collect()
        })
        .collect();
    sets.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| b.cmp(a)));
    sets
}

/// Protects the claim that no plan has fewer visits, that each is as late as can be, and that
/// there is none where the search finds none. Prints the seed of a case that fails.
#[test]
fn the_search_finds_what_trying_all_sets_of_days_finds() {
    let mut by_visits = [0_u32; 9];
    for seed in 0..CASES {
        let trial = Trial::any(seed);
        let ground = Ground::of(&trial.closing());
        let possible = ground.possible();
        let best = sets(&possible)
            .into_iter()
            .find(|visits| keeps_everything(&ground, visits));
        let found = fewest_visits(&ground);
        assert!(found.proven, "seed {seed}: given up");
        assert_eq!(found.visits.ok(), best, "seed {seed}");
        by_visits[best.map_or(8, |visits| visits.len())] += 1;
    }
    println!("{CASES} closures by visits needed, the last without a plan: {by_visits:?}");
    assert!(by_visits[0] > 50 && by_visits[8] > 50, "too much alike");
    assert!(by_visits[1] > 30 && by_visits[2] > 10, "too much alike");
    assert!(by_visits[3..8].iter().sum::<u32>() > 5, "too much alike");
}

/// Protects what was agreed on: days on which somebody comes for sure are in the plan, and no
/// plan with them has fewer visits. Prints the seed of a case that fails.
#[test]
fn certain_visits_stay_in_the_plan_and_the_rest_is_the_fewest() {
    let (mut more, mut none) = (0_u32, 0_u32);
    for seed in 0..CASES {
        let mut trial = Trial::any(seed);
        let could = trial.days.iter_mut().filter(|day| day.can_visit);
        for (nth, day) in could.enumerate() {
            day.comes = (seed >> (nth % 3)) % 3 == 0;
        }
        let ground = Ground::of(&trial.closing());
        let certain = ground.certain();
        let best = sets(&ground.possible()).into_iter().find(|visits| {
            certain.iter().all(|at| visits.contains(at)) && keeps_everything(&ground, visits)
        });
        let found = fewest_visits(&ground);
        assert!(found.proven, "seed {seed}: given up");
        more += u32::from(best.as_ref().is_some_and(|best| best.len() > certain.len()));
        none += u32::from(best.is_none() && !certain.is_empty());
        assert_eq!(found.visits.ok(), best, "seed {seed}");
    }
    println!("{CASES} closures with certain visits: {more} need more, {none} have no plan");
    assert!(more > 10 && none > 10, "too much alike");
}
