//! The demo, loaded into a real Postgres: that it is whole however it was loaded, that its
//! bins are well after a year, and that its greeting promises what is so.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use diesel::sql_query;
use diesel::sql_types::Text;
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection};
use reqwest::header::HeaderMap;
use serde_json::Value;
use std::collections::HashMap;
use std::net::TcpListener;
use std::sync::OnceLock;
use std::time::Duration;
use wormrota::api::{self, AppState};
use wormrota::clock::{self, Clock};
use wormrota::demo::{Demo, DemoError};
use wormrota::desk::add_account::{NewAccount, add_account};
use wormrota::desk::credentials::Credentials;
use wormrota::desk::{Desk, DeskError, move_clock};
use wormrota::private_postgres::{DATABASE, PrivatePostgres};
use wormrota::settings::{DatabaseUrl, Env, Settings, SigningKey, SigningKeys};
use wormrota::store::{Store, migrate};

/// The day on which the demo that is shared by most tests begins.
const START: &str = "2026-11-25";
/// Every decision with what it was about, without ids.
const DECISIONS: &str = "SELECT concat_ws(' ', b.name, d.decided_at, d.deed, d.outcome, \
     d.offered_g, d.allowed_g) AS text FROM decisions d JOIN bins b ON b.id = d.bin_id \
     ORDER BY b.name, d.decided_at, d.deed, d.outcome, d.offered_g";
/// Every newest state, without ids.
const STATES: &str = "SELECT concat_ws(' ', b.name, s.occurred_at, s.state) AS text FROM bins b \
     JOIN bin_states s ON s.event_id = b.head_event ORDER BY b.name";
/// How many rows there are of everything.
const COUNTS: &str = "SELECT concat_ws(' ', (SELECT count(*) FROM accounts), \
     (SELECT count(*) FROM sites), (SELECT count(*) FROM members), \
     (SELECT count(*) FROM bins), (SELECT count(*) FROM site_foods), \
     (SELECT count(*) FROM site_containers), (SELECT count(*) FROM bin_events), \
     (SELECT count(*) FROM bin_states), (SELECT count(*) FROM decisions), \
     (SELECT count(*) FROM bookings), (SELECT count(*) FROM notices), \
     (SELECT count(*) FROM patterns), (SELECT count(*) FROM turns), \
     (SELECT count(*) FROM places)) AS text";

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// One server for the whole binary, with an empty database and one with the demo in it.
fn postgres() -> &'static PrivatePostgres {
    static SERVER: OnceLock<PrivatePostgres> = OnceLock::new();
    SERVER.get_or_init(|| {
        let server = PrivatePostgres::throwaway().unwrap();
        migrate::up(&DatabaseUrl::new(server.url(DATABASE))).unwrap();
        // All connections must have ended before a database can be copied.
        let runtime = tokio::runtime::Runtime::new().unwrap();
        runtime.block_on(async {
            copy(&server, DATABASE, "loaded").await;
            let desk = desk(&DatabaseUrl::new(server.url("loaded")), Clock::Demo);
            Demo::prepare(&desk, Some(date(START))).await.unwrap();
        });
        drop(runtime);
        server
    })
}

