//! Turns that are shared out: in order, by the planner, in pairs, and by several at once.

use super::{School, TODAY};
use crate::frame::{App, all_at_once, id_of, settings};
use chrono::{Days, NaiveDate};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use uuid::Uuid;

/// Numbers that look like chance and are the same each time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = (self.0)
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

/// Protects the promise to every pupil: each has a turn before anybody has two, over a term in
/// which some are away, shared out in pieces; and who was away comes first when back, once.
#[tokio::test]
async fn everybody_has_a_turn_once_before_anybody_has_two() {
    let seed = 20_260_610;
    println!("seed {seed}");
    let mut dice = Dice(seed);
    let school = School::open("Ana\nBo\nCy\nDee\nEli\nFay\nGus").await;
    let first: NaiveDate = TODAY.parse().unwrap();
    let days: Vec<NaiveDate> = (0..30_u64).map(|n| first + Days::new(n * 3)).collect();
    for day in &days {
        school.turn(&day.to_string(), 2).await;
    }
    // Everybody but the last two is ill now and then.
    let mut away = BTreeSet::new();
    for day in &days {
        for pupil in &school.pupils[..5] {
            if dice.below(6) == 0 {
                school.away(*pupil, &day.to_string()).await;
                away.insert((*pupil, *day));
            }
        }
    }
    assert!(away.len() > 10, "{away:?}");
    let day = |at: usize| days[at].to_string();
    for (from, to) in [(0, 9), (10, 10), (11, 29)] {
        let shared = school.share_out(&day(from), &day(to), "in_order").await;
        assert_eq!(shared["still_free"], 0);
        assert_eq!(shared["filled"], 2 * (to - from + 1));
    }
    let on = school.on(&day(0), &day(29)).await;

    // The same by a list that is written anew after each turn.
    let mut line = school.pupils.clone();
    let mut had: BTreeMap<Uuid, usize> = BTreeMap::new();
    for (day, pupils) in &on {
        let there = line.iter().filter(|pupil| !away.contains(&(**pupil, *day)));
        let next: Vec<Uuid> = there.take(2).copied().collect();
        assert_eq!(*pupils, next, "{day}");
        line.retain(|pupil| !next.contains(pupil));
        line.extend(&next);
        for pupil in next {
            *had.entry(pupil).or_default() += 1;
        }
        // Nobody has two more than somebody who was there all along.
        let always = school.pupils[5..]
            .iter()
            .map(|pupil| had.get(pupil).copied().unwrap_or(0));
        let least = always.min().unwrap();
        assert!(
            had.values().all(|turns| *turns <= least + 1),
            "{day}: {had:?}"
        );
    }
    assert_eq!(had.len(), 7);
    assert_eq!(had.values().sum::<usize>(), 60);

    // Sharing out again changes nothing.
    let again = school.share_out(&day(0), &day(29), "in_order").await;
    assert_eq!(
        (&again["filled"], &again["still_free"]),
        (&json!(0), &json!(0))
    );
    assert_eq!(school.on(&day(0), &day(29)).await, on);
}

/// Protects who had turns by hand from having more of them by the planner.
#[tokio::test]
async fn the_planner_evens_out_what_pupils_had() {
    let school = School::open("Ana\nBo\nCy\nDee").await;
    let mut by_hand = Vec::new();
    for n in 1..=10 {
        let (_, places) = school.turn(&format!("2026-06-{}", 10 + n), 2).await;
        by_hand.push(places[0]);
    }
    for place in &by_hand[..3] {
        school.put(*place, Some(school.pupils[0])).await.ok(200);
    }
    school.away(school.pupils[1], "2026-06-20").await;
    let shared = school
        .share_out("2026-06-11", "2026-06-20", "planner")
        .await;
    assert_eq!(
        (&shared["filled"], &shared["still_free"]),
        (&json!(17), &json!(0))
    );
    let mut had: BTreeMap<Uuid, usize> = BTreeMap::new();
    for (day, pupils) in school.on("2026-06-11", "2026-06-20").await {
        let once: BTreeSet<&Uuid> = pupils.iter().collect();
        assert_eq!(once.len(), 2, "{day}");
        let ill = day.to_string() == "2026-06-20";
        assert!(!(ill && pupils.contains(&school.pupils[1])), "{pupils:?}");
        for pupil in pupils {
            *had.entry(pupil).or_default() += 1;
        }
    }
    assert!(had.values().all(|turns| *turns == 5), "{had:?}");
    for place in &by_hand[..3] {
        assert_eq!(school.holder(*place).await, Some(school.pupils[0]));
    }
}

/// Protects whoever joins in the middle of the year from making up for what was before.
#[tokio::test]
async fn who_comes_later_owes_nothing_for_the_time_before() {
    let school = School::open("Ana\nBo").await;
    for n in 10..=15 {
        school.turn(&format!("2026-06-{n}"), 1).await;
    }
    school.share_out(TODAY, "2026-06-15", "in_order").await;
    school.app.set_clock("2026-06-16T17:00:00Z").await;
    let path = school.at(&format!("/classes/{}/pupils", school.class));
    let added = json!({ "labels": "Cy" });
    let class = school
        .app
        .post(&school.teacher, &path, &added)
        .await
        .ok(201);
    let cy = id_of(&class["pupils"][2]);
    for n in 17..=28 {
        school.turn(&format!("2026-06-{n}"), 1).await;
    }
    let turns_of_cy = |on: Vec<(NaiveDate, Vec<Uuid>)>| -> usize {
        on.iter().filter(|(_, pupils)| pupils.contains(&cy)).count()
    };
    school
        .share_out("2026-06-17", "2026-06-22", "in_order")
        .await;
    assert_eq!(turns_of_cy(school.on("2026-06-17", "2026-06-22").await), 2);
    school
        .share_out("2026-06-23", "2026-06-28", "planner")
        .await;
    assert_eq!(turns_of_cy(school.on("2026-06-23", "2026-06-28").await), 2);
}

