//! A house with people and turns, put into the tables directly.

use crate::frame::{App, Person, id_of};
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::sync::Arc;
use uuid::Uuid;
use wormrota::work::drafting::draft_all;
use wormrota_domain::access::Role;

/// A house with a caretaker, an educator, one resident who can sign in, and others who cannot.
pub(super) struct House {
    pub(super) app: Arc<App>,
    pub(super) educator: Person,
    pub(super) caretaker: Person,
    pub(super) resident: Person,
    /// The residents, the one who can sign in first, in the order of their keys.
    pub(super) residents: Vec<Uuid>,
    pub(super) site: Uuid,
    pub(super) bin: Uuid,
}

impl House {
    /// At noon of 10 June 2026, with so many residents and no turns yet.
    pub(super) async fn open(residents: usize) -> Self {
        let app = Arc::new(App::start_in_june().await);
        let educator = app.educator().await;
        let site = app.site(&educator).await;
        let bin = app.bin(&educator, site).await;
        let caretaker = app.member(site, Role::Caretaker).await;
        let resident = app.member(site, Role::Resident).await;
        let mut house = Self {
            residents: vec![app.member_id(&resident, site).await],
            app,
            educator,
            caretaker,
            resident,
            site,
            bin,
        };
        for _ in 1..residents {
            house.add_resident().await;
        }
        house
    }

    /// One more resident, without an account.
    pub(super) async fn add_resident(&mut self) -> Uuid {
        let (site, id) = (self.site, Uuid::now_v7());
        let name = format!("Resident {}", self.residents.len() + 1);
        self.sql(&format!(
            "INSERT INTO members (site_id, id, joined_at, revision)
                 VALUES ('{site}', '{id}', '2026-06-01T00:00:00Z', 1);
             INSERT INTO member_roles (site_id, member_id, role)
                 VALUES ('{site}', '{id}', 'resident');
             INSERT INTO member_names (site_id, member_id, name)
                 VALUES ('{site}', '{id}', '{name}');"
        ))
        .await;
        self.residents.push(id);
        id
    }