async fn copy(server: &PrivatePostgres, from: &str, to: &str) {
    static COPYING: tokio::sync::Mutex<()> = tokio::sync::Mutex::const_new(());
    let _copying = COPYING.lock().await;
    let mut conn = AsyncPgConnection::establish(&server.url("postgres"))
        .await
        .unwrap();
    let statement = format!("CREATE DATABASE {to} TEMPLATE {from} STRATEGY FILE_COPY");
    // A connection that was dropped takes a moment to end.
    for _ in 0..50 {
        if conn.batch_execute(&statement).await.is_ok() {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    conn.batch_execute(&statement).await.unwrap();
}

fn settings() -> Settings {
    let env: Env = HashMap::from([
        (
            "WORMROTA__DATA_FOLDER".to_owned(),
            "/nonexistent".to_owned(),
        ),
        ("WORMROTA__SERVER__WORKERS".to_owned(), "1".to_owned()),
    ]);
    Settings::load(&env).unwrap()
}

fn desk(url: &DatabaseUrl, clock: Clock) -> Desk {
    let settings = settings();
    let keys = SigningKeys {
        first: SigningKey {
            kid: "test".to_owned(),
            secret: vec![7; 32],
        },
        older: Vec::new(),
    };
    let store = Store::connect(url, &settings.database).unwrap();
    let credentials = Credentials::new(&settings.sign_in, &keys).unwrap();
    Desk::new(
        store,
        clock,
        credentials,
        settings.living_bin,
        settings.people,
    )
}

/// A database of its own, and the use cases on it.
struct Place {
    desk: Desk,
    url: DatabaseUrl,
}

impl Place {
    /// With every table, and nothing in them.
    async fn empty() -> Self {
        Self::copied(DATABASE).await
    }

    /// With the demo in it.
    async fn loaded() -> Self {
        Self::copied("loaded").await
    }

    async fn copied(from: &str) -> Self {
        let server = tokio::task::spawn_blocking(postgres).await.unwrap();
        let name = format!("test_{}", clock::fresh_id().simple());
        copy(server, from, &name).await;
        let url = DatabaseUrl::new(server.url(&name));
        Self {
            desk: desk(&url, Clock::Demo),
            url,
        }
    }

    async fn texts(&self, question: &str) -> Vec<String> {
        #[derive(diesel::QueryableByName)]
        struct Row {
            #[diesel(sql_type = Text)]
            text: String,
        }
        let mut conn = AsyncPgConnection::establish(self.url.reveal())
            .await
            .unwrap();
        let rows: Vec<Row> = sql_query(question).load(&mut conn).await.unwrap();
        rows.into_iter().map(|row| row.text).collect()
    }

    async fn number(&self, question: &str) -> i64 {
        let texts = self.texts(question).await;
        texts[0].parse().unwrap()
    }

    /// Everything that a load leaves behind, without ids.
    async fn contents(&self) -> Vec<String> {
        let mut all = Vec::new();
        for question in [COUNTS, DECISIONS, STATES] {
            all.extend(self.texts(question).await);
        }
        all
    }

    /// By bin: decisions, or whatever the question counts.
    async fn by_bin(&self, question: &str) -> HashMap<String, f64> {
        let lines = self.texts(question).await;
        lines
            .iter()
            .map(|line| {
                let (bin, figure) = line.split_once('|').unwrap();
                (bin.to_owned(), figure.parse().unwrap())
            })
            .collect()
    }
}

#[tokio::test]
async fn a_year_is_loaded_once() {
    let place = Place::loaded().await;
    let before = place.contents().await;
    let demo = Demo::prepare(&place.desk, None).await.unwrap();
    assert_eq!(demo.loaded(), None);
    assert_eq!(demo.examples().len(), 3);
    assert_eq!(place.contents().await, before);

    // The whole cast: 33 accounts, one of them at all three sites.
    assert_eq!(
        place
            .number("SELECT count(*)::text AS text FROM accounts")
            .await,
        33
    );
    assert_eq!(
        place
            .number("SELECT count(*)::text AS text FROM members")
            .await,
        35
    );
    assert_eq!(
        place
            .number("SELECT count(*)::text AS text FROM bins")
            .await,
        6
    );
    let entries = place
        .number("SELECT count(*)::text AS text FROM decisions")
        .await;
    assert!((280..=400).contains(&entries), "{entries}");
    let open = "SELECT count(*)::text AS text FROM bookings WHERE state = 'open'";
    assert_eq!(place.number(open).await, 3);
}

#[tokio::test]
async fn nothing_is_left_in_the_future_and_nothing_older_than_a_year_and_a_week() {
    let place = Place::loaded().await;
    let now = place.desk.now().await.unwrap();
    let newest = "SELECT max(occurred_at)::text AS text FROM bin_events";
    let oldest = "SELECT min(occurred_at)::text AS text FROM bin_events";
    let at = |texts: Vec<String>| -> DateTime<Utc> {
        let text = &texts[0];
        DateTime::parse_from_str(text, "%Y-%m-%d %H:%M:%S%#z")
            .unwrap()
            .into()
    };
    assert!(at(place.texts(newest).await) < now);
    assert!(at(place.texts(oldest).await) > now - TimeDelta::days(372));
    let joined_later = "SELECT count(*)::text AS text FROM bin_events e JOIN members m \
         ON m.site_id = e.site_id AND m.id = e.member_id WHERE m.joined_at > e.occurred_at";
    assert_eq!(place.number(joined_later).await, 0);
}

/// What the diary promises in its README is there.
#[tokio::test]
async fn a_year_has_all_kinds_of_answers_and_a_late_entry() {
    let place = Place::loaded().await;
    let outcomes = |deed: &str, outcome: &str| {
        format!(
            "SELECT count(*)::text AS text FROM decisions WHERE deed = '{deed}' \
             AND outcome = '{outcome}'"
        )
    };
    let accepted = place.number(&outcomes("put_in", "accepted")).await;
    let on_condition = place.number(&outcomes("put_in", "accepted_if")).await;
    let refused = place.number(&outcomes("put_in", "refused")).await;
    assert!(accepted >= 80, "{accepted}");
    assert!(on_condition >= 30, "{on_condition}");
    assert!(refused >= 30, "{refused}");
    assert!(accepted + on_condition > 3 * refused, "{refused} refused");
    assert!(place.number(&outcomes("tell", "recorded")).await >= 25);

    for kind in ["checked", "measured", "bedded"] {
        let entries =
            format!("SELECT count(*)::text AS text FROM bin_events WHERE kind = '{kind}'");
        assert!(place.number(&entries).await >= 50, "{kind}");
    }
    let late = "SELECT count(*)::text AS text FROM bin_events \
         WHERE recorded_at - occurred_at > interval '5 days'";
    assert_eq!(place.number(late).await, 1);
    let over = "SELECT count(*)::text AS text FROM notices WHERE kind = 'over_limit'";
    assert!(place.number(over).await >= 1);
    for (list, code) in [
        ("reasons", "never_food"),
        ("reasons", "eating"),
        ("reasons", "ramp"),
        ("reasons", "area"),
        ("reasons", "depth"),
        ("reasons", "signs"),
        ("conditions", "cut_small"),
        ("conditions", "stop_at"),
        ("conditions", "leave_out"),
        ("conditions", "less_of"),
    ] {
        let found = format!(
            "SELECT count(*)::text AS text FROM decisions \
             WHERE decision->'{list}' @> '[{{\"code\": \"{code}\"}}]'"
        );
        assert!(place.number(&found).await >= 1, "{code}");
    }
    let august = "SELECT count(*)::text AS text FROM bin_events e JOIN bins b ON b.id = e.bin_id \
         WHERE b.name = 'Laundry trays' AND extract(month FROM e.occurred_at) = ";
    let in_august = place.number(&format!("{august} 8")).await;
    let in_october = place.number(&format!("{august} 10")).await;
    assert!(in_august < in_october, "{in_august} against {in_october}");
}

#[tokio::test]
async fn worms_live_and_eat_and_the_young_bin_takes_only_a_share() {
    let place = Place::loaded().await;
    assert_alive(&place).await;
    let last = "SELECT DISTINCT ON (b.name) concat_ws('|', b.name, \
         d.decision->'reasons'->0->>'percent') AS text FROM decisions d \
         JOIN bins b ON b.id = d.bin_id WHERE d.outcome = 'refused' AND b.name LIKE 'Room 7%' \
         ORDER BY b.name, d.decided_at DESC";
    // What people saw through the year tells of ordinary worms, and holds no bin for good.
    let speeds = "SELECT concat_ws('|', b.name, s.state->'speed'->>'mean') AS text FROM bins b \
         JOIN bin_states s ON s.event_id = b.head_event WHERE s.state->'gate'->>'gate' = 'open'";
    let speeds = place.by_bin(speeds).await;
    assert_eq!(speeds.len(), 6, "{speeds:?}");
    for (bin, z) in speeds {
        let speed = z.exp();
        assert!(
            (0.14..0.50).contains(&speed),
            "{bin}: {speed} kg a day for a kg"
        );
    }
    let percent = place.by_bin(last).await;
    assert!((percent["Room 7 trays"] - 25.0).abs() < 0.1, "{percent:?}");
}

/// Every bin still has at least half of the worms that it was stocked with.
async fn assert_alive(place: &Place) {
    let worms = place
        .by_bin(
            "SELECT concat_ws('|', b.name, s.state->'vitals'->>'worms_kg') AS text FROM bins b \
             JOIN bin_states s ON s.event_id = b.head_event",
        )
        .await;
    let stocked = place
        .by_bin(
            "SELECT concat_ws('|', b.name, e.payload->>'worms') AS text FROM bins b \
             JOIN bin_events e ON e.bin_id = b.id AND e.kind = 'stocked'",
        )
        .await;
    assert_eq!(worms.len(), 6);
    for (bin, kg) in worms {
        let stocked = stocked[&bin] / 1000.0;
        assert!(kg >= 0.5 * stocked, "{bin}: {kg} kg of {stocked} kg");
        assert!(kg <= 2.5 * stocked, "{bin}: {kg} kg of {stocked} kg");
    }
}

/// Seasons, a leap day among them.
#[tokio::test]
async fn the_demo_can_begin_in_any_season() {
    for start in ["2027-02-01", "2027-05-15", "2026-08-20", "2028-03-01"] {
        let place = Place::empty().await;
        let demo = Demo::prepare(&place.desk, Some(date(start))).await.unwrap();
        let loaded = demo.loaded().unwrap();
        assert_eq!((loaded.sites, loaded.accounts, loaded.bins), (3, 33, 6));
        assert!(loaded.put_in > 3 * loaded.refused, "{start}: {loaded:?}");
        assert_eq!(loaded.booked, 3, "{start}");
        assert_alive(&place).await;
        let outcomes: Vec<_> = demo.examples().iter().map(|e| e.outcome.code()).collect();
        assert_eq!(outcomes, ["accepted", "accepted_if", "refused"], "{start}");
        // Day at all its sites: letters go.
        assert_eq!(
            demo.now().format("%Y-%m-%d %H").to_string(),
            format!("{start} 15")
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_load_that_was_cut_off_goes_on_where_it_was() {
    let whole = Place::loaded().await.contents().await;
    let place = Place::empty().await;
    let events = "SELECT count(*)::text AS text FROM bin_events";
    let desk = place.desk.clone();
    let loading = tokio::spawn(async move { Demo::prepare(&desk, Some(date(START))).await });
    while place.number(events).await < 60 {
        assert!(!loading.is_finished());
        tokio::time::sleep(Duration::from_millis(5)).await;
    }
    loading.abort();
    assert!(loading.await.is_err_and(|error| error.is_cancelled()));
    place.desk.store().drain().await;
    assert_ne!(place.contents().await, whole);
    assert!(!move_clock::is_set(&place.desk).await.unwrap());

    // It keeps the start that it had, although none is asked for now.
    let demo = Demo::prepare(&place.desk, None).await.unwrap();
    assert!(demo.loaded().is_some());
    assert_eq!(place.contents().await, whole);
    assert_eq!(demo.now().date_naive(), date(START));
}

#[tokio::test(flavor = "multi_thread")]
async fn two_copies_that_load_at_once_load_one_year() {
    let whole = Place::loaded().await.contents().await;
    let place = Place::empty().await;
    let other = desk(&place.url, Clock::Demo);
    let start = Some(date(START));
    let (one, two) = tokio::join!(
        Demo::prepare(&place.desk, start),
        Demo::prepare(&other, start)
    );
    assert!(one.unwrap().loaded().is_some());
    two.unwrap();
    assert_eq!(place.contents().await, whole);
}

#[tokio::test]
async fn other_data_and_other_clocks_are_left_alone() {
    let place = Place::empty().await;
    let somebody = NewAccount {
        email: "somebody@elsewhere.example".to_owned(),
        password: "nine red wigglers".to_owned(),
        is_educator: true,
        member: None,
    };
    let now = clock::wall();
    add_account(&place.desk, somebody, now).await.unwrap();
    let before = place.contents().await;
    let refused = Demo::prepare(&place.desk, None).await.unwrap_err();
    assert!(matches!(refused, DemoError::OtherData), "{refused}");

    let serving = desk(&place.url, Clock::System);
    let refused = Demo::prepare(&serving, None).await.unwrap_err();
    assert_eq!(refused.code(), "internal", "{refused}");
    let refused = move_clock::advance(&serving, 1).await.unwrap_err();
    assert_eq!(refused.code(), "internal", "{refused}");
    assert_eq!(place.contents().await, before);
}

#[tokio::test]
async fn the_clock_goes_forward_and_never_behind_a_record() {
    let place = Place::loaded().await;
    let desk = &place.desk;
    let near = |a: DateTime<Utc>, b: DateTime<Utc>| (a - b).abs() < TimeDelta::minutes(1);
    let start = desk.now().await.unwrap();

    let then = move_clock::advance(desk, 3).await.unwrap();
    assert!(near(then, start + TimeDelta::days(3)));
    assert!(near(desk.now().await.unwrap(), then));
    for days in [0, 367, u32::MAX] {
        let refused = move_clock::advance(desk, days).await.unwrap_err();
        let DeskError::Invalid(fields) = refused else {
            panic!("{refused}");
        };
        assert_eq!(fields[0].pointer, "/advance_days");
    }
    // Two people at once move it twice.
    let (one, two) = tokio::join!(move_clock::advance(desk, 1), move_clock::advance(desk, 1));
    assert!(one.is_ok() && two.is_ok());
    assert!(near(desk.now().await.unwrap(), start + TimeDelta::days(5)));

    // Nothing was written since the start, so it may go back there, and no further.
    let demo = Demo::prepare(desk, Some(date(START))).await.unwrap();
    assert_eq!(demo.now().date_naive(), date(START));
    let refused = Demo::prepare(desk, Some(date("2026-11-20")))
        .await
        .unwrap_err();
    assert!(matches!(refused, DemoError::StartPassed(day) if day == date("2026-11-20")));
    let refused = Demo::prepare(desk, Some(date("1999-12-31")))
        .await
        .unwrap_err();
    assert!(
        matches!(refused, DemoError::StartOutOfRange(_)),
        "{refused}"
    );
    // Asking for the day that it shows leaves the hour as it is.
    move_clock::stand_at(desk, demo.now() + TimeDelta::hours(5))
        .await
        .unwrap();
    let later = Demo::prepare(desk, Some(date(START))).await.unwrap();
    assert!(near(later.now(), demo.now() + TimeDelta::hours(5)));
    // A year at a time it comes to the end of what is known of time zones.
    let mut moves = 0;
    while move_clock::advance(desk, move_clock::MOST_DAYS)
        .await
        .is_ok()
    {
        moves += 1;
    }
    assert!((70..=74).contains(&moves), "{moves}");
}

/// Each request of the greeting, pasted one after the other, gets the answer it promises.
#[tokio::test]
async fn the_requests_of_the_greeting_are_answered_as_promised() {
    let place = Place::loaded().await;
    let demo = Demo::prepare(&place.desk, None).await.unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let base = format!("http://{}", listener.local_addr().unwrap());
    let settings = settings();
    let state = AppState::new(place.desk.clone(), settings.server, &settings.letters).unwrap();
    tokio::spawn(api::run(listener, state).unwrap());

    let greeting = demo.greeting(&base);
    let (email, password) = demo.sign_in();
    assert!(
        greeting.contains(email) && greeting.contains(password),
        "{greeting}"
    );
    let debug = format!("{demo:?}");
    assert!(
        !debug.contains(email) && !debug.contains(password),
        "{debug}"
    );

    let sign_ins: Vec<&str> = lines(&greeting, "TOKEN=$(curl ");
    let feedings: Vec<&str> = lines(&greeting, "curl ")
        .into_iter()
        .filter(|line| line.contains("/feedings "))
        .collect();
    assert_eq!((sign_ins.len(), feedings.len()), (3, 3), "{greeting}");
    let promised = [
        ("# Accepted: ", 201, "accepted"),
        ("# Accepted on condition: ", 201, "accepted_if"),
        ("# Refused: ", 409, "refused"),
    ];
    let mut entries = HashMap::new();
    for ((sign_in, feeding), (title, status, outcome)) in
        sign_ins.into_iter().zip(feedings).zip(promised)
    {
        assert_eq!(lines(&greeting, title).len(), 1, "{greeting}");
        let (signed_in, session) = post(sign_in, "").await;
        assert_eq!(signed_in, 201, "{session}");
        let token = session["access_token"].as_str().unwrap();
        let (got, body) = post(feeding, token).await;
        assert_eq!(got, status, "{body}");
        assert_eq!(body["decision"]["outcome"], outcome, "{body}");
        // Pasted again it gets the same answer, and nothing goes in twice.
        let (again, same) = post(feeding, token).await;
        assert_eq!((again, &same["id"]), (got, &body["id"]), "{same}");
        assert_eq!(same["decision"]["id"], body["decision"]["id"]);
        entries.insert(outcome, body["id"].clone());
    }
    assert!(entries["accepted"].is_string() && entries["accepted_if"].is_string());
}

fn lines<'a>(text: &'a str, beginning: &str) -> Vec<&'a str> {
    text.lines()
        .filter(|line| line.starts_with(beginning))
        .collect()
}

/// Does what a line with one call of curl says.
async fn post(line: &str, token: &str) -> (u16, Value) {
    let words = words(&line.replace("$TOKEN", token));
    let mut words = words
        .iter()
        .map(String::as_str)
        .skip_while(|word| !word.ends_with("curl"));
    let mut request = None;
    let mut headers = HeaderMap::new();
    let mut body = String::new();
    assert_eq!((words.next().is_some(), words.next()), (true, Some("-s")));
    while let Some(word) = words.next() {
        match word {
            "-H" => {
                let (name, value) = words.next().unwrap().split_once(": ").unwrap();
                let name: reqwest::header::HeaderName = name.parse().unwrap();
                headers.insert(name, value.parse().unwrap());
            }
            "-d" => words.next().unwrap().clone_into(&mut body),
            ";" | "|" => break,
            url => request = Some(url.to_owned()),
        }
    }
    let client = reqwest::Client::builder().no_proxy().build().unwrap();
    let answer = client
        .post(request.unwrap())
        .headers(headers)
        .body(body)
        .send()
        .await
        .unwrap();
    let status = answer.status().as_u16();
    (status, answer.json().await.unwrap())
}

/// The words of a line as a POSIX shell reads them, as far as quotes go.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quote = None;
    for c in line.chars() {
        match (quote, c) {
            (None, '\'' | '"') => quote = Some(c),
            (Some(open), _) if open == c => quote = None,
            (None, ' ') => words.push(std::mem::take(&mut word)),
            (None, ';') => words.extend([std::mem::take(&mut word), ";".to_owned()]),
            _ => word.push(c),
        }
    }
    words.push(word);
    words
}
