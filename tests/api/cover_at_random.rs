//! Random histories over the real database, each compared with a model that knows only who
//! should hold what.

use crate::cover_ground::look;
use crate::frame::{Answer, settings};
use crate::place_ground::{Neighbour, PlaceGround};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use serde_json::json;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota::clock;
use wormrota::letters::{Post, send_due};
use wormrota_domain::access::Role;

const FIRST_SEED: u64 = 20_260_610;
const STEPS: usize = 14;
const TURNS: usize = 5;

/// Histories: fifty, or as many as the environment says.
fn histories() -> u64 {
    let said = std::env::var("WORMROTA_COVER_HISTORIES").ok();
    said.and_then(|text| text.parse().ok()).unwrap_or(50)
}

#[derive(Debug, Clone, Copy)]
struct Spot {
    turn: Uuid,
    place: Uuid,
    day: NaiveDate,
    holder: Option<usize>,
    /// Whose place it was, and of which absence, while a call goes on.
    origin: Option<(usize, Uuid)>,
    call: Option<Uuid>,
}

struct World<'a> {
    ground: &'a PlaceGround,
    post: &'a Post,
    keeper: &'a Neighbour,
    people: &'a [Neighbour],
    spots: Vec<Spot>,
    /// Absences that are not over: who, from, to, key.
    away: Vec<(usize, NaiveDate, NaiveDate, Uuid)>,
    now: DateTime<Utc>,
    counts: BTreeMap<&'static str, usize>,
}

fn day(n: i64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 10).unwrap() + TimeDelta::days(n)
}

/// The end of a local day in Chicago in summer.
fn end_of(day: NaiveDate) -> DateTime<Utc> {
    day.and_hms_opt(5, 0, 0).unwrap().and_utc() + TimeDelta::days(1)
}

fn key(value: &serde_json::Value) -> Uuid {
    value.as_str().unwrap().parse().unwrap()
}

