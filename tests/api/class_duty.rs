//! Who of a class is when: everybody once before anybody twice, by the planner and by hand, and
//! who steps in for whoever is away.

use crate::frame::{Answer, App, Person, all_at_once, id_of, settings};
use chrono::{Days, NaiveDate};
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use uuid::Uuid;
use wormrota::clock;
use wormrota::work::work_once;
use wormrota_domain::access::Role;

/// The day on which these tests begin: a Wednesday.
const TODAY: &str = "2026-06-10";

/// Makes a turn of a class with free places; gives the turn and its places.
pub(crate) async fn class_turn(
    app: &App,
    (site, bin, class): (Uuid, Uuid, Uuid),
    day: NaiveDate,
    places: usize,
) -> (Uuid, Vec<Uuid>) {
    let turn = Uuid::now_v7();
    let ids: Vec<Uuid> = (0..places).map(|_| Uuid::now_v7()).collect();
    let rows: Vec<String> = (ids.iter().enumerate())
        .map(|(at, id)| format!("('{site}', '{id}', '{turn}', {}, false)", at + 1))
        .collect();
    app.sql(&format!(
        "INSERT INTO turns (site_id, id, bin_id, class_id, on_date, duty, effort, off_pattern, \
            created_at, revision) \
         VALUES ('{site}', '{turn}', '{bin}', '{class}', '{day}', 'feeding', 1, false, \
            '2026-06-01T00:00:00Z', 1); \
         INSERT INTO places (site_id, id, turn_id, seat, kept) VALUES {}",
        rows.join(", ")
    ))
    .await;
    (turn, ids)
}

/// A school with a class that has a year before it.
struct School {
    app: App,
    ada: Person,
    teacher: Person,
    site: Uuid,
    bin: Uuid,
    class: Uuid,
    /// By the order in which they were added.
    pupils: Vec<Uuid>,
}

impl School {
    async fn open(labels: &str) -> Self {
        let app = App::start_in_june().await;
        let ada = app.educator().await;
        let site = app.site(&ada).await;
        let bin = app.bin(&ada, site).await;
        let teacher = app.member(site, Role::Teacher).await;
        let mut school = Self {
            app,
            ada,
            teacher,
            site,
            bin,
            class: Uuid::nil(),
            pupils: Vec::new(),
        };
        (school.class, school.pupils) = school.class("3b", labels).await;
        school
    }

    async fn class(&self, name: &str, labels: &str) -> (Uuid, Vec<Uuid>) {
        let new = json!({ "name": name, "ends_on": "2027-06-30" });
        let path = self.at("/classes");
        let class = id_of(&self.app.post(&self.teacher, &path, &new).await.ok(201));
        let path = self.at(&format!("/classes/{class}/pupils"));
        let labels = json!({ "labels": labels });
        let class_now = self.app.post(&self.teacher, &path, &labels).await.ok(201);
        let pupils = class_now["pupils"].as_array().unwrap();
        (class, pupils.iter().map(id_of).collect())
    }

    fn at(&self, rest: &str) -> String {
        format!("/v1/sites/{}{rest}", self.site)
    }

    fn duty(&self, rest: &str) -> String {
        self.at(&format!("/classes/{}/duty{rest}", self.class))
    }

    async fn turn(&self, day: &str, places: usize) -> (Uuid, Vec<Uuid>) {
        let of = (self.site, self.bin, self.class);
        class_turn(&self.app, of, day.parse().unwrap(), places).await
    }

    async fn share_out(&self, from: &str, to: &str, by: &str) -> Value {
        let body = json!({ "from": from, "to": to, "by": by });
        self.app
            .post(&self.teacher, &self.duty(""), &body)
            .await
            .ok(200)
    }

    async fn put(&self, place: Uuid, pupil: Option<Uuid>) -> Answer {
        let body = json!({ "pupil_id": pupil });
        self.app
            .put(&self.teacher, &self.duty(&format!("/{place}")), &body)
            .await
    }

    async fn away(&self, pupil: Uuid, day: &str) -> Value {
        let path = self.at(&format!("/classes/{}/pupils/{pupil}/absences", self.class));
        let body = json!({ "on_date": day });
        self.app.post(&self.teacher, &path, &body).await.ok(201)
    }

