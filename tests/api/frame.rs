//! A service for each test: a fresh database, a free port, and people with sensible
//! defaults.

use chrono::{DateTime, TimeDelta, Utc};
use diesel::sql_types::Jsonb;
use diesel::{QueryableByName, sql_query};
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection};
use futures_util::FutureExt;
use reqwest::header::{HeaderMap, HeaderName, HeaderValue};
use reqwest::{Method, StatusCode};
use serde_json::{Value, json};
use std::collections::HashMap;
use std::io::Write;
use std::net::{IpAddr, TcpListener};
use std::sync::{Arc, Mutex, OnceLock};
use tracing_subscriber::util::SubscriberInitExt;
use uuid::Uuid;
use wormrota::api::{self, AppState};
use wormrota::clock::{self, Clock};
use wormrota::desk::Desk;
use wormrota::desk::add_account::{NewAccount, NewMember, add_account};
use wormrota::desk::credentials::{Bearer, Credentials, LinkFor};
use wormrota::private_postgres::{DATABASE, PrivatePostgres};
use wormrota::settings::{DatabaseUrl, Env, Log, LogFormat, Settings, SigningKey, SigningKeys};
use wormrota::store::sessions::{self, SessionRow};
use wormrota::store::{Store, demo_clock, migrate};
use wormrota::telemetry;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, SessionId, SiteId};

/// The password of everybody whom a test does not give another.
pub(crate) const PASSWORD: &str = "nine red wigglers";

/// Noon in Chicago, where the tests' site is.
pub(crate) const NOON_IN_JUNE: &str = "2026-06-10T17:00:00Z";

/// One server for the whole binary. It ends with this process, however that ends.
fn postgres() -> &'static PrivatePostgres {
    static SERVER: OnceLock<PrivatePostgres> = OnceLock::new();
    SERVER.get_or_init(|| {
        let server = PrivatePostgres::throwaway().unwrap();
        migrate::up(&DatabaseUrl::new(server.url(DATABASE))).unwrap();
        server
    })
}

/// A database of its own with every table, copied from the first one.
pub(crate) async fn fresh_database() -> DatabaseUrl {
    // Starting blocks for a second and migrating enters a runtime of its own.
    let server = tokio::task::spawn_blocking(postgres).await.unwrap();
    let name = format!("test_{}", Uuid::now_v7().simple());
    // Nobody but the one who copies may be connected to a template, hence another database.
    let mut conn = AsyncPgConnection::establish(&server.url("postgres"))
        .await
        .unwrap();
    let copying = COPYING.lock().await;
    conn.batch_execute(&format!(
        "CREATE DATABASE {name} TEMPLATE {DATABASE} STRATEGY FILE_COPY"
    ))
    .await
    .unwrap();
    drop(copying);
    DatabaseUrl::new(server.url(&name))
}

static COPYING: tokio::sync::Mutex<()> = tokio::sync::Mutex::const_new(());

/// An empty database.
pub(crate) async fn empty_database() -> DatabaseUrl {
    let server = tokio::task::spawn_blocking(postgres).await.unwrap();
    let name = format!("empty_{}", Uuid::now_v7().simple());
    let mut conn = AsyncPgConnection::establish(&server.url("postgres"))
        .await
        .unwrap();
    conn.batch_execute(&format!("CREATE DATABASE {name} TEMPLATE template0"))
        .await
        .unwrap();
    DatabaseUrl::new(server.url(&name))
}

/// What the database's server has logged so far.
pub(crate) fn server_log() -> String {
    std::fs::read_to_string(postgres().log_file()).unwrap()
}

/// Runs statements on a database.
pub(crate) async fn run_sql(url: &DatabaseUrl, statements: &str) {
    let mut conn = AsyncPgConnection::establish(url.reveal()).await.unwrap();
    conn.batch_execute(statements).await.unwrap();
}

/// Everything that this process has logged so far.
pub(crate) fn logged() -> String {
    String::from_utf8_lossy(&LOG.lock().unwrap()).into_owned()
}

static LOG: Mutex<Vec<u8>> = Mutex::new(Vec::new());

struct LogWriter;

