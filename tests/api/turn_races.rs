//! Places that are taken while patterns and closures change, on two copies of the service.

use crate::frame::{App, Court, all_at_once, id_of, settings};
use crate::turns::{listed, pattern, take};
use serde_json::json;
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// Two copies on one database.
async fn copies() -> ([Arc<App>; 2], Court) {
    let one = App::start_in_june().await;
    let other = App::on(one.url.clone(), settings());
    let court = one.court().await;
    ([Arc::new(one), Arc::new(other)], court)
}

/// Who holds places, by the database.
async fn held(app: &App) -> Vec<(Uuid, Uuid)> {
    let rows = app
        .rows(
            "SELECT turn_id, member_id FROM places WHERE how IS NOT NULL
             ORDER BY turn_id, member_id",
        )
        .await;
    let key = |value: &serde_json::Value| value.as_str().unwrap().parse().unwrap();
    rows.iter()
        .map(|row| (key(&row["turn_id"]), key(&row["member_id"])))
        .collect()
}

/// Guards everybody who takes a place in the second in which a keeper changes the pattern: a
/// place that was given is never lost, whatever the pattern wants by then.
#[tokio::test]
async fn a_place_taken_while_the_pattern_changes_is_never_lost() {
    let ([one, other], court) = copies().await;
    let made = pattern(&one, &court, "FREQ=DAILY;COUNT=28", 3).await;
    let path = court.at(&format!("/patterns/{}", id_of(&made)));
    let turns: Vec<Uuid> = listed(&one, &court, &court.educator, "")
        .await
        .iter()
        .map(id_of)
        .collect();
    let mut members = Vec::new();
    for _ in 0..3 {
        let who = one.member(court.site, Role::Resident).await;
        members.push(one.member_id(&who, court.site).await);
    }

    let site = court.site;
    let takers = turns.iter().enumerate().map(|(at, &turn)| {
        let app = Arc::clone(if at % 2 == 0 { &one } else { &other });
        let member = members[at % members.len()];
        let (who, at) = (court.resident.clone(), court.at(&format!("/turns/{turn}")));
        Box::pin(async move {
            // As people do: they look first. So takers and keepers mix.
            app.get(&who, &at).await;
            take(&app, site, turn, member)
                .await
                .then_some((turn, member))
        }) as futures_util::future::BoxFuture<'static, Option<(Uuid, Uuid)>>
    });
    let educator = court.educator.clone();
    let keepers = (0..6).map(|round| {
        let app = Arc::clone(if round % 2 == 0 { &other } else { &one });
        let (educator, path) = (educator.clone(), path.clone());
        Box::pin(async move {
            let rule = if round % 2 == 0 {
                "FREQ=WEEKLY;COUNT=4"
            } else {
                "FREQ=DAILY;COUNT=20"
            };
            let change = json!({ "rule": rule, "places": round % 3 + 1 });
            app.patch(&educator, &path, &change).await.ok(200);
            None
        }) as futures_util::future::BoxFuture<'static, Option<(Uuid, Uuid)>>
    });
    // Keepers between the takers.
    let mut all: Vec<_> = takers.collect();
    for (at, keeper) in keepers.enumerate() {
        all.insert(at * 5, keeper);
    }
    let answers = all_at_once(all).await;
    let mut given: Vec<(Uuid, Uuid)> = answers.into_iter().flatten().collect();
    given.sort_unstable();
    println!("{} of {} places were given", given.len(), turns.len());
    assert!(!given.is_empty());
    assert_eq!(held(&one).await, given);

    // Everything ends: what is held is all that is left.
    one.delete(&court.educator, &path).await.ok(200);
    assert_eq!(held(&one).await, given);
    let left = listed(&one, &court, &court.educator, "").await;
    let mut left: Vec<Uuid> = left.iter().map(id_of).collect();
    left.sort_unstable();
    let mut with_holders: Vec<Uuid> = given.iter().map(|(turn, _)| *turn).collect();
    with_holders.dedup();
    assert_eq!(left, with_holders);
}

/// Guards against turns that take place in a closed house: whichever comes first, a pattern's
/// change or a closure, the days end up shut, and each pattern has one turn on a day.
#[tokio::test]
async fn a_closure_and_a_pattern_made_at_once_leave_no_turn_on_a_closed_day() {
    let ([one, other], court) = copies().await;
    let educator = court.educator.clone();
    let patterns = court.at("/patterns");
    let closures = court.at("/closures");
    let bin = court.bin;
    let all = (0..8).map(|at| {
        let app = Arc::clone(if at % 2 == 0 { &one } else { &other });
        let (educator, patterns) = (educator.clone(), patterns.clone());
        let closures = closures.clone();
        async move {
            if at == 3 {
                let days = json!({ "first_day": "2026-06-12", "last_day": "2026-06-14" });
                return app.post(&educator, &closures, &days).await.status.as_u16();
            }
            let new = json!({
                "bin_id": bin, "rule": "FREQ=DAILY;COUNT=7", "first_day": "2026-06-10",
                "places": 1, "effort": 1,
            });
            app.post(&educator, &patterns, &new).await.status.as_u16()
        }
    });
    assert_eq!(all_at_once(all).await, [201; 8]);
    let open = one
        .rows(
            "SELECT id FROM turns WHERE called_off IS NULL
             AND on_date BETWEEN '2026-06-12' AND '2026-06-14'",
        )
        .await;
    assert!(open.is_empty(), "{open:?}");
    let closure = one.get(&educator, &closures).await.ok(200);
    let path = court.at(&format!("/closures/{}", id_of(&closure["items"][0])));
    one.delete(&educator, &path).await.ok(200);
    assert_eq!(listed(&one, &court, &educator, "").await.len(), 49);
}
