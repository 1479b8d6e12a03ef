//! A crowd feeds one bin at the same instant, through two copies of the service on one
//! database: what is allowed is never more than the room, and everybody gets an answer
//! with its reason.
//!
//! `WORMROTA_CROWD_ROUNDS` sets the number of rounds, `WORMROTA_CROWD_SEED` repeats a run.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "helpers of tests are tests too; the figures are for whoever runs it"
)]

use diesel::sql_types::BigInt;
use diesel::{QueryableByName, sql_query};
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl};
use nix::sys::signal::{Signal, kill};
use nix::unistd::Pid;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use serde_json::{Value, json};
use std::fs::{self, File};
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::Barrier;
use wormrota::private_postgres::{DATABASE, PrivatePostgres};

const CLIENTS: usize = 64;
/// Rounds when nobody asks for more.
const ROUNDS: usize = 10;
const EMAIL: &str = "ada@elmcourt.example";
const PASSWORD: &str = "nine red wigglers";

/// The room is shown in whole grams, rounded down, and the worms go on eating while the
/// crowd is served: a gram may come free that was not shown before.
const A_GRAM: i64 = 1;

/// The program with a data folder of its own, as each copy has one.
struct Program {
    folder: tempfile::TempDir,
    database: String,
}

impl Program {
    fn new(database: &str) -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
            database: database.to_owned(),
        }
    }

    fn command(&self, command: &str) -> Command {
        let mut program = Command::new(env!("CARGO_BIN_EXE_wormrota"));
        program
            .arg(command)
            .env_clear()
            .env("DATABASE_URL", &self.database)
            // 32 bytes; a token of one copy is good at the other.
            .env("WORMROTA_SIGNING_KEYS", format!("crowd:{}", "A".repeat(43)))
            .env("WORMROTA__DATA_FOLDER", self.folder.path())
            .env("WORMROTA__SERVER__ADDRESS", "127.0.0.1:0")
            // One account and one address stand for many people.
            .env("WORMROTA__SERVER__REQUESTS_PER_MINUTE", "0")
            .env("WORMROTA__SERVER__ANONYMOUS_REQUESTS_PER_MINUTE", "0")
            // Tries that were lost are told at this level.
            .env("WORMROTA__LOG__FILTER", "warn,wormrota::store=debug")
            .stdin(Stdio::null());
        program
    }

    fn run(&self, command: &str, arguments: &[&str], input: &str) {
        let mut child = self
            .command(command)
            .args(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let mut stdin = child.stdin.take().unwrap();
        // A command that asks for nothing may have ended already.
        let _ = stdin.write_all(input.as_bytes());
        drop(stdin);
        assert!(child.wait().unwrap().success(), "{command}");
    }

    fn serve(self) -> Copy {
        let log = self.folder.path().join("log");
        let mut child = self
            .command("serve")
            .stdout(Stdio::piped())
            .stderr(File::create(&log).unwrap())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut line)
            .unwrap();
        let address = line.trim().strip_prefix("Serving on ").map(str::to_owned);
        let copy = Copy {
            child,
            address: address.unwrap_or_default(),
            log,
            _folder: self.folder,
        };
        assert!(
            copy.address.starts_with("http://127.0.0.1:"),
            "{line}{}",
            copy.logged()
        );
        copy
    }
}

/// A copy of the service. Ends when dropped.
struct Copy {
    child: Child,
    address: String,
    log: PathBuf,
    _folder: tempfile::TempDir,
}

impl Copy {
    fn logged(&self) -> String {
        fs::read_to_string(&self.log).unwrap()
    }

    /// Asks it to stop and waits until it has.
    fn stop(&mut self) {
        let id = Pid::from_raw(self.child.id().try_into().unwrap());
        kill(id, Signal::SIGTERM).unwrap();
        assert!(self.child.wait().unwrap().success(), "{}", self.logged());
    }
}