impl Write for LogWriter {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        LOG.lock().unwrap().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn log_everything() {
    static STARTED: OnceLock<()> = OnceLock::new();
    STARTED.get_or_init(|| {
        let log = Log {
            format: LogFormat::Text,
            filter: "debug,wormrota=trace,wormrota_domain=trace".to_owned(),
        };
        telemetry::subscriber(&log, || LogWriter).unwrap().init();
    });
}

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

/// A site with one bin that takes full meals, and two of its people.
pub(crate) struct Court {
    pub(crate) educator: Person,
    pub(crate) resident: Person,
    pub(crate) site: Uuid,
    pub(crate) bin: Uuid,
}

impl Court {
    /// The address of the site, or of something in it.
    pub(crate) fn at(&self, rest: &str) -> String {
        format!("/v1/sites/{}{rest}", self.site)
    }

    /// The address of the bin, or of something in it.
    pub(crate) fn bin_at(&self, rest: &str) -> String {
        self.at(&format!("/bins/{}{rest}", self.bin))
    }
}

/// Somebody with an account.
#[derive(Debug, Clone)]
pub(crate) struct Person {
    pub(crate) account: AccountId,
    pub(crate) session: SessionId,
    pub(crate) email: String,
    pub(crate) token: String,
}

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) text: String,
}

impl Answer {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap_or_else(|_| panic!("no JSON: {}", self.text))
    }

    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).map(|value| value.to_str().unwrap())
    }

    /// Insists on success and gives the body.
    #[track_caller]
    pub(crate) fn ok(&self, status: u16) -> Value {
        assert_eq!(self.status.as_u16(), status, "{}", self.text);
        self.json()
    }

    /// Insists on a well-formed problem of one kind and gives its body.
    #[track_caller]
    pub(crate) fn problem(&self, status: u16, code: &str) -> Value {
        assert_eq!(self.status.as_u16(), status, "{}", self.text);
        assert_eq!(
            self.header("content-type"),
            Some("application/problem+json")
        );
        assert_eq!(self.header("cache-control"), Some("no-store"));
        let body = self.json();
        assert_eq!(body["code"], code, "{body}");
        assert_eq!(body["status"], status);
        assert_eq!(body["type"], format!("/problems/{code}"));
        assert_eq!(body["request_id"].as_str(), self.header("x-request-id"));
        for member in ["title", "detail"] {
            assert!(
                body[member].as_str().is_some_and(|text| !text.is_empty()),
                "{body}"
            );
        }
        body
    }

    /// Insists that exactly these fields are wrong.
    #[track_caller]
    pub(crate) fn wrong_fields(&self, pointers: &[&str]) {
        self.named_fields(422, "invalid_fields", pointers);
    }

    /// Insists that exactly these fields are well formed, but not possible.
    #[track_caller]
    pub(crate) fn conflicting_fields(&self, pointers: &[&str]) {
        self.named_fields(409, "conflicting_fields", pointers);
    }

    #[track_caller]
    fn named_fields(&self, status: u16, code: &str, pointers: &[&str]) {
        let body = self.problem(status, code);
        let found: Vec<&str> = body["errors"]
            .as_array()
            .unwrap()
            .iter()
            .map(|error| {
                assert!(
                    error["detail"].as_str().unwrap().starts_with("must "),
                    "{error}"
                );
                error["pointer"].as_str().unwrap()
            })
            .collect();
        assert_eq!(found, pointers, "{body}");
    }
}