/// Protects two who only come together.
#[tokio::test]
async fn pairs_stay_together_where_turns_take_two() {
    let school = School::open("Ana\nBo\nCy\nDee\nEli").await;
    let [ana, bo, cy, ..] = school.pupils[..] else {
        panic!("five pupils")
    };
    for n in 11..=19 {
        school.turn(&format!("2026-06-{n}"), 1 + n % 2).await;
    }
    let ask = async |pairs: Value, by: &str, to: &str| {
        let body = json!({ "from": "2026-06-11", "to": to, "by": by, "pairs": pairs });
        school
            .app
            .post(&school.teacher, &school.duty(""), &body)
            .await
    };
    let till = "2026-06-19";
    for (pairs, by, to, pointer) in [
        (json!([[ana, cy]]), "planner", till, "/pairs"),
        (json!([[ana, ana]]), "in_order", till, "/pairs/0"),
        (json!([[ana, bo], [bo, cy]]), "in_order", till, "/pairs/1"),
        (json!([[ana, Uuid::now_v7()]]), "in_order", till, "/pairs/0"),
    ] {
        ask(pairs, by, to).await.conflicting_fields(&[pointer]);
    }
    let too_many = vec![json!([ana, bo]); 31];
    ask(json!(too_many), "in_order", till)
        .await
        .wrong_fields(&["/pairs"]);
    ask(json!([[ana, cy]]), "in_order", till).await.ok(200);
    let mut together = 0;
    for (day, pupils) in school.on("2026-06-11", till).await {
        assert_eq!(
            pupils.contains(&ana),
            pupils.contains(&cy),
            "{day}: {pupils:?}"
        );
        together += usize::from(pupils.contains(&ana));
    }
    assert!(together >= 2, "{together}");
}

/// Protects days that have passed or are nobody's yet.
#[tokio::test]
async fn only_days_to_come_of_the_class_are_shared_out() {
    let school = School::open("Ana").await;
    for (from, to, pointers) in [
        ("2026-06-09", "2026-06-12", vec!["/from"]),
        ("2026-06-12", "2026-06-11", vec!["/to"]),
        ("2026-06-12", "2027-07-01", vec!["/to"]),
    ] {
        let body = json!({ "from": from, "to": to, "by": "in_order" });
        let answer = school
            .app
            .post(&school.teacher, &school.duty(""), &body)
            .await;
        answer.conflicting_fields(&pointers);
    }
    let path = school.duty("?from=2026-06-10&to=2027-07-20");
    let answer = school.app.get(&school.teacher, &path).await;
    answer.conflicting_fields(&["/to"]);
    let path = school.duty("?on=2026-06-10");
    let answer = school.app.get(&school.teacher, &path).await;
    answer.problem(400, "bad_query");
}

/// Protects places from being given twice when two teachers work at once, on two copies.
#[tokio::test]
async fn teachers_who_work_at_once_put_nobody_on_a_turn_twice() {
    let school = Arc::new(School::open("Ana\nBo\nCy\nDee\nEli").await);
    let copy = Arc::new(App::on(school.app.url.clone(), settings()));
    let mut places = Vec::new();
    for n in 11..=20 {
        places.extend(school.turn(&format!("2026-06-{n}"), 2).await.1);
    }
    school.away(school.pupils[0], "2026-06-11").await;
    school.away(school.pupils[1], "2026-06-12").await;
    let answers = all_at_once((0..24_usize).map(|at| {
        let (school, copy) = (Arc::clone(&school), Arc::clone(&copy));
        let places = places.clone();
        async move {
            let app = [&school.app, &*copy][at % 2];
            let who = [&school.teacher, &school.ada][at / 2 % 2];
            let place = places[at % 4];
            let answer = match at % 3 {
                0 => {
                    let by = ["in_order", "planner"][at / 3 % 2];
                    let body = json!({ "from": TODAY, "to": "2026-06-20", "by": by });
                    app.post(who, &school.duty(""), &body).await
                }
                1 => {
                    let pupil = school.pupils[at % 5];
                    let body = json!({ "pupil_id": pupil });
                    app.put(who, &school.duty(&format!("/{place}")), &body)
                        .await
                }
                _ => {
                    let path = school.duty(&format!("/{place}/exchange"));
                    app.post(who, &path, &json!({})).await
                }
            };
            (answer.status.as_u16(), answer.text)
        }
    }))
    .await;
    assert!(
        answers
            .iter()
            .all(|(status, _)| [200, 409].contains(status)),
        "{answers:?}"
    );
    let filled: Vec<u64> = (answers.iter())
        .filter_map(|(_, text)| serde_json::from_str::<Value>(text).ok()?["filled"].as_u64())
        .collect();
    assert_eq!(filled.len(), 8, "{answers:?}");
    for (day, pupils) in school.on("2026-06-11", "2026-06-20").await {
        let once: BTreeSet<&Uuid> = pupils.iter().collect();
        assert_eq!((once.len(), pupils.len()), (2, 2), "{day}");
    }
    // What was shared out is filled once: places that hands filled before are not counted.
    assert!(filled.iter().sum::<u64>() <= 20, "{filled:?}");
}