    async fn exchange(&self, place: Uuid, body: &Value) -> Answer {
        let path = self.duty(&format!("/{place}/exchange"));
        self.app.post(&self.teacher, &path, body).await
    }

    /// Who has a place, as the database has it.
    async fn holder(&self, place: Uuid) -> Option<Uuid> {
        let query = format!("SELECT pupil_id FROM places WHERE id = '{place}'");
        let rows = self.app.rows(&query).await;
        rows[0]["pupil_id"].as_str().map(|id| id.parse().unwrap())
    }

    /// Who is on each turn, as the service tells it, day by day.
    async fn on(&self, from: &str, to: &str) -> Vec<(NaiveDate, Vec<Uuid>)> {
        let path = self.duty(&format!("?from={from}&to={to}"));
        let duty = self.app.get(&self.teacher, &path).await.ok(200);
        let turns = duty["turns"].as_array().unwrap();
        turns.iter().map(on_turn).collect()
    }
}

fn on_turn(turn: &Value) -> (NaiveDate, Vec<Uuid>) {
    let places = turn["places"].as_array().unwrap();
    let pupils = places.iter().filter_map(|place| place["pupil_id"].as_str());
    (
        turn["on_date"].as_str().unwrap().parse().unwrap(),
        pupils.map(|id| id.parse().unwrap()).collect(),
    )
}

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

/// Protects a pupil who is ill: the first step changes nothing, the second puts the next one in,
/// who changes places with them; nobody has a turn more or less for it.
#[tokio::test]
async fn whoever_is_away_is_exchanged_in_two_steps() {
    let school = School::open("Ana\nBo\nCy").await;
    let [ana, bo, cy] = school.pupils[..] else {
        panic!("three pupils")
    };
    let mut places = Vec::new();
    for n in 10..=15 {
        places.push(school.turn(&format!("2026-06-{n}"), 1).await.1[0]);
    }
    school.share_out(TODAY, "2026-06-15", "in_order").await;
    let holders = async || {
        let mut found = Vec::new();
        for place in &places {
            found.push(school.holder(*place).await.unwrap());
        }
        found
    };
    assert_eq!(holders().await, [ana, bo, cy, ana, bo, cy]);

    let marked = school.away(ana, TODAY).await;
    assert_eq!(marked["places"][0]["place_id"], json!(places[0]));
    assert_eq!(marked["places"][0]["proposed_pupil_id"], json!(bo));
    assert_eq!(marked["places"][0]["proposed_label"], "Bo");
    assert_eq!(holders().await, [ana, bo, cy, ana, bo, cy]);
    let path = school.duty(&format!("?from={TODAY}&to={TODAY}"));
    let duty = school.app.get(&school.teacher, &path).await.ok(200);
    assert_eq!(duty["turns"][0]["places"][0]["away"], true);

    let changed = school.exchange(places[0], &json!({})).await.ok(200);
    assert_eq!(changed["turns"].as_array().unwrap().len(), 2);
    assert_eq!(holders().await, [bo, ana, cy, ana, bo, cy]);
    // Once: whoever has it now is there.
    school
        .exchange(places[0], &json!({}))
        .await
        .problem(409, "not_the_holder");

    // Still ill the next day: Cy steps in, and Ana comes when Cy would have.
    school.away(ana, "2026-06-11").await;
    school.exchange(places[1], &json!({})).await.ok(200);
    assert_eq!(holders().await, [bo, cy, ana, ana, bo, cy]);
    // Where the absent one cannot come either, nothing else changes.
    school.away(ana, "2026-06-12").await;
    school.away(ana, "2026-06-14").await;
    let named = json!({ "pupil_id": bo });
    let changed = school.exchange(places[2], &named).await.ok(200);
    assert_eq!(changed["turns"].as_array().unwrap().len(), 1);
    assert_eq!(holders().await, [bo, cy, bo, ana, bo, cy]);

    // Nobody who is away, on the turn or of another class steps in.
    school.away(cy, "2026-06-15").await;
    school.away(bo, "2026-06-15").await;
    let (_, others) = school.class("4c", "Zoë").await;
    for (pupil, pointer) in [(bo, "/pupil_id"), (others[0], "/pupil_id")] {
        let answer = school
            .exchange(places[5], &json!({ "pupil_id": pupil }))
            .await;
        answer.conflicting_fields(&[pointer]);
    }
    school
        .exchange(places[5], &json!({ "pupil_id": cy }))
        .await
        .conflicting_fields(&["/pupil_id"]);
    school.away(ana, "2026-06-15").await;
    let marked = school.away(cy, "2026-06-15").await;
    assert_eq!(marked["places"][0]["proposed_pupil_id"], Value::Null);
    school
        .exchange(places[5], &json!({}))
        .await
        .conflicting_fields(&["/pupil_id"]);

    // Back again: a day is taken back, but not one that has passed.
    let away = |day: &str| {
        school.at(&format!(
            "/classes/{}/pupils/{cy}/absences/{day}",
            school.class
        ))
    };
    let back = away("2026-06-15");
    assert_eq!(school.app.delete(&school.teacher, &back).await.status, 204);
    school
        .app
        .delete(&school.teacher, &back)
        .await
        .problem(404, "not_found");
    let past = away("2026-06-09");
    school
        .app
        .delete(&school.teacher, &past)
        .await
        .problem(409, "ended_already");
    school
        .exchange(places[5], &json!({}))
        .await
        .problem(409, "not_the_holder");
}

