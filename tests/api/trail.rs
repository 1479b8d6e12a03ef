//! Who changed what: read by the educator, and never rewritten by the service.

use crate::frame::App;
use diesel_async::SimpleAsyncConnection;
use futures_util::FutureExt;
use serde_json::json;
use wormrota::desk::DeskError;
use wormrota::store::{StoreError, service_role};
use wormrota_domain::access::Role;

#[tokio::test]
async fn an_educator_reads_who_changed_the_site_and_nobody_else_does() {
    let app = App::start_in_june().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}");
    let caretaker = app.member(site, Role::Caretaker).await;
    app.patch(&caretaker, &path, &json!({ "units": "metric" }))
        .await
        .ok(200);
    app.patch(&ada, &path, &json!({ "name": "Elm Yard" }))
        .await
        .ok(200);

    let changes = app.get(&ada, &format!("{path}/changes")).await.ok(200);
    let items = changes["items"].as_array().unwrap();
    assert_eq!(items.len(), 2, "{changes}");
    assert_eq!(items[0]["deed"], "site_changed");
    assert_eq!(items[0]["subject_kind"], "site");
    assert_eq!(items[0]["subject_id"], site.to_string());
    assert_eq!(items[0]["detail"], json!({ "fields": ["name"] }));
    assert_eq!(items[1]["detail"], json!({ "fields": ["units"] }));
    assert_ne!(items[0]["by_member_id"], items[1]["by_member_id"]);
    assert!(
        items[0]["at"]
            .as_str()
            .unwrap()
            .starts_with("2026-06-10T17:")
    );
    assert!(!changes.to_string().contains("Elm Yard"), "{changes}");

    // A page at a time, newest first.
    let first = app
        .get(&ada, &format!("{path}/changes?limit=1"))
        .await
        .ok(200);
    let cursor = first["next_cursor"].as_str().unwrap();
    let second = app
        .get(&ada, &format!("{path}/changes?limit=1&cursor={cursor}"))
        .await
        .ok(200);
    assert_eq!(second["items"][0], items[1]);
    assert!(second.get("next_cursor").is_none());

    for role in [Role::Resident, Role::Caretaker, Role::Teacher] {
        let other = app.member(site, role).await;
        app.get(&other, &format!("{path}/changes"))
            .await
            .problem(403, "forbidden");
    }
}

#[tokio::test]
async fn the_services_own_role_can_add_to_the_trail_and_not_rewrite_it() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    app.patch(
        &ada,
        &format!("/v1/sites/{site}"),
        &json!({ "units": "metric" }),
    )
    .await
    .ok(200);
    for statement in [
        "UPDATE audit SET deed = 'nothing'",
        "DELETE FROM audit",
        "TRUNCATE audit",
        "DROP TABLE audit",
        "ALTER TABLE audit DROP COLUMN deed",
        "INSERT INTO __diesel_schema_migrations VALUES ('x', '2026-01-01')",
    ] {
        let refused = app
            .desk
            .store()
            .transact("try to rewrite", statement, |conn, statement| {
                async move {
                    Ok::<_, DeskError>(
                        conn.batch_execute(statement)
                            .await
                            .map_err(StoreError::from)?,
                    )
                }
                .boxed()
            })
            .await;
        let said = refused.map_err(|error| format!("{error}")).unwrap_err();
        assert!(
            said.contains("permission denied") || said.contains("must be owner"),
            "{statement}: {said}"
        );
    }
    let rows = app.rows("SELECT deed FROM audit").await;
    assert_eq!(rows, [json!({ "deed": "site_changed" })]);
    let stepped_down = app
        .desk
        .store()
        .read("look", (), |conn, ()| {
            async move { service_role::is_stepped_down(conn).await }.boxed()
        })
        .await;
    assert!(stepped_down.unwrap());
}
