//! The one door to a transaction.

use crate::frame::{App, all_at_once, shared};
use diesel::sql_types::{BigInt, Text};
use diesel::{QueryableByName, sql_query};
use diesel_async::{RunQueryDsl, SimpleAsyncConnection};
use futures_util::FutureExt;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;
use wormrota::store::{Conn, StoreError};

/// A table that the service's own role may write to.
const TALLY: &str = "CREATE TABLE tally (n bigint); GRANT ALL ON tally TO wormrota_service";

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = BigInt)]
    number: i64,
}

async fn number(conn: &mut Conn, query: &str) -> Result<i64, StoreError> {
    let row: Number = sql_query(query).get_result(conn).await?;
    Ok(row.number)
}

async fn tally(app: &App) -> i64 {
    app.desk
        .store()
        .read("count", (), |conn, ()| {
            async move {
                number(
                    conn,
                    "SELECT coalesce(sum(n), 0)::bigint AS number FROM tally",
                )
                .await
            }
            .boxed()
        })
        .await
        .unwrap()
}

#[tokio::test]
async fn an_error_takes_everything_back() {
    let app = App::start().await;
    app.sql(TALLY).await;
    let outcome = app
        .desk
        .store()
        .transact("fail", (), |conn, ()| {
            async move {
                conn.batch_execute("INSERT INTO tally VALUES (1)").await?;
                Err::<(), _>(StoreError::Broken("on purpose".to_owned()))
            }
            .boxed()
        })
        .await;
    assert!(matches!(outcome, Err(StoreError::Broken(text)) if text == "on purpose"));
    assert_eq!(tally(&app).await, 0);
}

#[tokio::test]
async fn a_caller_that_goes_away_does_not_cut_a_transaction() {
    let app = App::start().await;
    app.sql(TALLY).await;
    let store = app.desk.store().clone();
    let caller = tokio::spawn(async move {
        store
            .transact("slow", (), |conn, ()| {
                async move {
                    conn.batch_execute("INSERT INTO tally VALUES (1)").await?;
                    tokio::time::sleep(Duration::from_millis(200)).await;
                    conn.batch_execute("INSERT INTO tally VALUES (2)").await?;
                    Ok::<_, StoreError>(())
                }
                .boxed()
            })
            .await
    });
    tokio::time::sleep(Duration::from_millis(50)).await;
    caller.abort();
    assert!(caller.await.unwrap_err().is_cancelled());
    app.desk.store().drain().await;
    assert_eq!(tally(&app).await, 3);
}

#[tokio::test]
async fn transactions_that_lose_are_tried_again_until_all_have_won() {
    let app = shared().await;
    app.sql(&format!("{TALLY}; INSERT INTO tally VALUES (0)"))
        .await;
    let tries = Arc::new(AtomicU32::new(0));
    let add = |_| {
        let (app, tries) = (Arc::clone(&app), Arc::clone(&tries));
        async move {
            app.desk
                .store()
                .transact("add one", tries, |conn, tries| {
                    async move {
                        tries.fetch_add(1, Ordering::Relaxed);
                        conn.batch_execute("SET TRANSACTION ISOLATION LEVEL SERIALIZABLE")
                            .await?;
                        let n = number(conn, "SELECT n AS number FROM tally").await?;
                        // Long enough for others to read the same.
                        tokio::time::sleep(Duration::from_millis(5)).await;
                        conn.batch_execute(&format!("UPDATE tally SET n = {}", n + 1))
                            .await?;
                        Ok::<_, StoreError>(())
                    }
                    .boxed()
                })
                .await
        }
    };
    let outcomes = all_at_once((0..3).map(add)).await;
    let won = outcomes.iter().filter(|outcome| outcome.is_ok()).count();
    assert_eq!(won, 3, "{outcomes:?}");
    assert_eq!(tally(&app).await, 3);
    assert!(
        AtomicU32::load(&tries, Ordering::Relaxed) > 3,
        "nobody lost, so nothing was shown"
    );
}

#[tokio::test]
async fn a_deadlock_costs_a_try_and_nothing_else() {
    let app = shared().await;
    app.sql(
        "CREATE TABLE pair (id text, n bigint);
         GRANT ALL ON pair TO wormrota_service;
         INSERT INTO pair VALUES ('a', 0), ('b', 0)",
    )
    .await;
    let tries = Arc::new(AtomicU32::new(0));
    let cross = |(first, second): (&'static str, &'static str)| {
        let (app, tries) = (Arc::clone(&app), Arc::clone(&tries));
        async move {
            app.desk
                .store()
                .transact(
                    "cross",
                    (first, second, tries),
                    |conn, (first, second, tries)| {
                        async move {
                            tries.fetch_add(1, Ordering::Relaxed);
                            for id in [first, second] {
                                sql_query("UPDATE pair SET n = n + 1 WHERE id = $1")
                                    .bind::<Text, _>(*id)
                                    .execute(conn)
                                    .await?;
                                tokio::time::sleep(Duration::from_millis(50)).await;
                            }
                            Ok::<_, StoreError>(())
                        }
                        .boxed()
                    },
                )
                .await
        }
    };
    for outcome in all_at_once([("a", "b"), ("b", "a")].map(cross)).await {
        outcome.unwrap();
    }
    assert_eq!(AtomicU32::load(&tries, Ordering::Relaxed), 3);
}

#[tokio::test]
async fn a_panic_in_the_work_is_an_error_and_rolls_back() {
    let app = App::start().await;
    app.sql(TALLY).await;
    for _ in 0..10 {
        let outcome = app
            .desk
            .store()
            .transact("panic", (), |conn, ()| {
                async move {
                    conn.batch_execute("INSERT INTO tally VALUES (1)").await?;
                    assert!(conn.batch_execute("SELECT 1").await.is_err(), "on purpose");
                    Ok::<_, StoreError>(())
                }
                .boxed()
            })
            .await;
        assert!(matches!(outcome, Err(StoreError::Broken(_))), "{outcome:?}");
    }
    assert_eq!(tally(&app).await, 0);
}

#[tokio::test]
async fn a_statement_that_never_ends_is_given_up() {
    let mut settings = crate::frame::settings();
    settings.database.statement_timeout_ms = 200;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let outcome = app
        .desk
        .store()
        .read("sleep", (), |conn, ()| {
            async move {
                conn.batch_execute("SELECT pg_sleep(30)").await?;
                Ok::<_, StoreError>(())
            }
            .boxed()
        })
        .await;
    assert!(
        matches!(outcome, Err(StoreError::Unavailable(_))),
        "{outcome:?}"
    );
}