    /// A turn on every so many days of a span, both days included.
    pub(super) async fn add_turns(&self, first: &str, last: &str, every: u32, places: u32) {
        let (site, bin) = (self.site, self.bin);
        let mut statements = String::new();
        let first: chrono::NaiveDate = first.parse().unwrap();
        let last: chrono::NaiveDate = last.parse().unwrap();
        for day in first
            .iter_days()
            .step_by(every as usize)
            .take_while(|day| *day <= last)
        {
            let id = Uuid::now_v7();
            write!(
                statements,
                "INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, off_pattern,
                     created_at, revision)
                 VALUES ('{site}', '{id}', '{bin}', '{day}', 'feeding', 1, false,
                     '2026-06-01T00:00:00Z', 1);"
            )
            .unwrap();
            for seat in 1..=places {
                let place = Uuid::now_v7();
                write!(
                    statements,
                    "INSERT INTO places (site_id, id, turn_id, seat, kept)
                     VALUES ('{site}', '{place}', '{id}', {seat}, false);"
                )
                .unwrap();
            }
        }
        self.sql(&statements).await;
    }

    /// What a resident cannot, as columns of the table with their values.
    pub(super) async fn limit(&self, member: Uuid, columns: &[(&str, &str)]) {
        let site = self.site;
        let mut all = BTreeMap::from([
            ("cannot_weekdays", "'{}'"),
            ("likes_weekdays", "'{}'"),
            ("rather_not_weekdays", "'{}'"),
            ("rest_days", "0"),
            ("only_trained_bins", "false"),
            ("experienced", "false"),
            ("not_alone", "false"),
            ("revision", "1"),
        ]);
        all.extend(columns.iter().copied());
        let names: Vec<&str> = all.keys().copied().collect();
        let values: Vec<&str> = all.values().copied().collect();
        self.sql(&format!(
            "DELETE FROM member_limits WHERE member_id = '{member}';
             INSERT INTO member_limits (site_id, member_id, {})
                 VALUES ('{site}', '{member}', {});",
            names.join(", "),
            values.join(", "),
        ))
        .await;
    }

    /// Days on which a resident is away.
    pub(super) async fn away(&self, member: Uuid, first: &str, last: &str) {
        let (site, id) = (self.site, Uuid::now_v7());
        self.sql(&format!(
            "INSERT INTO absences (site_id, id, member_id, first_day, last_day, reported_by,
                 created_at)
             VALUES ('{site}', '{id}', '{member}', '{first}', '{last}', '{member}',
                 '2026-06-01T00:00:00Z')"
        ))
        .await;
    }

    /// Keeps two residents apart.
    pub(super) async fn apart(&self, one: Uuid, other: Uuid) {
        let (site, id) = (self.site, Uuid::now_v7());
        let (one, other) = (one.min(other), one.max(other));
        self.sql(&format!(
            "INSERT INTO apart_pairs (site_id, id, one_id, other_id, created_at)
             VALUES ('{site}', '{id}', '{one}', '{other}', '2026-06-01T00:00:00Z')"
        ))
        .await;
    }

    /// Gives the first free place on a day to a resident.
    pub(super) async fn give(&self, member: Uuid, day: &str, how: &str, kept: bool) {
        self.sql(&format!(
            "UPDATE places SET member_id = '{member}', how = '{how}', kept = {kept},
                 held_since = '2026-06-01T00:00:00Z'
             WHERE id = (SELECT places.id FROM places JOIN turns ON turns.id = turn_id
                 WHERE on_date = '{day}' AND member_id IS NULL ORDER BY seat LIMIT 1)"
        ))
        .await;
    }

    pub(super) async fn sql(&self, statements: &str) {
        self.app.sql(statements).await;
    }

    pub(super) fn at(&self, rest: &str) -> String {
        format!("/v1/sites/{}{rest}", self.site)
    }

    /// Asks for a draft of some days as the caretaker.
    pub(super) async fn ask(&self, first: &str, last: &str) -> Uuid {
        let new = json!({ "first_day": first, "last_day": last, "seed": 7 });
        let asked = self
            .app
            .post(&self.caretaker, &self.at("/rotas"), &new)
            .await;
        id_of(&asked.ok(202))
    }

    /// Asks for a draft and waits for it.
    pub(super) async fn draft(&self, first: &str, last: &str) -> Uuid {
        let id = self.ask(first, last).await;
        assert_eq!(draft_all(&self.app.desk).await.unwrap(), 1);
        id
    }

    /// A rota in the eyes of the caretaker.
    pub(super) async fn see(&self, rota: Uuid) -> Value {
        let path = self.at(&format!("/rotas/{rota}"));
        self.app.get(&self.caretaker, &path).await.ok(200)
    }

    pub(super) async fn put_up(&self, rota: Uuid) -> crate::frame::Answer {
        put_up(&self.app, &self.caretaker, self.site, rota).await
    }

    /// The turns of a rota, with who is to hold their places and who does.
    pub(super) async fn places(&self, rota: Uuid) -> Vec<Value> {
        let path = self.at(&format!("/rotas/{rota}/places?limit=200"));
        let page = self.app.get(&self.caretaker, &path).await.ok(200);
        page["items"].as_array().unwrap().clone()
    }

    /// Who holds which place, by day and seat.
    pub(super) async fn held(&self) -> Vec<Value> {
        let query = "SELECT on_date, seat, member_id, how, kept FROM places
             JOIN turns ON turns.id = turn_id ORDER BY on_date, turn_id, seat";
        self.app.rows(query).await
    }

    /// How many places each resident holds, in their order.
    pub(super) async fn counts(&self) -> Vec<usize> {
        let held = self.held().await;
        let count = |member: &Uuid| {
            let member = json!(member);
            held.iter()
                .filter(|place| place["member_id"] == member)
                .count()
        };
        self.residents.iter().map(count).collect()
    }
}

/// Puts up a rota through a copy of the service.
pub(super) async fn put_up(
    app: &App,
    who: &Person,
    site: Uuid,
    rota: Uuid,
) -> crate::frame::Answer {
    let path = format!("/v1/sites/{site}/rotas/{rota}/put_up");
    app.ask(Method::POST, &path).by(who).send().await
}
