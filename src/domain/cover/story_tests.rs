//! Ten thousand random histories of a small site, beside a plain telling of the same.
//!
//! The telling keeps one fact for each place and decides in its own words what may happen; the
//! site is run by calls, rounds and hard rules. Both must always agree.

use super::event::Event;
use super::need::Verdict;
use super::story::{Counts, Fact, Story};
use super::story_world::{World, hours, id};
use crate::rota::Random;
use crate::rota::index::Day;
use chrono::TimeDelta;

const HISTORIES: u64 = 10_000;

/// One more thing happens.
fn happen(world: &mut World, story: &mut Story, random: &mut Random, counts: &mut Counts) {
    let place = random.below(world.places.len());
    let member = random.below(world.members);
    let turn_at = world.places[place].turn_at();
    let ahead = world.now < turn_at;
    let sought = story.facts[place] == Fact::Sought && ahead;
    let covered = match story.facts[place] {
        Fact::Held { by, helps } => (helps && ahead).then_some(by),
        _ => None,
    };
    match random.below(13) {
        0 | 1 => away(world, story, random, member),
        2 => back(world, story, member, counts),
        3..6 => {
            let assigned = random.below(4) == 0;
            let place = if assigned || !world.calls.contains_key(&place) {
                place
            } else {
                let counts_for = world.yes_counts_for(place);
                assert_eq!(counts_for, story.yes_counts_for(world, place));
                if counts_for.is_some_and(|other| other != place) {
                    counts.add("yes to another place of the turn");
                }
                counts_for.unwrap_or(place)
            };
            let sought = story.facts[place] == Fact::Sought && ahead;
            let by = id(member);
            let may_hold = world.may_come(place).contains(&member);
            assert_eq!(
                may_hold && sought,
                sought && story.may(world, place, member)
            );
            let (event, name) = if assigned {
                (Event::Assigned { to: by, may_hold }, "assigned")
            } else {
                (Event::Yes { by, may_hold }, "yes")
            };
            let done = world.happen(place, &event).is_ok();
            assert_eq!(done, sought && may_hold, "{event:?}");
            if done {
                counts.add(name);
                story.comes(world, place, member, !assigned);
            }
        }
        6 => {
            let asked = story.asked.contains(&(place, member));
            let said = world.happen(place, &Event::No { by: id(member) }).is_ok();
            let comes = story.helps(world, place, member);
            assert_eq!(said, asked && ahead && !comes);
            if said {
                counts.add("no");
                story.noes.insert((place, member));
            }
        }
        7 => {
            let back = world.happen(place, &Event::GivenBack).is_ok();
            let time = turn_at - world.now > TimeDelta::hours(24);
            assert_eq!(back, covered.is_some() && time);
            if back {
                counts.add("given back");
                story.seek(world, place);
            }
        }
        8 => {
            let need = world.need(place);
            let left = world.happen(place, &Event::LeftEmpty { need }).is_ok();
            assert_eq!(left, sought && need != Verdict::Needed);
            if left {
                counts.add("left empty");
                story.facts[place] = Fact::Empty;
            }
        }
        9 => {
            let again = world.happen(place, &Event::NeededAgain).is_ok();
            assert_eq!(again, ahead && story.facts[place] == Fact::Empty);
            if again {
                counts.add("needed again");
                world.set_deadline(place, Some(turn_at));
                story.seek(world, place);
            }
        }
        10 => replan(world, story, place, member, counts),
        11 if story.facts[place] == Fact::Free && ahead => {
            let off = i64::try_from(random.below(200)).unwrap() - 120;
            let needed = random.below(3) > 0;
            world.begin(place, needed.then(|| turn_at + TimeDelta::hours(off)));
            story.begin(world, place, None);
            story.seek(world, place);
            counts.add("looked for where nobody was");
        }
        _ => {
            let to = world.now + TimeDelta::hours(1 + i64::try_from(random.below(90)).unwrap());
            let did = world.pass(to);
            story.hear(world, &did, counts);
        }
    }
}