impl Drop for Copy {
    fn drop(&mut self) {
        // Neither works on one that has ended, and then neither is needed.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Somebody who asks one of the copies.
#[derive(Clone)]
struct Client {
    http: reqwest::Client,
    address: String,
    token: String,
}

impl Client {
    fn new(address: &str) -> Self {
        Self {
            http: reqwest::Client::builder().no_proxy().build().unwrap(),
            address: address.to_owned(),
            token: String::new(),
        }
    }

    async fn post(&self, path: &str, body: &Value) -> (u16, Value) {
        let request = self.http.post(format!("{}{path}", self.address));
        self.send(request.json(body)).await
    }

    async fn get(&self, path: &str) -> (u16, Value) {
        let request = self.http.get(format!("{}{path}", self.address));
        self.send(request).await
    }

    async fn send(&self, request: reqwest::RequestBuilder) -> (u16, Value) {
        let answer = request.bearer_auth(&self.token).send().await.unwrap();
        let status = answer.status().as_u16();
        let text = answer.text().await.unwrap();
        let body = serde_json::from_str(&text).unwrap_or_else(|_| panic!("{status} {text}"));
        (status, body)
    }

    async fn made(&self, path: &str, body: &Value) -> Value {
        let (status, answer) = self.post(path, body).await;
        assert_eq!(status, 201, "{path}: {answer}");
        answer
    }

    /// A token is good for minutes, and a long run takes more.
    async fn sign_in(&mut self) {
        let body = json!({ "email": EMAIL, "password": PASSWORD });
        let session = self.made("/v1/sessions", &body).await;
        session["access_token"]
            .as_str()
            .unwrap()
            .clone_into(&mut self.token);
    }

    async fn room(&self, bin: &str) -> i64 {
        let (status, room) = self.get(&format!("{bin}/room")).await;
        assert_eq!(status, 200, "{room}");
        grams(&room["room_kg"])
    }
}

#[track_caller]
fn grams(kg: &Value) -> i64 {
    let grams = kg.as_f64().unwrap_or_else(|| panic!("no amount: {kg}")) * 1000.0;
    #[expect(clippy::cast_possible_truncation, reason = "amounts are whole grams")]
    let whole = grams.round() as i64;
    whole
}

/// What one of the crowd got.
struct Answer {
    status: u16,
    body: Value,
    took: Duration,
}

impl Answer {
    fn decision(&self) -> &Value {
        &self.body["decision"]
    }

    fn allowed(&self) -> i64 {
        grams(&self.decision()["allowed_kg"])
    }

    fn room(&self) -> i64 {
        grams(&self.decision()["room_kg"])
    }

    /// Whether it was allowed. Insists on an answer that explains itself.
    fn is_yes(&self) -> bool {
        let yes = self.status == 201;
        let refused = self.status == 409 && self.body["code"] == "feeding_refused";
        assert!(yes || refused, "{} {}", self.status, self.body);
        let decision = self.decision();
        let sentence = decision["sentence"].as_str().unwrap();
        assert!(sentence.len() > 20 && sentence.ends_with('.'), "{decision}");
        assert!(self.allowed() <= self.room(), "{decision}");
        assert_eq!(self.allowed() > 0, yes, "{decision}");
        let reasons = decision["reasons"].as_array().unwrap();
        assert_eq!(reasons.is_empty(), yes, "{decision}");
        yes
    }
}

/// A bin that nobody else feeds, in a site of its own.
async fn fresh_bin(client: &Client, worms_kg: f64) -> String {
    let site = json!({
        "name": "Elm Court", "zone": "America/Chicago", "units": "us", "language": "en",
        "paper": "letter", "my_name": "Ada",
    });
    let site = client.made("/v1/sites", &site).await;
    let bins = format!("/v1/sites/{}/bins", site["id"].as_str().unwrap());
    let bin = json!({
        "name": "Stairwell bin", "spot": "indoors", "vessel": "trays", "surface_m2": 0.1625,
        "trays": [{ "volume_l": 18.9 }, { "volume_l": 18.9 }],
    });
    let bin = client.made(&bins, &bin).await;
    let bin = format!("{bins}/{}", bin["id"].as_str().unwrap());
    let worms = json!({ "worms_kg": worms_kg, "bedding_kg": 1.5 });
    client.made(&format!("{bin}/stockings"), &worms).await;
    bin
}

/// Everybody feeds at the same instant.
async fn feed_at_once(clients: &[Client], bin: &str, amounts: &[i64]) -> Vec<Answer> {
    let start = Arc::new(Barrier::new(clients.len()));
    let feeding = |(client, amount): (&Client, &i64)| {
        let (client, start) = (client.clone(), Arc::clone(&start));
        let path = format!("{bin}/feedings");
        let offer = json!({ "items": [{
            "food": "usual-mix",
            "amount_kg": serde_json::from_str::<Value>(&format!("{amount}e-3")).unwrap(),
        }] });
        tokio::spawn(async move {
            // Connecting is not part of the race.
            client.get("/health/live").await;
            start.wait().await;
            let began = Instant::now();
            let (status, body) = client.post(&path, &offer).await;
            Answer {
                status,
                body,
                took: began.elapsed(),
            }
        })
    };
    let running: Vec<_> = clients.iter().zip(amounts).map(feeding).collect();
    let mut answers = Vec::new();
    for one in running {
        answers.push(one.await.unwrap());
    }
    answers
}

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = BigInt)]
    number: i64,
}

async fn number(conn: &mut AsyncPgConnection, query: &str) -> i64 {
    let query = format!("SELECT ({query})::bigint AS number");
    let row: Number = sql_query(query).get_result(conn).await.unwrap();
    row.number
}

fn from_env<T: std::str::FromStr>(name: &str) -> Option<T> {
    std::env::var(name).ok()?.parse().ok()
}

