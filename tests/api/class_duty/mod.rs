//! Who of a class is when: everybody once before anybody twice, by the planner and by hand, and
//! who steps in for whoever is away.

mod behind_locks;
mod by_hand;
mod eyes;
mod sharing;

use crate::frame::{Answer, App, Person, id_of};
use chrono::NaiveDate;
use serde_json::{Value, json};
use uuid::Uuid;
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
