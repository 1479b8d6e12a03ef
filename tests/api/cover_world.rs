//! A site with a few turns that live through random histories, and what should hold of it: who
//! holds what, told in the plainest words.

use crate::cover_ground::look;
use crate::frame::Answer;
use crate::place_ground::{Neighbour, PlaceGround};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use rand::RngExt;
use rand::rngs::StdRng;
use reqwest::Method;
use serde_json::json;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota::letters::Post;

pub(crate) const TURNS: usize = 5;

#[derive(Debug, Clone, Copy)]
pub(crate) struct Spot {
    turn: Uuid,
    place: Uuid,
    day: NaiveDate,
    holder: Option<usize>,
    /// Whose place it was, and of which absence, while a call goes on.
    origin: Option<(usize, Uuid)>,
    call: Option<Uuid>,
}

pub(crate) struct World<'a> {
    pub(crate) ground: &'a PlaceGround,
    pub(crate) post: &'a Post,
    pub(crate) keeper: &'a Neighbour,
    pub(crate) people: &'a [Neighbour],
    pub(crate) spots: Vec<Spot>,
    /// Absences that are not over: who, from, to, key.
    pub(crate) away: Vec<(usize, NaiveDate, NaiveDate, Uuid)>,
    pub(crate) now: DateTime<Utc>,
    pub(crate) counts: BTreeMap<&'static str, usize>,
}

fn day(n: i64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 10).unwrap() + TimeDelta::days(n)
}

/// The end of a local day in Chicago in summer.
fn end_of(day: NaiveDate) -> DateTime<Utc> {
    day.and_hms_opt(5, 0, 0).unwrap().and_utc() + TimeDelta::days(1)
}

pub(crate) fn key(value: &serde_json::Value) -> Uuid {
    value.as_str().unwrap().parse().unwrap()
}

impl World<'_> {
    pub(crate) fn today(&self) -> NaiveDate {
        (self.now - TimeDelta::hours(5)).date_naive()
    }

    fn is_away(&self, who: usize, on: NaiveDate) -> bool {
        let mut away = self.away.iter();
        away.any(|(of, first, last, _)| *of == who && (*first..=*last).contains(&on))
    }

    fn count(&mut self, what: &'static str) {
        *self.counts.entry(what).or_default() += 1;
    }

    pub(crate) async fn lay(&mut self, random: &mut StdRng) {
        let app = &self.ground.app;
        app.sql("DELETE FROM calls; DELETE FROM places; DELETE FROM turns; DELETE FROM absences; DELETE FROM letters; DELETE FROM jobs")
            .await;
        app.set_clock("2026-06-10T17:00:00Z").await;
        let mut ahead = 0;
        for _ in 0..TURNS {
            ahead += random.random_range(1..6);
            let on = day(ahead);
            let turn = self.ground.turn(&on.to_string(), 1).await;
            let holder = random.random_range(0..self.people.len());
            // A rota may leave one empty.
            let holder = random.random_bool(0.75).then_some(holder);
            let place = match holder {
                Some(holder) => self.ground.taken(&self.people[holder].who, turn).await,
                None => self.place_of(turn).await,
            };
            self.spots.push(Spot {
                turn,
                place,
                day: on,
                holder,
                origin: None,
                call: None,
            });
        }
    }

    async fn place_of(&self, turn: Uuid) -> Uuid {
        let query = format!("SELECT id FROM places WHERE turn_id = '{turn}'");
        key(&self.ground.app.rows(&query).await[0]["id"])
    }

    /// The keeper wants somebody on a place that nobody holds.
    pub(crate) async fn seek(&mut self, at: usize) {
        let spot = self.spots[at];
        if spot.holder.is_some() || end_of(spot.day) <= self.now {
            return;
        }
        let path = format!("/turns/{}/places/{}/call", spot.turn, spot.place);
        let path = self.ground.court.at(&path);
        let ask = self.ground.app.ask(Method::POST, &path);
        let told = ask.by(&self.keeper.who).send().await.ok(201);
        let call = key(&told["call_id"]);
        assert!(spot.call.is_none_or(|known| known == call), "one call");
        assert!(["open", "nobody"].contains(&told["state"].as_str().unwrap()));
        self.spots[at].call = Some(call);
        if spot.origin.is_none() {
            self.count("looked for where nobody was");
        }
    }

    /// Finds out what the service looks for by itself.
    pub(crate) async fn hear(&mut self) {
        let begun = "SELECT id, place_id FROM calls WHERE away_id IS NULL";
        for row in self.ground.app.rows(begun).await {
            let place = key(&row["place_id"]);
            let call = key(&row["id"]);
            let spot = self.spots.iter_mut().find(|spot| spot.place == place);
            let spot = spot.unwrap();
            assert!(spot.origin.is_none(), "somebody is away: {spot:?}");
            assert!(spot.call.is_none_or(|known| known == call), "two calls");
            if spot.call.is_none() {
                assert_eq!(spot.holder, None, "held, and looked for: {spot:?}");
                spot.call = Some(call);
                self.count("the service looked by itself");
            }
        }
    }

    pub(crate) async fn tell(&mut self, who: usize, first: NaiveDate, last: NaiveDate) {
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
            if spot.call.is_none() {
                spot.origin = Some((who, absence));
            } else {
                assert_eq!(spot.call, Some(call), "the search goes on");
            }
            spot.call = Some(call);
        }
        assert_eq!(given_up.len(), expected.len(), "{told}");
        self.count("absences");
    }

    pub(crate) async fn back(&mut self, at: usize) {
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

    pub(crate) async fn yes(&mut self, who: usize, at: usize) {
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
        let problem = |code| {
            if is_in {
                answer.problem(409, code)
            } else {
                answer.problem(404, "not_found")
            }
        };
        match spot.holder {
            Some(holder) if holder == who => {
                answer.ok(200);
            }
            _ if over => {
                problem("ended_already");
            }
            Some(_) => {
                problem("no_free_place");
                self.count("somebody was quicker");
            }
            None if self.is_away(who, spot.day) => {
                problem("rules_broken");
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

    pub(crate) async fn free(&mut self, at: usize) {
        let spot = self.spots[at];
        let helps = spot.call.is_some() && spot.holder.is_some();
        if !helps || spot.day < self.today() || end_of(spot.day) <= self.now {
            return;
        }
        let by = &self.keeper.who;
        let answer = self.ground.give_back(by, (spot.turn, spot.place)).await;
        assert_eq!(answer.status, 204, "{}", answer.text);
        self.spots[at].holder = None;
        self.count("given back");
    }

    pub(crate) async fn pass(&mut self, hours: i64) {
        self.now += TimeDelta::hours(hours);
        self.ground.app.set_clock(&self.now.to_rfc3339()).await;
        self.letters_wait_for(hours).await;
        look(&self.ground.app).await;
        self.send().await;
    }

    /// Goes on to a day before each turn, and to its end.
    pub(crate) async fn go_to_the_end(&mut self) {
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
    pub(crate) async fn check(&self) {
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
    pub(crate) async fn check_end(&self) {
        let going = "SELECT id FROM calls WHERE closed_at IS NULL";
        assert!(
            self.ground.app.rows(going).await.is_empty(),
            "sought for ever"
        );
        self.check_letters().await;
    }
}