/// Somebody tells that they are away for some days; what they hold then is sought.
fn away(world: &mut World, story: &mut Story, random: &mut Random, member: usize) {
    let today = Day::try_from((world.now - hours(0)).num_days()).unwrap();
    let first = today + Day::try_from(random.below(8)).unwrap();
    let last = first + Day::try_from(random.below(8)).unwrap();
    world.away.push((member, first, last));
    story.away.extend((first..=last).map(|day| (member, day)));
    for place in 0..world.places.len() {
        let one = world.places[place];
        let inside = (first..=last).contains(&one.day) && one.turn_at() > world.now;
        let Fact::Held { by, helps } = story.facts[place] else {
            continue;
        };
        if by != member || !inside {
            continue;
        }
        if helps {
            world.happen(place, &Event::HelperAway).unwrap();
        } else {
            let off = i64::try_from(random.below(200)).unwrap() - 120;
            let needed = random.below(3) > 0;
            world.begin(place, needed.then(|| one.turn_at() + TimeDelta::hours(off)));
            story.begin(world, place, Some(member));
        }
        story.seek(world, place);
    }
}

/// Somebody's absences end, and they have again what nobody took.
fn back(world: &mut World, story: &mut Story, member: usize, counts: &mut Counts) {
    world.away.retain(|(who, ..)| *who != member);
    story.away.retain(|(who, _)| *who != member);
    for place in 0..world.places.len() {
        if story.absent[place] != Some(member) {
            continue;
        }
        let ahead = world.places[place].turn_at() > world.now;
        let free = matches!(story.facts[place], Fact::Sought | Fact::Empty) && ahead;
        // They may have helped out on another turn of that day meanwhile.
        let may_hold = world.may_come(place).contains(&member);
        let came = world.happen(place, &Event::CameBack { may_hold }).is_ok();
        assert_eq!(came, free && story.may(world, place, member));
        if free && !came {
            counts.add("came back too late");
        }
        if came {
            counts.add("came back");
            let by = member;
            story.facts[place] = Fact::Held { by, helps: false };
            story.end_call(world, place);
        }
    }
}

/// A place that is not covered goes to somebody else, or one that nobody held to somebody.
fn replan(world: &mut World, story: &mut Story, place: usize, to: usize, counts: &mut Counts) {
    let ahead = world.places[place].turn_at() > world.now;
    let own = matches!(
        story.facts[place],
        Fact::Free | Fact::Held { helps: false, .. }
    );
    if ahead && own && story.may(world, place, to) {
        world.rota[place] = Some(to);
        story.facts[place] = Fact::Held {
            by: to,
            helps: false,
        };
        counts.add("planned anew");
    }
}

/// Guards places from two holders and from getting lost, people from turns in their own absence
/// and from being begged, and bins from nobody knowing that nobody comes.
#[test]
fn in_ten_thousand_histories_no_place_is_lost_or_held_twice_or_kept_from_the_caretaker() {
    let mut counts = Counts::default();
    for seed in 0..HISTORIES {
        let history = std::panic::catch_unwind(|| {
            let mut counts = Counts::default();
            let mut random = Random::new(seed);
            let mut world = World::invented(&mut random);
            let mut story = Story::of(&world);
            for _ in 0..60 {
                happen(&mut world, &mut story, &mut random, &mut counts);
                let mut did = Vec::new();
                world.settle(&mut did);
                story.hear(&world, &did, &mut counts);
                story.check(&world);
            }
            let end = world.now + TimeDelta::days(40);
            let did = world.pass(end);
            story.hear(&world, &did, &mut counts);
            story.check(&world);
            assert!(!story.facts.contains(&Fact::Sought), "sought for ever");
            counts
        });
        let history = history.unwrap_or_else(|_| panic!("seed {seed}"));
        for (what, times) in history.0 {
            *counts.0.entry(what).or_default() += times;
        }
    }
    println!("seeds 0 to {}: {:?}", HISTORIES - 1, counts.0);
    assert_eq!(counts.0.len(), 14, "{:?}", counts.0);
    assert!(counts.0.values().all(|times| *times > 100));
}