impl World<'_> {
    fn today(&self) -> NaiveDate {
        (self.now - TimeDelta::hours(5)).date_naive()
    }

    fn is_away(&self, who: usize, on: NaiveDate) -> bool {
        let mut away = self.away.iter();
        away.any(|(of, first, last, _)| *of == who && (*first..=*last).contains(&on))
    }

    fn count(&mut self, what: &'static str) {
        *self.counts.entry(what).or_default() += 1;
    }

    async fn lay(&mut self, random: &mut StdRng) {
        let app = &self.ground.app;
        app.sql("DELETE FROM calls; DELETE FROM places; DELETE FROM turns; DELETE FROM absences; DELETE FROM letters")
            .await;
        app.set_clock("2026-06-10T17:00:00Z").await;
        let mut ahead = 0;
        for _ in 0..TURNS {
            ahead += random.random_range(1..6);
            let on = day(ahead);
            let turn = self.ground.turn(&on.to_string(), 1).await;
            let holder = random.random_range(0..self.people.len());
            let place = self.ground.taken(&self.people[holder].who, turn).await;
            self.spots.push(Spot {
                turn,
                place,
                day: on,
                holder: Some(holder),
                origin: None,
                call: None,
            });
        }
    }

    async fn tell(&mut self, who: usize, first: NaiveDate, last: NaiveDate) {
        let path = self
            .ground
            .court
            .at(&format!("/members/{}/absences", self.people[who].id));
        let body = json!({ "first_day": first, "last_day": last });
        let answer = self
            .ground
            .app
            .post(&self.people[who].who, &path, &body)
            .await;
        let meets = self
            .away
            .iter()
            .any(|(of, from, to, _)| *of == who && first <= *to && *from <= last);
        if meets {
            answer.conflicting_fields(&["/first_day"]);
            self.count("absences that met");
            return;
        }
        let told = answer.ok(201);
        let absence = key(&told["id"]);
        self.away.push((who, first, last, absence));
        let mut expected = Vec::new();
        let given_up = told["given_up"].as_array().unwrap();
        for spot in &mut self.spots {
            let within = (first..=last).contains(&spot.day) && end_of(spot.day) > self.now;
            if spot.holder != Some(who) || !within {
                continue;
            }
            spot.holder = None;
            expected.push(spot.turn);
            let one = given_up
                .iter()
                .find(|one| key(&one["turn_id"]) == spot.turn);
            let call = key(&one.unwrap()["call_id"]);
            if spot.origin.is_none() {
                spot.origin = Some((who, absence));
            } else {
                assert_eq!(spot.call, Some(call), "the search goes on");
            }
            spot.call = Some(call);
        }
        assert_eq!(given_up.len(), expected.len(), "{told}");
        self.count("absences");
    }

    async fn back(&mut self, at: usize) {
        let Some((who, first, last, absence)) = self.away.get(at).copied() else {
            return;
        };
        let path = self.ground.court.at(&format!(
            "/members/{}/absences/{absence}",
            self.people[who].id
        ));
        let answer = self.ground.app.delete(&self.people[who].who, &path).await;
        let today = self.today();
        if last < today {
            answer.problem(409, "ended_already");
            return;
        }
        let told = answer.ok(200);
        self.away.remove(at);
        if first < today {
            self.away
                .push((who, first, today - TimeDelta::days(1), absence));
        }
        let mut again = 0;
        let mut covered = 0;
        for spot in &mut self.spots {
            if spot.origin != Some((who, absence)) || end_of(spot.day) <= self.now {
                continue;
            }
            if spot.holder.is_some() {
                covered += 1;
            } else {
                spot.holder = Some(who);
                (spot.origin, spot.call) = (None, None);
                again += 1;
            }
        }
        let count = |name: &str| told[name].as_array().unwrap().len();
        assert_eq!(count("theirs_again_turn_ids"), again, "{told}");
        assert_eq!(count("covered_turn_ids"), covered, "{told}");
        self.count("came back");
    }

    async fn yes(&mut self, who: usize, at: usize) {
        let spot = self.spots[at];
        let Some(call) = spot.call else {
            return;
        };
        let path = self.ground.court.at(&format!("/calls/{call}/answer"));
        let body = json!({ "answer": "yes" });
        let answer: Answer = self
            .ground
            .app
            .post(&self.people[who].who, &path, &body)
            .await;
        let over = end_of(spot.day) <= self.now;
        // For whoever is not in a call there is none, unless they can have its place.
        let is_in = self.is_in(call, who).await;
        let refused = |code| {
            if is_in {
                (409, code)
            } else {
                (404, "not_found")
            }
        };
        let problem = |(status, code): (u16, &str)| answer.problem(status, code);
        match spot.holder {
            Some(holder) if holder == who => {
                answer.ok(200);
            }
            _ if over => {
                problem(refused("ended_already"));
            }
            Some(_) => {
                problem(refused("no_free_place"));
                self.count("somebody was quicker");
            }
            None if self.is_away(who, spot.day) => {
                problem(refused("rules_broken"));
                self.count("rules");
            }
            None => {
                answer.ok(200);
                self.spots[at].holder = Some(who);
                if spot.origin.is_some_and(|(origin, _)| origin == who) {
                    (self.spots[at].origin, self.spots[at].call) = (None, None);
                }
                self.count("covered");
            }
        }
    }

    /// Whether somebody cannot come, comes or was asked by a call.
    async fn is_in(&self, call: Uuid, who: usize) -> bool {
        let member = self.people[who].id;
        let query = format!(
            "SELECT id FROM calls WHERE id = '{call}' AND (away_id = '{member}'
                 OR helper_id = '{member}' OR EXISTS (SELECT FROM call_answers
                     WHERE call_id = calls.id AND member_id = '{member}'))"
        );
        !self.ground.app.rows(&query).await.is_empty()
    }

    async fn free(&mut self, at: usize) {
        let spot = self.spots[at];
        let helps = spot.origin.is_some() && spot.holder.is_some();
        if !helps || spot.day < self.today() || end_of(spot.day) <= self.now {
            return;
        }
        let by = &self.keeper.who;
        let answer = self.ground.give_back(by, (spot.turn, spot.place)).await;
        assert_eq!(answer.status, 204, "{}", answer.text);
        self.spots[at].holder = None;
        self.count("given back");
    }

    async fn pass(&mut self, hours: i64) {
        self.now += TimeDelta::hours(hours);
        self.ground.app.set_clock(&self.now.to_rfc3339()).await;
        // The machine's clock does not go on: what waits has waited for so long.
        let waited = format!(
            "UPDATE letters SET due_at = due_at - interval '{hours} h',
                 too_late_at = too_late_at - interval '{hours} h',
                 created_at = created_at - interval '{hours} h' WHERE state = 'owed'"
        );
        self.ground.app.sql(&waited).await;
        look(&self.ground.app).await;
        self.send().await;
    }

    /// Sends what is due now, and what waits for it.
    async fn send(&self) {
        let wall = clock::wall();
        for at in [wall, wall + TimeDelta::minutes(2)] {
            send_due(&self.ground.app.desk, self.post, at)
                .await
                .unwrap();
        }
    }

    /// Goes on to a day before each turn, and to its end.
    async fn go_to_the_end(&mut self) {
        let ends = self.spots.iter().map(|spot| end_of(spot.day));
        let mut moments: Vec<DateTime<Utc>> = ends
            .flat_map(|end| [end - TimeDelta::hours(24), end])
            .collect();
        moments.sort_unstable();
        for moment in moments {
            let hours = (moment - self.now).num_hours();
            if hours >= 0 {
                self.pass(hours).await;
            }
        }
    }

    /// What must hold whatever happened.
    async fn check(&self) {
        let held = "SELECT id, member_id FROM places";
        let rows = self.ground.app.rows(held).await;
        assert_eq!(rows.len(), TURNS, "no place vanishes");
        for spot in &self.spots {
            let row = rows.iter().find(|row| key(&row["id"]) == spot.place);
            let holder = row.unwrap()["member_id"].as_str();
            let expected = spot.holder.map(|who| self.people[who].id.to_string());
            assert_eq!(holder, expected.as_deref(), "{spot:?}");
            if let Some(who) = spot.holder {
                let over = end_of(spot.day) <= self.now;
                assert!(over || !self.is_away(who, spot.day), "{spot:?}");
            }
        }
    }

    /// What must hold when all turns are over.
    async fn check_end(&self) {
        let going = "SELECT id FROM calls WHERE closed_at IS NULL";
        assert!(
            self.ground.app.rows(going).await.is_empty(),
            "sought for ever"
        );
        let untold = "SELECT id FROM calls WHERE state = 'missed' AND deadline_at IS NOT NULL
            AND NOT EXISTS (SELECT FROM letters WHERE kind = 'uncovered'
                AND purpose LIKE calls.id || ':%')";
        let untold = self.ground.app.rows(untold).await;
        assert!(untold.is_empty(), "nobody knew: {untold:?}");
        self.check_letters().await;
    }

    /// The word of each such call reached the caretaker in a letter that names its day, unless it
    /// came up so late that quiet hours outlasted it; and none waits for ever.
    async fn check_letters(&self) {
        let words = "SELECT calls.id, on_date,
                bool_or(letters.state = 'sent' OR letters.reason = 'told_together') AS told,
                bool_or(letters.state = 'too_late') AS late
            FROM calls
            JOIN turns ON turns.site_id = calls.site_id AND turns.id = calls.turn_id
            JOIN letters ON kind = 'uncovered' AND purpose LIKE calls.id || ':%'
            WHERE calls.state = 'missed' AND deadline_at IS NOT NULL GROUP BY calls.id, on_date";
        let words = self.ground.app.rows(words).await;
        let mut letters = Vec::new();
        let sent = "SELECT id FROM letters WHERE kind = 'uncovered' AND state = 'sent'";
        for row in self.ground.app.rows(sent).await {
            let lying = self.post.folder().read(key(&row["id"])).await.unwrap();
            letters.push(lying.unwrap().letter.text);
        }
        for word in words {
            let day: NaiveDate = word["on_date"].as_str().unwrap().parse().unwrap();
            let date = day.format("%B %-d").to_string();
            let named = letters.iter().any(|text| text.contains(&date));
            let told = word["told"] == true && named;
            assert!(told || word["late"] == true, "{word} {letters:?}");
        }
        let waiting = "SELECT id FROM letters WHERE kind IN ('uncovered', 'covered_again')
            AND state IN ('owed', 'leased')";
        let waiting = self.ground.app.rows(waiting).await;
        assert!(waiting.is_empty(), "{waiting:?}");
    }
}

