use crate::frame::{App, settings};
use reqwest::Method;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::time::{Duration, Instant};
use wormrota::private_postgres::{DATABASE, Durability, PrivatePostgres};
use wormrota::settings::DatabaseUrl;
use wormrota::store::migrate;

/// A folder in memory that the account which runs Postgres can reach.
fn scratch() -> tempfile::TempDir {
    let base = if Path::new("/dev/shm").is_dir() {
        "/dev/shm"
    } else {
        "/tmp"
    };
    let folder = tempfile::Builder::new()
        .prefix("wormrota-outage-")
        .tempdir_in(base)
        .unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    folder
}

fn start(folder: &Path) -> PrivatePostgres {
    PrivatePostgres::start(&folder.join("postgres"), Durability::ForTests).unwrap()
}

async fn blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    tokio::task::spawn_blocking(work).await.unwrap()
}

#[tokio::test]
async fn while_the_database_is_away_the_answer_is_come_back_later() {
    let folder = scratch();
    let home = folder.path().to_owned();
    let (server, url) = blocking({
        let home = home.clone();
        move || {
            let server = start(&home);
            let url = DatabaseUrl::new(server.url(DATABASE));
            migrate::up(&url).unwrap();
            (server, url)
        }
    })
    .await;
    let app = App::on(url, settings());
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}");
    app.ask(Method::GET, "/health/ready").send().await.ok(200);

    blocking(move || server.stop().unwrap()).await;
    for ask in [
        app.ask(Method::GET, "/health/ready"),
        app.ask(Method::GET, &path).by(&ada),
        app.ask(Method::POST, "/v1/sites")
            .by(&ada)
            .json(&crate::frame::new_site()),
        app.ask(Method::POST, "/v1/sessions")
            .json(&serde_json::json!({
                "email": ada.email, "password": crate::frame::PASSWORD,
            })),
    ] {
        let answer = ask.send().await;
        answer.problem(503, "unavailable");
        let seconds: u32 = answer.header("retry-after").unwrap().parse().unwrap();
        assert!((1..=30).contains(&seconds));
        assert!(!answer.text.contains("postgres"), "{}", answer.text);
    }
    // The program itself is well, and what needs no database still answers.
    app.ask(Method::GET, "/health/live").send().await.ok(200);
    app.ask(Method::GET, "/openapi.json").send().await.ok(200);

    let server = blocking(move || start(&home)).await;
    let began = Instant::now();
    while app.get(&ada, &path).await.status != 200 {
        assert!(began.elapsed() < Duration::from_secs(10), "did not resume");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    assert_eq!(
        app.get(&ada, "/v1/sites").await.ok(200)["items"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
    blocking(move || server.stop().unwrap()).await;
}

#[tokio::test]
async fn connections_that_died_while_idle_are_replaced_without_anybody_noticing() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    for _ in 0..10 {
        app.sql(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity \
             WHERE datname = current_database() AND pid <> pg_backend_pid()",
        )
        .await;
        app.get(&ada, &format!("/v1/sites/{site}")).await.ok(200);
        app.bin(&ada, site).await;
    }
}

#[tokio::test]
async fn a_service_without_a_free_connection_says_so_in_time() {
    let mut settings = settings();
    settings.database.pool_size = 1;
    settings.database.pool_wait_ms = 100;
    settings.database.statement_timeout_ms = 2_000;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let ada = app.educator().await;
    app.sql("BEGIN; SELECT 1").await;
    let store = app.desk.store().clone();
    let busy = tokio::spawn(async move {
        use diesel_async::SimpleAsyncConnection;
        use futures_util::FutureExt;
        store
            .read("sleep", (), |conn, ()| {
                async move {
                    conn.batch_execute("SELECT pg_sleep(1)").await?;
                    Ok::<_, wormrota::store::StoreError>(())
                }
                .boxed()
            })
            .await
    });
    tokio::time::sleep(Duration::from_millis(100)).await;
    app.get(&ada, "/v1/sites").await.problem(503, "unavailable");
    busy.await.unwrap().unwrap();
    app.get(&ada, "/v1/sites").await.ok(200);
}