/// Protects children: a pupil is only on turns of their own class, once, and while there; and
/// members keep what is theirs.
#[tokio::test]
async fn a_place_is_for_a_pupil_of_the_class_who_is_there() {
    let school = School::open("Ana\nBo").await;
    let [ana, bo] = school.pupils[..] else {
        panic!("two pupils")
    };
    let (turn, places) = school.turn("2026-06-12", 2).await;
    let seen = school.put(places[0], Some(ana)).await.ok(200);
    assert_eq!(seen["turns"][0]["places"][0]["label"], "Ana");
    school
        .put(places[1], Some(ana))
        .await
        .problem(409, "held_already");
    let (other, others) = school.class("4c", "Zoë").await;
    for pupil in [others[0], Uuid::now_v7()] {
        let answer = school.put(places[1], Some(pupil)).await;
        answer.conflicting_fields(&["/pupil_id"]);
    }
    school.away(bo, "2026-06-12").await;
    school
        .put(places[1], Some(bo))
        .await
        .conflicting_fields(&["/pupil_id"]);

    // A place of another class's turn, of a turn of the house, and of none.
    let day: NaiveDate = "2026-06-12".parse().unwrap();
    let of_other = (school.site, school.bin, other);
    let (_, foreign) = class_turn(&school.app, of_other, day, 1).await;
    let (house, of_house) = school.turn("2026-06-13", 1).await;
    let sql = format!("UPDATE turns SET class_id = NULL WHERE id = '{house}'");
    school.app.sql(&sql).await;
    for place in [foreign[0], of_house[0], Uuid::now_v7()] {
        school.put(place, Some(ana)).await.problem(404, "not_found");
        school
            .exchange(place, &json!({}))
            .await
            .problem(404, "not_found");
    }

    // What a member holds is not a pupil's to take.
    let teacher = school.app.member_id(&school.teacher, school.site).await;
    let (_, held) = school.turn("2026-06-14", 1).await;
    school
        .app
        .sql(&format!(
            "UPDATE places SET member_id = '{teacher}', how = 'assigned', \
                held_since = '2026-06-01T00:00:00Z' WHERE id = '{}'",
            held[0]
        ))
        .await;
    school
        .put(held[0], Some(ana))
        .await
        .problem(409, "not_the_holder");
    school
        .put(held[0], None)
        .await
        .problem(409, "not_the_holder");
    let shared = school
        .share_out("2026-06-14", "2026-06-14", "in_order")
        .await;
    assert_eq!(shared["filled"], 0);

    // Free again; then called off, and then over.
    school.put(places[0], None).await.ok(200);
    assert_eq!(school.holder(places[0]).await, None);
    let off = |reason: &str| format!("UPDATE turns SET called_off = {reason} WHERE id = '{turn}'");
    school.app.sql(&off("'hand'")).await;
    school
        .put(places[0], Some(ana))
        .await
        .problem(409, "turn_over");
    let shared = school
        .share_out("2026-06-12", "2026-06-12", "in_order")
        .await;
    assert_eq!(
        (&shared["filled"], &shared["still_free"]),
        (&json!(0), &json!(0))
    );
    school.app.sql(&off("NULL")).await;
    school.app.set_clock("2026-06-13T17:00:00Z").await;
    school
        .put(places[0], Some(ana))
        .await
        .problem(409, "turn_over");
}