/// One round: a fresh bin, the crowd, and what must hold afterwards. Gives how long each
/// answer took, and how many were a yes.
async fn round(clients: &[Client], rng: &mut StdRng) -> (Vec<Duration>, usize) {
    let bin = fresh_bin(&clients[0], f64::from(rng.random_range(8..60)) / 10.0).await;
    // Mostly more than fits, with crumbs among it that fit when nothing else does.
    let amounts: Vec<i64> = (0..clients.len())
        .map(|_| {
            let most = if rng.random_bool(0.3) { 20 } else { 300 };
            rng.random_range(1..=most)
        })
        .collect();
    let before = clients[0].room(&bin).await;
    let offered: i64 = amounts.iter().sum();
    assert!(before > 100 && offered > 2 * before, "{before} {offered}");

    let answers = feed_at_once(clients, &bin, &amounts).await;
    let mut allowed: Vec<&Answer> = answers.iter().filter(|answer| answer.is_yes()).collect();
    let sum: i64 = allowed.iter().map(|answer| answer.allowed()).sum();
    assert!(
        sum <= before + A_GRAM,
        "{sum} g allowed where {before} g fit"
    );
    assert!(!allowed.is_empty() && allowed.len() < answers.len());

    // One after the other: nobody was promised room that somebody else had taken.
    allowed.sort_by_key(|answer| -answer.room());
    let mut left = before;
    for answer in &allowed {
        assert!((answer.room() - left).abs() <= A_GRAM, "{}", answer.body);
        left -= answer.allowed();
    }
    // Each copy knows at once what the other allowed.
    for client in &clients[..2] {
        let after = client.room(&bin).await;
        assert!(
            (after - left).abs() <= A_GRAM,
            "{after} g left, not {left} g"
        );
    }
    let (_, list) = clients[1].get(&format!("{bin}/feedings?limit=200")).await;
    let fed: Vec<i64> = list["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|feeding| grams(&feeding["amount_kg"]))
        .collect();
    assert_eq!(fed.len(), allowed.len());
    assert_eq!(fed.iter().sum::<i64>(), sum);
    let yes = allowed.len();
    (answers.iter().map(|answer| answer.took).collect(), yes)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_crowd_never_overloads_a_bin() {
    let rounds = from_env("WORMROTA_CROWD_ROUNDS").unwrap_or(ROUNDS);
    let seed: u64 = from_env("WORMROTA_CROWD_SEED").unwrap_or_else(rand::random);
    println!("WORMROTA_CROWD_SEED={seed}");
    let mut rng = StdRng::seed_from_u64(seed);

    let postgres = PrivatePostgres::throwaway().unwrap();
    let url = postgres.url(DATABASE);
    let first = Program::new(&url);
    first.run("migrate", &[], "");
    let password = format!("{PASSWORD}\n");
    first.run("add-account", &[EMAIL, "--educator"], &password);
    let mut copies = [first.serve(), Program::new(&url).serve()];
    let mut clients: Vec<Client> = copies
        .iter()
        .cycle()
        .take(CLIENTS)
        .map(|copy| Client::new(&copy.address))
        .collect();

    let began = Instant::now();
    let (mut took, mut allowed) = (Vec::new(), 0);
    for n in 0..rounds {
        if n % 20 == 0 {
            clients[0].sign_in().await;
            let token = clients[0].token.clone();
            for client in &mut clients {
                client.token.clone_from(&token);
            }
        }
        let (times, yes) = round(&clients, &mut rng).await;
        took.extend(times);
        allowed += yes;
    }
    let wall = began.elapsed();

    let mut conn = AsyncPgConnection::establish(&url).await.unwrap();
    let kept = |outcome: &str| format!("SELECT count(*) FROM decisions WHERE {outcome}");
    let refused = number(&mut conn, &kept("outcome = 'refused'")).await;
    let yes = number(&mut conn, &kept("outcome <> 'refused'")).await;
    let fed = "SELECT count(*) FROM bin_events WHERE kind = 'fed'";
    let fed = number(&mut conn, fed).await;
    let deadlocks = "SELECT deadlocks FROM pg_stat_database WHERE datname = current_database()";
    let deadlocks = number(&mut conn, deadlocks).await;
    let tries_lost: usize = copies
        .iter()
        .map(|copy| copy.logged().matches("trying again").count())
        .sum();
    took.sort_unstable();
    println!(
        "{rounds} rounds of {CLIENTS} clients against 2 copies: {} answers, {yes} allowed, \
         {refused} refused, {deadlocks} deadlocks, {tries_lost} lost tries, {} s in all, \
         answers within {} ms (median), {} ms (longest)",
        took.len(),
        wall.as_secs(),
        took[took.len() / 2].as_millis(),
        took[took.len() - 1].as_millis(),
    );
    assert_eq!(usize::try_from(yes).unwrap(), allowed);
    assert_eq!(fed, yes);
    assert_eq!(usize::try_from(refused).unwrap(), took.len() - allowed);
    assert_eq!(deadlocks, 0);
    for copy in &mut copies {
        copy.stop();
        let log = copy.logged();
        assert!(!log.contains("ERROR") && !log.contains("gave up"), "{log}");
    }
    drop(conn);
    postgres.stop().unwrap();
}
