//! An admission costs the same after a hundred feedings as after a hundred thousand.
//! Postgres itself counts: rows and scans in its statistics, statements in its log.

use crate::frame::{self, App, Court, server_log, weighed};
use diesel_async::SimpleAsyncConnection;
use futures_util::FutureExt;
use serde_json::Value;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota::store::StoreError;

/// What Postgres counted for one request.
#[derive(Debug, PartialEq, Eq)]
struct Cost {
    status: u16,
    /// The statements, in their order.
    statements: Vec<String>,
    /// For each table that was touched: what was done to it, and how often. Foreign keys
    /// that Postgres checks by itself are in it.
    tables: BTreeMap<String, BTreeMap<String, i64>>,
}

impl Cost {
    fn total(&self, figure: &str) -> i64 {
        self.tables
            .values()
            .filter_map(|table| table.get(figure))
            .sum()
    }

    fn rows_read(&self) -> i64 {
        self.total("seq_tup_read") + self.total("idx_tup_fetch")
    }
}

/// A service with one connection, so that what is counted is all there is, whose
/// statements are logged by Postgres.
async fn watched() -> App {
    let url = frame::fresh_database().await;
    frame::run_sql(
        &url,
        "DO $$ BEGIN EXECUTE format('ALTER DATABASE %I SET log_statement = ''all''', current_database()); END $$",
    )
    .await;
    let mut settings = frame::settings();
    settings.database.pool_size = 1;
    App::on(url, settings)
}

/// Lets the service's own connection hand in what it has counted so far.
async fn hand_in(app: &App) {
    app.desk
        .store()
        .read("hand in", (), |conn, ()| {
            async move {
                conn.batch_execute("SELECT pg_stat_force_next_flush()")
                    .await?;
                Ok::<_, StoreError>(())
            }
            .boxed()
        })
        .await
        .unwrap();
}

async fn counted(app: &App) -> BTreeMap<String, BTreeMap<String, i64>> {
    hand_in(app).await;
    let rows = app
        .rows(
            "SELECT relname, coalesce(seq_scan, 0) AS seq_scan,
                coalesce(seq_tup_read, 0) AS seq_tup_read,
                coalesce(idx_scan, 0) AS idx_scan, coalesce(idx_tup_fetch, 0) AS idx_tup_fetch,
                n_tup_ins, n_tup_upd, n_tup_del
             FROM pg_stat_user_tables",
        )
        .await;
    let of_table = |row: &Value| {
        let figures = row.as_object().unwrap().iter();
        let figures = figures.filter_map(|(name, n)| Some((name.clone(), n.as_i64()?)));
        (
            row["relname"].as_str().unwrap().to_owned(),
            figures.collect(),
        )
    };
    rows.iter().map(of_table).collect()
}

/// The statements that the service has sent since a place in the server's log.
fn statements_after(place: usize) -> Vec<String> {
    let log = server_log();
    log[place..]
        .lines()
        .filter_map(|line| {
            let (_, said) = line.split_once("LOG:  ")?;
            let (how, statement) = said.split_once(": ")?;
            let ran = how == "statement" || how.starts_with("execute ");
            ran.then(|| statement.to_owned())
        })
        .collect()
}

async fn cost_of(app: &App, court: &Court, rest: &str, offer: &Value) -> Cost {
    let send = || async move { app.post(&court.resident, &court.bin_at(rest), offer).await };
    // Once for nothing: statements are prepared and plans are made.
    send().await;
    let before = counted(app).await;
    let place = server_log().len();
    let answer = send().await;
    let statements = statements_after(place);
    let mut tables = counted(app).await;
    for (table, figures) in &mut tables {
        for (name, figure) in figures.iter_mut() {
            *figure -= before[table][name];
        }
        figures.retain(|_, figure| *figure != 0);
    }
    tables.retain(|_, figures| !figures.is_empty());
    Cost {
        status: answer.status.as_u16(),
        statements,
        tables,
    }
}

