//! What sharing out does while others wait for its locks: little, and from what is true then.

use super::{School, TODAY};
use crate::frame::NOON_IN_JUNE;
use diesel_async::{AsyncConnection, AsyncPgConnection, SimpleAsyncConnection};
use serde_json::json;
use std::pin::pin;
use std::time::Duration;

/// Protects whoever waits for a class from a year's worth of single statements.
#[tokio::test]
async fn however_many_places_are_filled_they_are_written_at_once() {
    let school = School::open("Ana\nBo\nCy\nDee").await;
    school
        .app
        .sql(
            "CREATE TABLE updates (at timestamptz);
             CREATE FUNCTION note() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER AS
                 'BEGIN INSERT INTO updates VALUES (now()); RETURN NULL; END';
             CREATE TRIGGER noted AFTER UPDATE ON places
                 FOR EACH STATEMENT EXECUTE FUNCTION note()",
        )
        .await;
    for n in 11..=20 {
        school.turn(&format!("2026-06-{n}"), 2).await;
    }
    let updates = "SELECT count(*) AS n FROM updates";
    for (from, to, by, so_far) in [
        ("2026-06-11", "2026-06-15", "in_order", 1),
        ("2026-06-16", "2026-06-20", "planner", 2),
    ] {
        let shared = school.share_out(from, to, by).await;
        assert_eq!(shared["filled"], 10);
        assert_eq!(school.app.rows(updates).await[0]["n"], so_far);
    }
    let held = format!(
        "SELECT count(*) AS n FROM places
         WHERE how = 'duty' AND held_since BETWEEN '{NOON_IN_JUNE}' AND '{}' AND NOT kept",
        school.app.now().await.to_rfc3339()
    );
    assert_eq!(school.app.rows(&held).await[0]["n"], 20);
}

/// Protects whoever is reported away while a plan waits for the locks: what was drawn before
/// them counts for nothing if it was made from anything else.
#[tokio::test]
async fn a_plan_drawn_before_the_locks_gives_way_to_what_is_there_behind_them() {
    let school = School::open("Ana\nBo\nCy\nDee").await;
    let (_, places) = school.turn("2026-06-12", 1).await;
    let [others @ .., dee] = &school.pupils[..] else {
        panic!("four pupils")
    };
    let mut holder = AsyncPgConnection::establish(school.app.url.reveal())
        .await
        .unwrap();
    let lock = format!(
        "BEGIN; SELECT FROM classes WHERE id = '{}' FOR NO KEY UPDATE",
        school.class
    );
    holder.batch_execute(&lock).await.unwrap();
    let body = json!({ "from": TODAY, "to": "2026-06-12", "by": "planner" });
    let path = school.duty("");
    let mut sharing = pin!(school.app.post(&school.teacher, &path, &body));
    let away = async {
        let waiting = "SELECT count(*) AS n FROM pg_stat_activity
                       WHERE datname = current_database() AND wait_event_type = 'Lock'";
        while school.app.rows(waiting).await[0]["n"] == 0 {
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        for pupil in others {
            let away = format!(
                "INSERT INTO pupil_absences VALUES ('{}', '{pupil}', '2026-06-12')",
                school.site
            );
            holder.batch_execute(&away).await.unwrap();
        }
        holder.batch_execute("COMMIT").await.unwrap();
    };
    tokio::select! {
        answer = &mut sharing => panic!("it did not wait for the lock: {}", answer.text),
        () = away => {}
    }
    assert_eq!(sharing.await.ok(200)["filled"], 1);
    assert_eq!(school.holder(places[0]).await, Some(*dee));
}