/// Settings as they come out of the box, with a small pool and one thread.
pub(crate) fn settings() -> Settings {
    let env: Env = HashMap::from([
        (
            "WORMROTA__DATA_FOLDER".to_owned(),
            "/nonexistent".to_owned(),
        ),
        ("WORMROTA__DATABASE__POOL_SIZE".to_owned(), "5".to_owned()),
        ("WORMROTA__SERVER__WORKERS".to_owned(), "1".to_owned()),
        (
            "WORMROTA__SERVER__ANONYMOUS_REQUESTS_PER_MINUTE".to_owned(),
            "0".to_owned(),
        ),
    ]);
    Settings::load(&env).unwrap()
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
            client: reqwest::Client::builder().no_proxy().build().unwrap(),
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

    /// Somebody who belongs nowhere yet.
    pub(crate) async fn stranger(&self) -> Person {
        self.account(false, None).await
    }

    /// Somebody who may open sites.
    pub(crate) async fn educator(&self) -> Person {
        self.account(true, None).await
    }

    /// Somebody who belongs to a site.
    pub(crate) async fn member(&self, site: Uuid, role: Role) -> Person {
        let member = NewMember {
            site: SiteId(site),
            roles: vec![role],
            name: format!("A {}", role.code()),
            flat: Some("3b".to_owned()),
        };
        self.account(false, Some(member)).await
    }

    async fn account(&self, is_educator: bool, member: Option<NewMember>) -> Person {
        let email = format!("p{}@elmcourt.example", Uuid::now_v7().simple());
        let new = NewAccount {
            email: email.clone(),
            password: PASSWORD.to_owned(),
            is_educator,
            member,
        };
        let account = add_account(&self.desk, new, self.now().await)
            .await
            .unwrap();
        let session = self.session(account).await;
        Person {
            account,
            session,
            email,
            token: self.token(account, session),
        }
    }

    /// A fresh session of an account.
    pub(crate) async fn session(&self, account: AccountId) -> SessionId {
        let wall = clock::wall();
        let row = SessionRow {
            id: Uuid::now_v7(),
            account_id: account.0,
            began_with: "password".to_owned(),
            device: None,
            created_at: wall,
            last_used_at: wall,
            ends_at: wall + TimeDelta::days(1),
            revoked_at: None,
        };
        let id = SessionId(row.id);
        self.desk
            .store()
            .transact("begin a session", row, |conn, row| {
                sessions::insert(conn, row).boxed()
            })
            .await
            .unwrap();
        id
    }

    /// A fresh token for a session.
    pub(crate) fn token(&self, account: AccountId, session: SessionId) -> String {
        let tokens = &self.desk.credentials().tokens;
        let bearer = Bearer { account, session };
        tokens.issue(bearer, clock::wall()).unwrap().text
    }

    /// Who somebody is at a site.
    pub(crate) async fn member_id(&self, who: &Person, site: Uuid) -> Uuid {
        let site = self.get(who, &format!("/v1/sites/{site}")).await.ok(200);
        site["my_member_id"].as_str().unwrap().parse().unwrap()
    }

    /// Invites somebody; gives the invitation.
    pub(crate) async fn invite(&self, keeper: &Person, site: Uuid, body: &Value) -> Value {
        let path = format!("/v1/sites/{site}/invitations");
        self.post(keeper, &path, body).await.ok(201)
    }

    /// The secret of an invitation's link, as it stands in the letter.
    pub(crate) fn invitation_token(&self, invitation: &Value) -> String {
        let links = &self.desk.credentials().links;
        links.token(LinkFor::Invitation, id_of(invitation))
    }

    /// Somebody who waits to be let in, without an account and without an address.
    pub(crate) async fn newcomer(&self, keeper: &Person, site: Uuid, name: &str) -> Uuid {
        let path = format!("/v1/sites/{site}/joining_sheets");
        let new = json!({ "expires_in_days": 1, "most_uses": 1 });
        let sheet = self.post(keeper, &path, &new).await.ok(201);
        let joining = json!({ "code": sheet["code"], "name": name, "flat": "4a" });
        self.say("/v1/joinings", &joining).await.ok(201);
        let path = format!("/v1/sites/{site}/newcomers?limit=200");
        let waiting = self.get(keeper, &path).await.ok(200);
        let items = waiting["items"].as_array().unwrap();
        id_of(items.iter().find(|one| one["name"] == name).unwrap())
    }

    /// The same, let in.
    pub(crate) async fn without_address(&self, keeper: &Person, site: Uuid, name: &str) -> Uuid {
        let id = self.newcomer(keeper, site, name).await;
        let confirm = format!("/v1/sites/{site}/newcomers/{id}/confirmation");
        self.post(keeper, &confirm, &json!({})).await.ok(201);
        id
    }

    /// Somebody with a session that was just begun, as an answer gives it.
    pub(crate) fn person_of(body: &Value) -> Person {
        let session = &body["session"];
        let id = |name: &str| session[name].as_str().unwrap().parse().unwrap();
        Person {
            account: AccountId(id("account_id")),
            session: SessionId(id("session_id")),
            email: String::new(),
            token: session["access_token"].as_str().unwrap().to_owned(),
        }
    }

    /// Host and port.
    pub(crate) fn address(&self) -> &str {
        self.address.trim_start_matches("http://")
    }

    pub(crate) async fn now(&self) -> DateTime<Utc> {
        self.desk.now().await.unwrap()
    }

    /// Opens an ordinary building and gives its key.
    pub(crate) async fn site(&self, educator: &Person) -> Uuid {
        let answer = self.post(educator, "/v1/sites", &new_site()).await;
        id_of(&answer.ok(201))
    }

    /// Adds an ordinary bin and gives its key.
    pub(crate) async fn bin(&self, educator: &Person, site: Uuid) -> Uuid {
        let mut new = new_bin();
        new["name"] = format!("Bin {}", Uuid::now_v7().simple()).into();
        let answer = self
            .post(educator, &format!("/v1/sites/{site}/bins"), &new)
            .await;
        id_of(&answer.ok(201))
    }

    /// Adds a bin that took its worms five weeks ago, old enough for full meals, and got a
    /// small one yesterday; gives its key. (Hungry worms would eat more for being fed, and
    /// then room would not fall gram for gram.)
    pub(crate) async fn stocked_bin(&self, keeper: &Person, site: Uuid) -> Uuid {
        let bin = self.bin(keeper, site).await;
        let now = self.now().await;
        let path = format!("/v1/sites/{site}/bins/{bin}");
        let stocking = json!({
            "worms_kg": 0.8, "bedding_kg": 1.5, "stocked_at": now - TimeDelta::days(35),
        });
        self.post(keeper, &format!("{path}/stockings"), &stocking)
            .await
            .ok(201);
        let mut meal = weighed("usual-mix", 0.15);
        meal["fed_at"] = json!(now - TimeDelta::days(1));
        self.post(keeper, &format!("{path}/feedings/told"), &meal)
            .await
            .ok(201);
        bin
    }

    /// An ordinary building with a bin that takes full meals.
    pub(crate) async fn court(&self) -> Court {
        let educator = self.educator().await;
        let site = self.site(&educator).await;
        Court {
            bin: self.stocked_bin(&educator, site).await,
            resident: self.member(site, Role::Resident).await,
            educator,
            site,
        }
    }

    /// What a bin can take now, in grams.
    pub(crate) async fn room_g(&self, court: &Court) -> i64 {
        let room = self.get(&court.resident, &court.bin_at("/room")).await;
        grams(&room.ok(200)["room_kg"])
    }

    pub(crate) async fn get(&self, who: &Person, path: &str) -> Answer {
        self.ask(Method::GET, path).by(who).send().await
    }

    pub(crate) async fn post(&self, who: &Person, path: &str, body: &Value) -> Answer {
        self.ask(Method::POST, path).by(who).json(body).send().await
    }

    pub(crate) async fn patch(&self, who: &Person, path: &str, body: &Value) -> Answer {
        self.ask(Method::PATCH, path)
            .by(who)
            .json(body)
            .send()
            .await
    }

    pub(crate) async fn put(&self, who: &Person, path: &str, body: &Value) -> Answer {
        self.ask(Method::PUT, path).by(who).json(body).send().await
    }

    pub(crate) async fn delete(&self, who: &Person, path: &str) -> Answer {
        self.ask(Method::DELETE, path).by(who).send().await
    }

    /// A request without a token.
    pub(crate) async fn say(&self, path: &str, body: &Value) -> Answer {
        self.ask(Method::POST, path).json(body).send().await
    }

    /// A request without a token, from the address 127.0.0.`last`.
    pub(crate) async fn say_from(&self, last: u8, path: &str, body: &Value) -> Answer {
        let from = IpAddr::from([127, 0, 0, last]);
        let client = reqwest::Client::builder().no_proxy().local_address(from);
        let request = client
            .build()
            .unwrap()
            .post(format!("{}{path}", self.address));
        Ask { request }.json(body).send().await
    }

    /// A request to be put together.
    pub(crate) fn ask(&self, method: Method, path: &str) -> Ask {
        Ask {
            request: self
                .client
                .request(method, format!("{}{path}", self.address)),
        }
    }

    /// Runs statements on the test's database.
    pub(crate) async fn sql(&self, statements: &str) {
        run_sql(&self.url, statements).await;
    }

    /// Every table with the number of its rows and a digest of what is in them, but for the
    /// one that counts how often somebody asks.
    pub(crate) async fn contents(&self) -> Vec<Value> {
        let tables = "SELECT tablename AS name FROM pg_tables
                      WHERE schemaname = 'public' AND tablename <> 'allowances'";
        let digests: Vec<String> = self
            .rows(tables)
            .await
            .iter()
            .map(|table| {
                let name = table["name"].as_str().unwrap();
                format!(
                    "SELECT '{name}' AS name, count(*) AS rows,
                        md5(coalesce(string_agg(t::text, '|' ORDER BY t::text), '')) AS digest
                     FROM {name} AS t"
                )
            })
            .collect();
        assert!(digests.len() > 10, "{digests:?}");
        let all = digests.join(" UNION ALL ");
        self.rows(&format!("{all} ORDER BY 1")).await
    }

    /// The rows that a query finds, as objects.
    pub(crate) async fn rows(&self, query: &str) -> Vec<Value> {
        let mut conn = AsyncPgConnection::establish(self.url.reveal())
            .await
            .unwrap();
        let query = format!("SELECT to_jsonb(found) AS found FROM ({query}) AS found");
        let rows: Vec<Row> = sql_query(query).load(&mut conn).await.unwrap();
        rows.into_iter().map(|row| row.found).collect()
    }
}