/// Writes so many feedings of a gram between the bin's newest entry and now, each with
/// the state after it, as the service would have: the numbers without gaps, the head on
/// the newest. What the states say is that of one real feeding, moved in time.
async fn feed_until(app: &App, bin: Uuid, feedings: i64) {
    // Of version 7, so that newer entries have higher keys, as those of the service have.
    let id = "(lpad(to_hex((extract(epoch FROM clock_timestamp()) * 1000)::bigint + n), 12, '0')
        || '7' || substr(md5(n::text), 1, 3) || '8' || substr(md5(random()::text), 1, 15))::uuid";
    app.sql(&format!(
        // Foreign keys are right by construction, and a million checks would take longer
        // than all else here.
        "SET session_replication_role = replica;
         CREATE TEMPORARY TABLE history AS
         WITH real AS (
             SELECT e.*, s.state, s.model_version, s.settings_revision, b.next_seq
             FROM bins AS b
             JOIN bin_events AS e ON e.site_id = b.site_id AND e.id = b.head_event
             JOIN bin_states AS s ON s.site_id = b.site_id AND s.event_id = b.head_event
             WHERE b.id = '{bin}'
         )
         SELECT real.*, {id} AS new_id, next_seq + n - 1 AS new_seq,
             occurred_at + n * interval '1 second' AS new_at
         FROM real, generate_series(1, {feedings} - (
             SELECT count(*) FROM bin_events WHERE bin_id = '{bin}' AND kind = 'fed'
         )) AS n;
         INSERT INTO bin_events
         SELECT site_id, new_id, bin_id, new_seq, kind, new_at, new_at, member_id, payload, NULL
         FROM history;
         INSERT INTO bin_states
         SELECT site_id, new_id, bin_id, new_at, new_seq,
             jsonb_set(jsonb_set(state, '{{at}}', to_jsonb(new_at)),
                 '{{last_fed_at}}', to_jsonb(new_at)),
             model_version, settings_revision
         FROM history;
         INSERT INTO decisions
         SELECT site_id, gen_random_uuid(), bin_id, member_id, new_id, NULL, 'put_in', 'accepted',
             new_at, 1, 1, '{{}}', '{{}}'
         FROM history;
         UPDATE bins SET next_seq = last.new_seq + 1, head_event = last.new_id
         FROM (SELECT * FROM history ORDER BY new_seq DESC LIMIT 1) AS last
         WHERE bins.id = '{bin}';"
    ))
    .await;
    // As autovacuum would have.
    app.sql("VACUUM ANALYZE").await;
}

#[tokio::test]
async fn an_admission_costs_the_same_however_long_the_history() {
    let app = watched().await;
    app.set_clock(frame::NOON_IN_JUNE).await;
    let court = app.court().await;
    // Another bin, so that a refusal has somewhere to look.
    let neighbour = app.stocked_bin(&court.educator, court.site).await;
    // One feeding as the service writes it, for the others to follow.
    let crumb = weighed("usual-mix", 0.001);
    for bin in [court.bin, neighbour] {
        let path = court.at(&format!("/bins/{bin}/feedings"));
        app.post(&court.resident, &path, &crumb).await.ok(201);
    }
    app.set_clock("2026-06-12T17:00:00Z").await;
    // The service has been running for long: on tables of a few pages Postgres would
    // rather read all of a page than look into an index, and count accordingly.
    feed_until(&app, neighbour, 20_000).await;

    let mut costs = Vec::new();
    for feedings in [100, 100_000] {
        feed_until(&app, court.bin, feedings).await;
        let there = app
            .rows(&format!(
                "SELECT count(*) AS feedings FROM bin_events WHERE kind = 'fed' AND bin_id = '{}'",
                court.bin
            ))
            .await;
        assert_eq!(there[0]["feedings"], feedings);
        let mut of_these = Vec::new();
        for (what, rest, kg, status) in [
            ("asked", "/feedings/ask", 0.002, 200),
            ("accepted", "/feedings", 0.002, 201),
            ("refused", "/feedings", 9.0, 409),
            ("told", "/feedings/told", 0.002, 201),
        ] {
            let cost = cost_of(&app, &court, rest, &weighed("usual-mix", kg)).await;
            assert_eq!(cost.status, status, "{what}: {cost:?}");
            println!(
                "after {feedings} feedings, {what}: {} statements, {} rows read, {} rows written",
                cost.statements.len(),
                cost.rows_read(),
                cost.total("n_tup_ins") + cost.total("n_tup_upd") + cost.total("n_tup_del"),
            );
            of_these.push((what, cost));
        }
        costs.push(of_these);
    }
    for ((what, few), (_, many)) in costs[0].iter().zip(&costs[1]) {
        assert!(few.statements.len() >= 5, "{what}: nothing was counted");
        assert!(few.rows_read() >= 5, "{what}: nothing was counted");
        assert_eq!(few, many, "{what}");
    }
}
