//! A service for each test: a fresh database, a free port, and people with sensible
//! defaults.

mod answer;
mod asking;
mod court;
mod databases;
mod log;
mod people;

pub(crate) use answer::Answer;
pub(crate) use asking::Ask;
pub(crate) use court::{Court, grams, new_bin, new_site, weighed};
pub(crate) use databases::{empty_database, fresh_database, run_sql, server_log};
pub(crate) use log::logged;
pub(crate) use people::Person;

use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use log::log_everything;
use serde_json::Value;
use std::collections::HashMap;
use std::net::TcpListener;
use std::sync::Arc;
use uuid::Uuid;
use wormrota::api::{self, AppState};
use wormrota::clock::{self, Clock};
use wormrota::desk::Desk;
use wormrota::desk::credentials::Credentials;
use wormrota::settings::{DatabaseUrl, Env, Settings, SigningKey, SigningKeys};
use wormrota::store::{Store, demo_clock};

/// The password of everybody whom a test does not give another.
pub(crate) const PASSWORD: &str = "nine red wigglers";

/// Noon in Chicago, where the tests' site is.
pub(crate) const NOON_IN_JUNE: &str = "2026-06-10T17:00:00Z";

/// The key that signs the tokens of tests.
pub(crate) fn signing_key() -> SigningKey {
    SigningKey {
        kid: "test".to_owned(),
        secret: vec![7; 32],
    }
}

/// A running service with its own database.
pub(crate) struct App {
    pub(crate) desk: Desk,
    pub(crate) url: DatabaseUrl,
    address: String,
    client: reqwest::Client,
}

/// Settings as they come out of the box, with a small pool and one thread.
pub(crate) fn settings() -> Settings {
    let env: Env = HashMap::from([
        (
            "WORMROTA__DATA_FOLDER".to_owned(),
            "/nonexistent".to_owned(),
        ),
        ("WORMROTA__DATABASE__POOL_SIZE".to_owned(), "5".to_owned()),
        // A busy machine makes everything slow, and a crowd waits for its turn: what these tests
        // protect is what becomes of it, not that a service under too much load says so.
        (
            "WORMROTA__DATABASE__POOL_WAIT_MS".to_owned(),
            "60000".to_owned(),
        ),
        (
            "WORMROTA__DATABASE__STATEMENT_TIMEOUT_MS".to_owned(),
            "60000".to_owned(),
        ),
        ("WORMROTA__SERVER__WORKERS".to_owned(), "1".to_owned()),
        (
            "WORMROTA__SERVER__ANONYMOUS_REQUESTS_PER_MINUTE".to_owned(),
            "0".to_owned(),
        ),
    ]);
    Settings::load(&env).unwrap()
}

/// A client that opens a connection for each request. One that was kept could be closed by the
/// service, which keeps it for seconds, while a busy machine is about to use it again.
fn client() -> reqwest::ClientBuilder {
    reqwest::Client::builder()
        .no_proxy()
        .pool_max_idle_per_host(0)
}

impl App {
    /// A service on a database of its own.
    pub(crate) async fn start() -> Self {
        let url = fresh_database().await;
        Self::on(url, settings())
    }

    /// A service on a given database.
    pub(crate) fn on(url: DatabaseUrl, settings: Settings) -> Self {
        log_everything();
        let keys = SigningKeys {
            first: signing_key(),
            older: Vec::new(),
        };
        let store = Store::connect(&url, &settings.database).unwrap();
        let credentials = Credentials::new(&settings.sign_in, &keys).unwrap();
        // As the demo's, so that tests can choose the time.
        let desk = Desk::new(
            store,
            Clock::Demo,
            credentials,
            settings.living_bin.clone(),
            settings.people,
        );
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}", listener.local_addr().unwrap());
        let state = AppState::new(desk.clone(), settings.server, &settings.letters).unwrap();
        tokio::spawn(api::run(listener, state).unwrap());
        Self {
            desk,
            url,
            address,
            client: client().build().unwrap(),
        }
    }

    /// A service at noon of a summer's day: what a bin can take does not depend on the day
    /// on which the tests run, and no test crosses midnight.
    pub(crate) async fn start_in_june() -> Self {
        let app = Self::start().await;
        app.set_clock(NOON_IN_JUNE).await;
        app
    }

    /// The same where nobody can ask too often: for tests that ask for everything there is.
    pub(crate) async fn start_in_june_without_limits() -> Self {
        let mut settings = settings();
        settings.server.requests_per_minute = 0;
        settings.server.anonymous_requests_per_minute = 0;
        let app = Self::on(fresh_database().await, settings);
        app.set_clock(NOON_IN_JUNE).await;
        app
    }

    /// Moves the clock of all copies, as in the demo. It goes on from there.
    pub(crate) async fn set_clock(&self, to: &str) {
        let offset = to.parse::<DateTime<Utc>>().unwrap() - clock::wall();
        self.desk
            .store()
            .transact("move the clock", offset, |conn, offset| {
                demo_clock::set(conn, *offset).boxed()
            })
            .await
            .unwrap();
    }

    /// Host and port.
    pub(crate) fn address(&self) -> &str {
        self.address.trim_start_matches("http://")
    }

    pub(crate) async fn now(&self) -> DateTime<Utc> {
        self.desk.now().await.unwrap()
    }
}

/// The key in a body.
pub(crate) fn id_of(body: &Value) -> Uuid {
    body["id"].as_str().unwrap().parse().unwrap()
}

/// Runs requests at once and gives all answers.
pub(crate) async fn all_at_once<T: Send + 'static>(
    futures: impl IntoIterator<Item = impl Future<Output = T> + Send + 'static>,
) -> Vec<T> {
    let barrier_free: Vec<_> = futures.into_iter().map(tokio::spawn).collect();
    let mut answers = Vec::new();
    for running in barrier_free {
        answers.push(running.await.unwrap());
    }
    answers
}

/// A service that several tasks can talk to.
pub(crate) async fn shared() -> Arc<App> {
    Arc::new(App::start().await)
}