/// Protects pupils who are gone from being expected, and the history of the bin from holes.
#[tokio::test]
async fn whoever_is_erased_gives_places_to_come_back_and_leaves_a_key_in_history() {
    let school = School::open("Ana\nBo").await;
    let [ana, bo] = school.pupils[..] else {
        panic!("two pupils")
    };
    let mut places = Vec::new();
    for n in 10..=15 {
        places.push(school.turn(&format!("2026-06-{n}"), 1).await.1[0]);
    }
    school.share_out(TODAY, "2026-06-15", "in_order").await;
    school.away(ana, "2026-06-14").await;
    school.app.set_clock("2026-06-12T17:00:00Z").await;
    let path = school.at(&format!("/classes/{}/pupils/{ana}", school.class));
    assert_eq!(school.app.delete(&school.teacher, &path).await.status, 204);
    let mut holders = Vec::new();
    for place in &places {
        holders.push(school.holder(*place).await);
    }
    let free = None;
    assert_eq!(
        holders,
        [Some(ana), Some(bo), free, Some(bo), free, Some(bo)]
    );
    let rows = school.app.rows("SELECT * FROM pupil_absences").await;
    assert_eq!(rows, Vec::<Value>::new());
    let path = school.duty("?from=2026-06-10&to=2026-06-15");
    let duty = school.app.get(&school.teacher, &path).await.ok(200);
    let first = &duty["turns"][0]["places"][0];
    assert_eq!(
        (&first["pupil_id"], &first["label"]),
        (&json!(ana), &Value::Null)
    );

    // The school year's end does it for everybody.
    school.away(bo, "2026-06-15").await;
    let sql = "UPDATE classes SET ends_on = '2026-06-12'";
    school.app.sql(sql).await;
    school.app.set_clock("2026-06-13T17:00:00Z").await;
    work_once(&school.app.desk, clock::wall()).await.unwrap();
    assert_eq!(school.holder(places[1]).await, Some(bo));
    for place in &places[3..] {
        assert_eq!(school.holder(*place).await, None);
    }
    let rows = school.app.rows("SELECT * FROM pupil_absences").await;
    assert_eq!(rows, Vec::<Value>::new());
    let body = json!({ "from": "2026-06-13", "to": "2026-06-15", "by": "in_order" });
    let answer = school
        .app
        .post(&school.teacher, &school.duty(""), &body)
        .await;
    answer.problem(409, "class_ended");
}

