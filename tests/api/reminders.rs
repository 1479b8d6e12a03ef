//! Letters that remind people of their turns.

use crate::frame::{Court, Person, all_at_once, id_of};
use crate::place_ground::turn_of;
use crate::post_office::PostOffice;
use chrono::{DateTime, TimeDelta, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota_domain::access::Role;

/// Nine days after the noon at which the tests begin.
const FRIDAY: &str = "2026-06-19";

/// A house whose letters lie in a folder, and how far its time stands from the machine's.
struct House {
    post: PostOffice,
    court: Court,
    ahead: TimeDelta,
}

impl House {
    async fn open() -> Self {
        let post = PostOffice::with_folder().await;
        let court = post.app.court().await;
        let rows = post
            .app
            .rows("SELECT offset_seconds AS s FROM demo_clock")
            .await;
        let ahead = TimeDelta::seconds(rows[0]["s"].as_i64().unwrap());
        Self { post, court, ahead }
    }

    /// What the machine's clock shows at an instant of the house.
    fn wall(&self, at: &str) -> DateTime<Utc> {
        at.parse::<DateTime<Utc>>().unwrap() - self.ahead
    }

    async fn owe_at(&self, at: &str) {
        owe_due(&self.post.app.desk, self.wall(at)).await.unwrap();
    }

    /// Looks for what is due, and sends it; says how many reminders went.
    async fn look_at(&self, at: &str) -> usize {
        self.owe_at(at).await;
        self.send_at(at).await
    }

    /// Sends what is owed; says how many reminders went.
    async fn send_at(&self, at: &str) -> usize {
        let before = self.sent().await;
        self.post.send_at(self.wall(at)).await;
        self.sent().await - before
    }

    async fn sent(&self) -> usize {
        let states = self.states().await;
        states.iter().filter(|state| *state == "sent").count()
    }

    /// A feeding whose place somebody takes.
    async fn taken(&self, who: &Person, day: &str) -> (Uuid, Uuid) {
        let bin = (self.court.site, self.court.bin);
        let turn = turn_of(&self.post.app, bin, ("feeding", day), 2).await;
        let path = self.court.at(&format!("/turns/{turn}/places"));
        let taken = self.post.app.post(who, &path, &json!({})).await.ok(201);
        (turn, id_of(&taken))
    }

    /// The reminders that there are, the oldest first.
    async fn reminders(&self) -> Vec<Value> {
        let query = "SELECT id, purpose, state, reason FROM letters WHERE kind = 'turn_coming'
                     ORDER BY created_at, id";
        self.post.app.rows(query).await
    }

    async fn states(&self) -> Vec<String> {
        let rows = self.reminders().await;
        let state = |row: &Value| row["state"].as_str().unwrap().to_owned();
        rows.iter().map(state).collect()
    }

    /// What the newest reminder says, lines put together.
    async fn newest(&self) -> String {
        let rows = self.reminders().await;
        self.post.letter(id_of(rows.last().unwrap()))
    }
}

/// Protects the usual promise: a letter two days before when the night is over, one on the
/// morning, and nothing at any other hour; the first brings the turn into the calendar.
#[tokio::test]
async fn a_turn_is_told_of_two_days_before_and_on_its_morning() {
    let house = House::open().await;
    let ana = house.court.resident.clone();
    house.taken(&ana, FRIDAY).await;
    let start: DateTime<Utc> = "2026-06-10T18:00:00Z".parse().unwrap();
    let mut went = Vec::new();
    let mut said = Vec::new();
    for hour in 0..12 * 24 {
        let at = (start + TimeDelta::hours(hour)).to_rfc3339();
        if house.look_at(&at).await > 0 {
            went.push(at);
            said.push(house.newest().await);
        }
    }
    // Seven o'clock in Chicago.
    let mornings = ["2026-06-17T12:00:00+00:00", "2026-06-19T12:00:00+00:00"];
    assert_eq!(went, mornings);
    for part in [
        "On Friday, June 19 it is your turn to feed the bin",
        "by the end of Thursday, June 18",
        "ask again",
        "forecast",
        "METHOD:REQUEST",
        "DTSTART;VALUE=DATE:20260619",
        "turn.ics",
        "wash your hands",
    ] {
        assert!(said[0].contains(part), "{part}: {}", said[0]);
    }
    for part in [
        "Today it is your turn to feed the bin",
        "too late to give the place back",
        "until the turn is over you can say that you cannot come",
    ] {
        assert!(said[1].contains(part), "{part}: {}", said[1]);
    }
    assert!(!said[1].contains("text/calendar"), "{}", said[1]);
    assert!(said[1].len() < said[0].len(), "the morning's is short");
}

/// Protects whoever comes to a shut site: their reminder says that it is shut, whom to ask how to
/// get in, and what goes in by the plan, water among it.
#[tokio::test]
async fn a_visit_on_a_closed_day_is_told_of_as_one() {
    let house = House::open().await;
    let (app, court) = (&house.post.app, &house.court);
    let body = json!({ "first_day": "2026-06-15", "last_day": "2026-08-02" });
    let made = app
        .post(&court.educator, &court.at("/closures"), &body)
        .await;
    let closure = court.at(&format!("/closures/{}", id_of(&made.ok(201))));
    let agreed = format!("{closure}/visits");
    app.post(&court.educator, &agreed, &json!({})).await.ok(201);
    let plan = app
        .get(&court.educator, &format!("{closure}/plan"))
        .await
        .ok(200);
    let turn = &plan["visits"][0]["turn"];
    let path = court.at(&format!("/turns/{}/places", id_of(turn)));
    app.post(&court.resident, &path, &json!({})).await.ok(201);
    let day: chrono::NaiveDate = turn["on_date"].as_str().unwrap().parse().unwrap();
    let before = day - TimeDelta::days(2);
    assert_eq!(house.look_at(&format!("{before}T12:00:00Z")).await, 1);
    let said = house.newest().await;
    for part in [
        "is shut then, and this visit takes place all the same",
        "How to get in, ask",
        "By the plan for the closed days",
        "water in several goes",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!said.contains("this is a forecast"), "{said}");
}

/// Protects the bin from getting its room twice over: whoever come to one turn hear how many they
/// are, what the bin takes in all and what their even part is; whoever booked keeps what they
/// booked, and the others share the rest.
#[tokio::test]
async fn those_who_come_to_one_turn_share_its_room() {
    let house = House::open().await;
    let app = &house.post.app;
    let ana = house.court.resident.clone();
    let (turn, _) = house.taken(&ana, FRIDAY).await;
    let bo = app.member(house.court.site, Role::Resident).await;
    let path = house.court.at(&format!("/turns/{turn}/places"));
    let taken = app.post(&bo, &path, &json!({})).await.ok(201);
    let morning = "2026-06-17T12:00:00Z";
    assert_eq!(house.look_at(morning).await, 2);
    let reminders = house.reminders().await;
    let said = reminders.iter().map(|row| house.post.letter(id_of(row)));
    let said: Vec<String> = said.collect();
    assert_eq!(said.len(), 2);
    for letter in &said {
        assert!(
            letter.contains("two of you come: your part is "),
            "{letter}"
        );
    }
    let (all, part) = (
        pounds(&said[0], "able to take "),
        pounds(&said[0], "your part is "),
    );
    assert!(all > 0.0 && (all / 2.0 - part).abs() <= 0.1, "{all} {part}");

    // Bo books most of it: Ana's part is what is left.
    let place = house
        .court
        .at(&format!("/turns/{turn}/places/{}", id_of(&taken)));
    let booked = json!({ "amount_kg": 0.3 });
    app.patch(&bo, &place, &booked).await.ok(200);
    app.sql("DELETE FROM letters").await;
    assert_eq!(house.look_at("2026-06-19T12:00:00Z").await, 2);
    let reminders = house.reminders().await;
    let said: Vec<String> = reminders
        .iter()
        .map(|row| house.post.letter(id_of(row)))
        .collect();
    let of = |who: &Person| said.iter().find(|one| one.contains(&who.email)).unwrap();
    assert!(
        of(&bo).contains("that you booked is kept for you"),
        "{}",
        of(&bo)
    );
    let (all, left) = (
        pounds(of(&ana), "up to "),
        pounds(
            of(&ana),
            "two of you come: your part of what nobody has booked is ",
        ),
    );
    assert!((all - left - 0.66).abs() <= 0.2, "{all} {left}");
}

/// Pounds that stand after some words.
#[track_caller]
fn pounds(letter: &str, after: &str) -> f64 {
    let (_, rest) = letter
        .split_once(after)
        .unwrap_or_else(|| panic!("{letter}"));
    let mut words = rest.split_whitespace();
    let number: f64 = words.next().unwrap().parse().unwrap();
    match words.next().unwrap() {
        unit if unit.starts_with("lb") => number,
        unit if unit.starts_with("oz") => number / 16.0,
        unit => panic!("{unit}: {letter}"),
    }
}

/// Protects people from letters about what is not theirs any more, does not take place, or is
/// theirs since a moment ago.
#[tokio::test]
async fn nobody_is_reminded_of_what_is_given_back_called_off_or_just_taken() {
    let house = House::open().await;
    let (app, site) = (&house.post.app, house.court.site);
    let ana = house.court.resident.clone();
    let (given, place) = house.taken(&ana, FRIDAY).await;
    let (off, _) = house
        .taken(&app.member(site, Role::Resident).await, FRIDAY)
        .await;
    house
        .taken(&app.member(site, Role::Resident).await, FRIDAY)
        .await;
    house.owe_at("2026-06-17T12:00:00Z").await;
    let path = house.court.at(&format!("/turns/{given}/places/{place}"));
    let back = app.ask(Method::DELETE, &path).by(&ana).send().await;
    assert_eq!(back.status, 204, "{}", back.text);
    app.sql(&format!(
        "UPDATE turns SET called_off = 'hand' WHERE id = '{off}'"
    ))
    .await;
    assert_eq!(house.send_at("2026-06-17T12:00:01Z").await, 1);
    let mut states = house.states().await;
    states.sort_unstable();
    assert_eq!(states, ["not_wanted", "not_wanted", "sent"]);

    app.set_clock("2026-06-17T18:00:00Z").await;
    let house = House {
        ahead: "2026-06-17T18:00:00Z".parse::<DateTime<Utc>>().unwrap() - clock::wall(),
        ..house
    };
    house.taken(&ana, "2026-06-18").await;
    house.owe_at("2026-06-17T18:00:01Z").await;
    assert_eq!(house.reminders().await.len(), 3);
    house.owe_at("2026-06-18T12:00:05Z").await;
    assert_eq!(house.reminders().await.len(), 4);
}

/// Protects wishes: whoever wants the letter earlier gets it then, and whoever wants none gets
/// none.
#[tokio::test]
async fn people_choose_their_own_days_or_none() {
    let house = House::open().await;
    let app = &house.post.app;
    let (ana, bo) = (
        house.court.resident.clone(),
        app.member(house.court.site, Role::Resident).await,
    );
    for (who, column, wish) in [
        (&ana, "reminder_days", "{5}"),
        (&bo, "letters_off", "{reminders}"),
    ] {
        house.taken(who, FRIDAY).await;
        let id = app.member_id(who, house.court.site).await;
        app.sql(&format!(
            "UPDATE members SET {column} = '{wish}' WHERE id = '{id}'"
        ))
        .await;
    }
    assert_eq!(house.look_at("2026-06-14T11:59:00Z").await, 0);
    assert_eq!(house.look_at("2026-06-14T12:00:00Z").await, 1);
    assert_eq!(house.look_at("2026-06-17T12:00:00Z").await, 0);
    assert_eq!(house.look_at("2026-06-19T12:00:00Z").await, 0);
    let rows = house.reminders().await;
    assert_eq!(rows.len(), 3, "{rows:?}");
    for row in &rows[1..] {
        assert_eq!(row["reason"], "turned_off", "{rows:?}");
    }
}

/// Protects people from a heap of letters after an outage, and from two of one when several
/// copies look at once.
#[tokio::test]
async fn a_service_that_slept_and_copies_that_look_at_once_send_one_letter() {
    let house = House::open().await;
    let ana = house.court.resident.clone();
    house.taken(&ana, FRIDAY).await;
    let wall = house.wall("2026-06-19T15:30:00Z");
    let looking = (0..8).map(|_| {
        let desk = house.post.app.desk.clone();
        async move { owe_due(&desk, wall).await.unwrap() }
    });
    all_at_once(looking).await;
    assert_eq!(house.post.send_at(wall).await, 1);
    let rows = house.reminders().await;
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert!(
        rows[0]["purpose"]
            .as_str()
            .unwrap()
            .ends_with(":2026-06-19:0")
    );
    // The day is over.
    assert_eq!(house.look_at("2026-06-20T06:00:00Z").await, 0);
}

/// Protects the night: what was found due in it by a copy that was late waits for the morning,
/// and the earlier letter gives way to the later one.
#[tokio::test]
async fn a_letter_of_the_night_waits_and_gives_way_to_the_mornings() {
    let house = House::open().await;
    let ana = house.court.resident.clone();
    house.taken(&ana, FRIDAY).await;
    assert_eq!(house.look_at("2026-06-19T03:00:00Z").await, 0);
    assert_eq!(house.states().await, ["too_late"]);
    assert_eq!(house.look_at("2026-06-19T12:00:00Z").await, 1);
    assert_eq!(house.states().await, ["too_late", "sent"]);
}

/// Protects neighbours: who comes too stands in a letter only as far as the site lets people
/// see each other, and whom to ask always does.
#[tokio::test]
async fn who_comes_too_is_named_only_where_the_site_allows_it() {
    let house = House::open().await;
    let app = &house.post.app;
    let site = house.court.site;
    let (ana, bo) = (
        house.court.resident.clone(),
        app.member(site, Role::Resident).await,
    );
    app.member(site, Role::Caretaker).await;
    let bo_id = app.member_id(&bo, site).await;
    app.sql(&format!(
        "UPDATE member_names SET name = 'Bo Quill' WHERE member_id = '{bo_id}'"
    ))
    .await;
    for (sees, day, looks) in [
        ("keepers", "2026-06-19", "2026-06-17T12:00:00Z"),
        ("names", "2026-06-25", "2026-06-23T12:00:00Z"),
    ] {
        let (turn, _) = house.taken(&ana, day).await;
        let path = house.court.at(&format!("/turns/{turn}/places"));
        app.post(&bo, &path, &json!({})).await.ok(201);
        app.sql(&format!("UPDATE sites SET neighbours_see = '{sees}'"))
            .await;
        assert_eq!(house.look_at(looks).await, 2);
        let rows = house.reminders().await;
        let letters: Vec<String> = rows
            .iter()
            .rev()
            .take(2)
            .map(|row| house.post.letter(id_of(row)))
            .collect();
        let to_ana = letters
            .iter()
            .find(|letter| letter.contains(&ana.email))
            .unwrap();
        assert_eq!(to_ana.contains("Bo Quill"), sees == "names", "{to_ana}");
        assert_eq!(
            to_ana.contains("Somebody else comes too"),
            sees == "keepers",
            "{to_ana}"
        );
        assert!(to_ana.contains("ask A caretaker"), "{to_ana}");
    }
}

/// Protects the bin of somebody who has only a mailbox: the reminder's link frees the place and
/// begins to look for somebody else, once its button is pressed and not before; on the morning of
/// the turn too, when the place cannot be given back any more.
#[tokio::test]
async fn whoever_cannot_come_says_so_by_the_reminders_link() {
    for (at, is_late) in [
        ("2026-06-17T12:00:00Z", false),
        ("2026-06-19T12:00:00Z", true),
    ] {
        let house = House::open().await;
        let ana = house.court.resident.clone();
        house.taken(&ana, FRIDAY).await;
        let app = &house.post.app;
        app.set_clock(at).await;
        let wall = clock::wall();
        owe_due(&app.desk, wall).await.unwrap();
        house.post.send_at(wall).await;
        let letter = house.newest().await;
        assert_eq!(letter.contains("it is too late"), is_late, "{letter}");
        let (_, rest) = letter
            .split_once("https://bins.example.org/letters/cannot_come/")
            .unwrap();
        let path = format!(
            "/letters/cannot_come/{}",
            rest.split_whitespace().next().unwrap()
        );
        let held = "SELECT id FROM places WHERE member_id IS NOT NULL";
        for _ in 0..3 {
            assert_eq!(app.ask(Method::GET, &path).send().await.status, 200);
        }
        assert_eq!(app.rows(held).await.len(), 1);
        let pressed = app.ask(Method::POST, &path).send().await;
        assert!(pressed.text.contains("is free"), "{}", pressed.text);
        assert!(app.rows(held).await.is_empty());
        assert_eq!(app.rows("SELECT id FROM calls").await.len(), 1);
    }
}
