//! Databases of one server for the whole binary, and what stands in them.

use super::App;
use diesel::sql_types::Jsonb;
use diesel::{QueryableByName, sql_query};
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection};
use serde_json::Value;
use std::sync::OnceLock;
use uuid::Uuid;
use wormrota::private_postgres::{DATABASE, PrivatePostgres};
use wormrota::settings::DatabaseUrl;
use wormrota::store::migrate;

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

impl App {
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