#[derive(QueryableByName)]
struct Row {
    #[diesel(sql_type = Jsonb)]
    found: Value,
}

/// A request to be put together.
pub(crate) struct Ask {
    request: reqwest::RequestBuilder,
}

impl Ask {
    pub(crate) fn by(self, who: &Person) -> Self {
        self.header("authorization", &format!("Bearer {}", who.token))
    }

    pub(crate) fn header(self, name: &str, value: &str) -> Self {
        let name = HeaderName::from_bytes(name.as_bytes()).unwrap();
        let value = HeaderValue::from_str(value).unwrap();
        Self {
            request: self.request.header(name, value),
        }
    }

    pub(crate) fn json(self, body: &Value) -> Self {
        self.header("content-type", "application/json")
            .body(body.to_string())
    }

    pub(crate) fn body(self, body: impl Into<reqwest::Body>) -> Self {
        Self {
            request: self.request.body(body),
        }
    }

    pub(crate) async fn send(self) -> Answer {
        let response = self.request.send().await.unwrap();
        Answer {
            status: response.status(),
            headers: response.headers().clone(),
            text: response.text().await.unwrap(),
        }
    }
}

/// The key in a body.
pub(crate) fn id_of(body: &Value) -> Uuid {
    body["id"].as_str().unwrap().parse().unwrap()
}

/// Grams of an amount in kilograms.
#[track_caller]
pub(crate) fn grams(kg: &Value) -> i64 {
    let grams = kg.as_f64().unwrap_or_else(|| panic!("no amount: {kg}")) * 1000.0;
    #[expect(clippy::cast_possible_truncation, reason = "amounts are whole grams")]
    let whole = grams.round() as i64;
    whole
}

/// An offer of one food by weight.
pub(crate) fn weighed(food: &str, kg: f64) -> Value {
    json!({ "items": [{ "food": food, "amount_kg": kg }] })
}

/// An ordinary building.
pub(crate) fn new_site() -> Value {
    json!({
        "name": "Elm Court",
        "zone": "America/Chicago",
        "units": "us",
        "language": "en",
        "paper": "letter",
        "my_name": "Ada",
    })
}

/// An ordinary bin.
pub(crate) fn new_bin() -> Value {
    json!({
        "name": "Stairwell bin",
        "spot": "indoors",
        "vessel": "trays",
        "surface_m2": 0.1625,
        "trays": [{ "volume_l": 18.9 }, { "volume_l": 18.9 }],
    })
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