/// Protects places from two holders and from getting lost, people from turns in their own
/// absence, and bins from nobody knowing that nobody comes.
#[tokio::test]
async fn no_place_is_lost_or_held_in_an_absence_in_any_history() {
    let app = crate::frame::App::start_in_june_without_limits().await;
    let court = app.court().await;
    let app = std::sync::Arc::new(app);
    let ground = PlaceGround { app, court };
    let keeper = ground.neighbour(Role::Caretaker).await;
    let people = ground.residents::<4>().await;
    let data = tempfile::tempdir().unwrap();
    let mut letters = settings().letters;
    letters.to_one_address_per_hour = 0;
    let post = Post::of(data.path(), &letters).unwrap();
    let mut counts: BTreeMap<&'static str, usize> = BTreeMap::new();
    let seeds = FIRST_SEED..FIRST_SEED + histories();
    println!("seeds {seeds:?}");
    for seed in seeds {
        println!("seed {seed}");
        let mut random = StdRng::seed_from_u64(seed);
        let mut world = World {
            ground: &ground,
            post: &post,
            keeper: &keeper,
            people: &people,
            spots: Vec::new(),
            away: Vec::new(),
            now: "2026-06-10T17:00:00Z".parse().unwrap(),
            counts: BTreeMap::new(),
        };
        world.lay(&mut random).await;
        for _ in 0..STEPS {
            let who = random.random_range(0..people.len());
            let at = random.random_range(0..TURNS);
            match random.random_range(0..10) {
                0..3 => {
                    let first = world.today() + TimeDelta::days(random.random_range(0..10));
                    let last = first + TimeDelta::days(random.random_range(0..12));
                    world.tell(who, first, last).await;
                }
                3 => world.back(random.random_range(0..4)).await,
                4..7 => world.yes(who, at).await,
                7 => world.free(at).await,
                // So seldom that nothing between two looks is missed.
                _ => world.pass(random.random_range(1..20)).await,
            }
            look(&ground.app).await;
            world.send().await;
            world.check().await;
        }
        world.go_to_the_end().await;
        world.check().await;
        world.check_end().await;
        for (what, times) in world.counts {
            *counts.entry(what).or_default() += times;
        }
    }
    println!("{counts:?}");
    assert_eq!(counts.len(), 7, "{counts:?}");
}
