//! What the tests of places stand on: a building with a bin, turns put there by hand, and people
//! with limits of their own.

use crate::frame::{Answer, App, Court, Person, id_of};
use reqwest::Method;
use serde_json::{Value, json};
use std::fmt::Write;
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, SessionId};

/// Noon of Wednesday, June 10, at a building with a bin that takes full meals.
pub(crate) struct PlaceGround {
    pub(crate) app: Arc<App>,
    pub(crate) court: Court,
}

/// Somebody at the site, with the key they have there.
#[derive(Clone)]
pub(crate) struct Neighbour {
    pub(crate) who: Person,
    pub(crate) id: Uuid,
}

impl PlaceGround {
    pub(crate) async fn open() -> Self {
        let app = Arc::new(App::start_in_june().await);
        let court = app.court().await;
        Self { app, court }
    }

    pub(crate) async fn neighbour(&self, role: Role) -> Neighbour {
        let who = self.app.member(self.court.site, role).await;
        let id = self.app.member_id(&who, self.court.site).await;
        Neighbour { who, id }
    }

    pub(crate) async fn residents<const N: usize>(&self) -> [Neighbour; N] {
        let mut found = Vec::new();
        for _ in 0..N {
            found.push(self.neighbour(Role::Resident).await);
        }
        found.try_into().unwrap_or_else(|_| unreachable!())
    }

    /// Site and bin.
    pub(crate) const fn bin(&self) -> (Uuid, Uuid) {
        (self.court.site, self.court.bin)
    }

    /// A feeding of the bin on a day.
    pub(crate) async fn turn(&self, on_date: &str, places: u8) -> Uuid {
        turn_of(&self.app, self.bin(), ("feeding", on_date), places).await
    }

    /// Gives somebody limits: columns with their values.
    pub(crate) async fn limit(&self, of: &Neighbour, column: &str, value: &str) {
        let site = self.court.site;
        let id = of.id;
        self.app
            .sql(&format!(
                "INSERT INTO member_limits (site_id, member_id, cannot_weekdays, likes_weekdays,
                    rather_not_weekdays, rest_days, only_trained_bins, experienced, not_alone,
                    revision)
                 VALUES ('{site}', '{id}', '{{}}', '{{}}', '{{}}', 0, false, false, false, 1)
                 ON CONFLICT DO NOTHING;
                 UPDATE member_limits SET {column} = {value}
                 WHERE site_id = '{site}' AND member_id = '{id}'"
            ))
            .await;
    }

    pub(crate) async fn keep_apart(&self, one: &Neighbour, other: &Neighbour) {
        let (site, pair) = (self.court.site, Uuid::now_v7());
        let (less, more) = (one.id.min(other.id), one.id.max(other.id));
        self.app
            .sql(&format!(
                "INSERT INTO apart_pairs VALUES
                    ('{site}', '{pair}', '{less}', '{more}', '2026-06-01T00:00:00Z')"
            ))
            .await;
    }

    pub(crate) async fn take(&self, by: &Person, turn: Uuid, body: &Value) -> Answer {
        let path = self.court.at(&format!("/turns/{turn}/places"));
        self.app.post(by, &path, body).await
    }

    /// Takes a place and gives its key.
    pub(crate) async fn taken(&self, by: &Person, turn: Uuid) -> Uuid {
        id_of(&self.take(by, turn, &json!({})).await.ok(201))
    }

    pub(crate) async fn change(
        &self,
        by: &Person,
        (turn, place): (Uuid, Uuid),
        body: &Value,
    ) -> Answer {
        let path = self.court.at(&format!("/turns/{turn}/places/{place}"));
        self.app.patch(by, &path, body).await
    }

    pub(crate) async fn give_back(&self, by: &Person, (turn, place): (Uuid, Uuid)) -> Answer {
        let path = self.court.at(&format!("/turns/{turn}/places/{place}"));
        self.app.ask(Method::DELETE, &path).by(by).send().await
    }

    /// Who holds the places of a turn, by seat.
    pub(crate) async fn holders(&self, turn: Uuid) -> Vec<Option<Uuid>> {
        let query = format!("SELECT member_id FROM places WHERE turn_id = '{turn}' ORDER BY seat");
        let key = |row: &Value| row["member_id"].as_str().map(|id| id.parse().unwrap());
        self.app.rows(&query).await.iter().map(key).collect()
    }

    /// The states of a member's bookings, in the order in which they were made.
    pub(crate) async fn bookings(&self, of: &Neighbour) -> Vec<(String, i64)> {
        let query = format!(
            "SELECT state, promised_g FROM bookings WHERE member_id = '{}' ORDER BY id",
            of.id
        );
        let rows = self.app.rows(&query).await;
        let read = |row: &Value| {
            let state = row["state"].as_str().unwrap().to_owned();
            (state, row["promised_g"].as_i64().unwrap())
        };
        rows.iter().map(read).collect()
    }

    /// The lines that the trail has about turns, without those of people.
    pub(crate) async fn trail(&self) -> Vec<Value> {
        let query = "SELECT deed, member_id, detail FROM audit WHERE subject_kind = 'turn'
                     ORDER BY at, id";
        self.app.rows(query).await
    }
}

/// A turn of a site's bin with free places, added by hand.
pub(crate) async fn turn_of(
    app: &App,
    (site, bin): (Uuid, Uuid),
    (duty, on_date): (&str, &str),
    places: u8,
) -> Uuid {
    let turn = Uuid::now_v7();
    app.sql(&format!(
        "INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, off_pattern, created_at,
            revision)
         VALUES ('{site}', '{turn}', '{bin}', '{on_date}', '{duty}', 1, false,
            '2026-06-01T00:00:00Z', 1);
         INSERT INTO places (site_id, id, turn_id, seat, kept)
         SELECT '{site}', gen_random_uuid(), '{turn}', seat, false
         FROM generate_series(1, {places}) AS seat"
    ))
    .await;
    turn
}

/// Many residents at once, without passwords: nobody of a crowd signs in with one.
pub(crate) async fn crowd_of(app: &App, site: Uuid, people: usize) -> Vec<Neighbour> {
    let crowd: Vec<Neighbour> = (0..people)
        .map(|_| {
            let (account, session) = (AccountId(Uuid::now_v7()), SessionId(Uuid::now_v7()));
            let who = Person {
                token: app.token(account, session),
                email: String::new(),
                account,
                session,
            };
            let id = Uuid::now_v7();
            Neighbour { who, id }
        })
        .collect();
    let mut sql = String::new();
    for one in &crowd {
        let (account, session, id) = (one.who.account, one.who.session, one.id);
        let since = "2026-06-01T00:00:00Z";
        write!(
            sql,
            "INSERT INTO accounts (id, is_educator, created_at)
                VALUES ('{account}', false, '{since}');
             INSERT INTO sessions (id, account_id, began_with, created_at, last_used_at, ends_at)
                VALUES ('{session}', '{account}', 'slip', now(), now(), now() + interval '1 day');
             INSERT INTO members (site_id, id, account_id, joined_at, revision)
                VALUES ('{site}', '{id}', '{account}', '{since}', 1);
             INSERT INTO member_roles (site_id, member_id, role)
                VALUES ('{site}', '{id}', 'resident');
             INSERT INTO member_names (site_id, member_id, name)
                VALUES ('{site}', '{id}', 'One of a crowd');"
        )
        .unwrap();
    }
    app.sql(&sql).await;
    crowd
}