/// Protects what children are called, from everybody but the adults of their class and
/// educators.
#[tokio::test]
async fn labels_of_a_duty_are_for_the_classs_adults_only() {
    let school = School::open("Oleander\nBryony").await;
    let app = &school.app;
    let (_, places) = school.turn(TODAY, 1).await;
    school.turn("2026-06-11", 1).await;
    school.share_out(TODAY, "2026-06-11", "in_order").await;
    let key = |rest: &str| school.duty(&format!("/{}{rest}", places[0]));
    let away = school.at(&format!(
        "/classes/{}/pupils/{}/absences",
        school.class, school.pupils[0]
    ));
    let fill = json!({ "from": TODAY, "to": TODAY, "by": "in_order" });
    let other = app.member(school.site, Role::Teacher).await;
    let day = json!({ "on_date": TODAY });
    for (method, path, body) in [
        (Method::GET, school.duty(""), Value::Null),
        (Method::POST, school.duty(""), fill.clone()),
        (Method::PUT, key(""), json!({ "pupil_id": null })),
        (Method::POST, key("/exchange"), json!({})),
        (Method::POST, away.clone(), day.clone()),
        (Method::DELETE, format!("{away}/{TODAY}"), Value::Null),
    ] {
        let answer = app
            .ask(method.clone(), &path)
            .by(&other)
            .json(&body)
            .send()
            .await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(
            problem["detail"], "There is no such class.",
            "{method} {path}"
        );
    }

    // A helper sees who is when, and changes nothing.
    let parent = app.member(school.site, Role::Resident).await;
    app.get(&parent, &school.duty(""))
        .await
        .problem(404, "not_found");
    let id = app.member_id(&parent, school.site).await;
    let helping = school.at(&format!("/classes/{}/helpers/{id}", school.class));
    app.ask(Method::PUT, &helping)
        .by(&school.teacher)
        .send()
        .await
        .ok(200);
    for seer in [&parent, &school.ada] {
        let duty = app.get(seer, &school.duty("")).await;
        assert!(duty.ok(200).to_string().contains("Oleander"));
    }
    app.post(&parent, &school.duty(""), &fill)
        .await
        .problem(403, "forbidden");
    app.post(&parent, &away, &day)
        .await
        .problem(403, "forbidden");

    // A key, an exchange and what is kept of them hold no label.
    for body in [&day, &json!({})] {
        let path = if body == &day {
            away.clone()
        } else {
            key("/exchange")
        };
        let ask = app.ask(Method::POST, &path).by(&school.teacher);
        let ask = ask.header("idempotency-key", &format!("k-{}", body.to_string().len()));
        let answer = ask.json(body).send().await;
        assert!(answer.status.is_success(), "{}", answer.text);
    }
    for table in ["audit", "idempotency_keys", "jobs", "letters", "places"] {
        let rows = app.rows(&format!("SELECT * FROM {table}")).await;
        let text = Value::from(rows).to_string();
        assert!(
            !text.contains("Oleander") && !text.contains("Bryony"),
            "{table}: {text}"
        );
    }
    // Nor who was away, or when, for as long as the trail is kept.
    let trail = app
        .rows("SELECT * FROM audit WHERE deed = 'pupil_away'")
        .await;
    assert_eq!(trail[0]["detail"], json!({}));
    assert_eq!(trail[0]["subject_id"], json!(school.class));
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

/// Protects a retry after a lost answer: it happens once.
#[tokio::test]
async fn a_retry_of_an_exchange_is_one_exchange() {
    let school = School::open("Ana\nBo\nCy").await;
    let mut places = Vec::new();
    for n in 10..=12 {
        places.push(school.turn(&format!("2026-06-{n}"), 1).await.1[0]);
    }
    school.share_out(TODAY, "2026-06-12", "in_order").await;
    school.away(school.pupils[0], TODAY).await;
    let send = || {
        let path = school.duty(&format!("/{}/exchange", places[0]));
        let ask = school.app.ask(Method::POST, &path).by(&school.teacher);
        ask.header("idempotency-key", "once")
            .json(&json!({}))
            .send()
    };
    let first = send().await.ok(200);
    let after = school.app.contents().await;
    assert_eq!(send().await.ok(200), first);
    assert_eq!(school.app.contents().await, after);
}

/// Protects a substitute from not knowing whose turn it is.
#[tokio::test]
async fn the_sheet_of_a_day_says_whose_turn_it_is() {
    let school = School::open("Ana\nBo\nCy").await;
    let (turn, _) = school.turn("2026-06-11", 2).await;
    let (open, _) = school.turn("2026-06-12", 1).await;
    let sql = format!("UPDATE turns SET opens = '10:30', closes = '11:15' WHERE id = '{turn}'");
    school.app.sql(&sql).await;
    school
        .share_out("2026-06-11", "2026-06-11", "in_order")
        .await;
    school.away(school.pupils[0], "2026-06-11").await;
    let sheet = async |day: &str| {
        let path = school.at(&format!("/classes/{}/sheet?on_date={day}", school.class));
        school.app.get(&school.teacher, &path).await.ok(200)
    };
    let on = sheet("2026-06-11").await;
    assert_eq!(on["duty"][0]["turn_id"], json!(turn));
    assert_eq!(on["duty"][0]["pupils"], json!(["Bo"]));
    let text = on["text"].as_str().unwrap();
    assert!(text.contains("Whose turn it is"), "{text}");
    assert!(text.contains("from 10:30 to 11:15"), "{text}");
    assert!(
        text.contains(on["duty"][0]["sentence"].as_str().unwrap()),
        "{text}"
    );
    let nobody = sheet("2026-06-12").await;
    assert_eq!(nobody["duty"][0]["turn_id"], json!(open));
    assert!(
        nobody["text"].as_str().unwrap().contains("nobody yet"),
        "{nobody}"
    );
    let none = sheet("2026-06-13").await;
    assert_eq!(none["duty"], json!([]));
    assert!(
        !none["text"].as_str().unwrap().contains("Whose turn it is"),
        "{none}"
    );
}
