//! What people with a role at a site might try to get more than it gives, or to keep it.

use crate::frame::{App, Person, id_of, shared};
use chrono::TimeDelta;
use diesel_async::{AsyncConnection, AsyncPgConnection, SimpleAsyncConnection};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Duration;
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn bare_post(app: &App, who: &Person, path: &str) -> crate::frame::Answer {
    app.ask(Method::POST, path).by(who).send().await
}

async fn class_of(app: &App, teacher: &Person, site: Uuid) -> Uuid {
    let ends_on = (app.now().await + TimeDelta::days(100)).date_naive();
    let new = json!({ "name": "4B", "ends_on": ends_on });
    let path = format!("/v1/sites/{site}/classes");
    let class = id_of(&app.post(teacher, &path, &new).await.ok(201));
    let pupils = json!({ "labels": "Ana" });
    app.post(teacher, &format!("{path}/{class}/pupils"), &pupils)
        .await
        .ok(201);
    class
}

#[tokio::test]
async fn whoever_loses_a_role_while_they_wait_changes_nothing_any_more() {
    let app = shared().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    let key = app.member_id(&caretaker, site).await;
    let mut holder = AsyncPgConnection::establish(app.url.reveal())
        .await
        .unwrap();
    let lock = format!("BEGIN; SELECT FROM sites WHERE id = '{site}' FOR NO KEY UPDATE");
    holder.batch_execute(&lock).await.unwrap();

    let invitation = json!({ "email": "x@y.example", "name": "X", "roles": ["caretaker"] });
    let path = format!("/v1/sites/{site}/invitations");
    let asking = {
        let app = Arc::clone(&app);
        tokio::spawn(async move { app.post(&caretaker, &path, &invitation).await })
    };
    // Until it waits for the lock, with the role it had when it came.
    let waiting = "SELECT count(*) AS n FROM pg_locks WHERE NOT granted";
    while app.rows(waiting).await[0]["n"] == 0 {
        tokio::time::sleep(Duration::from_millis(10)).await;
    }
    let demote =
        format!("UPDATE member_roles SET role = 'resident' WHERE member_id = '{key}'; COMMIT");
    holder.batch_execute(&demote).await.unwrap();
    asking.await.unwrap().problem(403, "forbidden");
    assert_eq!(
        app.rows("SELECT id FROM invitations").await,
        [] as [Value; 0]
    );
}

#[tokio::test]
async fn a_caretaker_gets_at_no_pupils_through_a_classs_adults() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let teacher = app.member(site, Role::Teacher).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    let class = class_of(&app, &teacher, site).await;
    let helper = app.without_address(&ada, site, "Lu").await;
    let member = format!("/v1/sites/{site}/members/{helper}");
    let path = format!("/v1/sites/{site}/classes/{class}/helpers/{helper}");
    app.put(&teacher, &path, &json!({})).await.ok(200);

    let slip = format!("{member}/slip");
    bare_post(&app, &caretaker, &slip)
        .await
        .problem(403, "forbidden");
    let mine = json!({ "email": "mine@elmcourt.example" });
    app.patch(&caretaker, &member, &mine)
        .await
        .problem(403, "forbidden");
    bare_post(&app, &teacher, &slip).await.ok(201);
}

#[tokio::test]
async fn whoever_teaches_no_more_sees_the_class_no_more() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let teacher = app.member(site, Role::Teacher).await;
    let next = app.member(site, Role::Teacher).await;
    let class = class_of(&app, &teacher, site).await;
    let key = app.member_id(&teacher, site).await;
    let change = json!({
        "roles": ["resident"], "successor_id": app.member_id(&next, site).await,
    });
    let path = format!("/v1/sites/{site}/members/{key}");
    app.patch(&ada, &path, &change).await.ok(200);
    let path = format!("/v1/sites/{site}/classes/{class}");
    app.get(&teacher, &path).await.problem(404, "not_found");
    let seen = app.get(&next, &path).await.ok(200);
    assert_eq!(seen["pupils"][0]["label"], "Ana");
}

#[tokio::test]
async fn nobody_takes_over_who_can_be_shut_out() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    let lu = app.without_address(&ada, site, "Lu").await;
    let slip = bare_post(&app, &ada, &format!("/v1/sites/{site}/members/{lu}/slip"))
        .await
        .ok(201);
    let used = json!({ "code": slip["code"] });
    app.say("/v1/slips/use", &used).await.ok(201);
    let key = app.member_id(&caretaker, site).await;
    let leaving = format!("/v1/sites/{site}/members/{key}?successor_id={lu}");
    app.delete(&caretaker, &leaving)
        .await
        .conflicting_fields(&["/successor_id"]);
}

#[tokio::test]
async fn what_somebody_printed_dies_when_they_go() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    app.member(site, Role::Caretaker).await;
    let at = |rest: &str| format!("/v1/sites/{site}{rest}");
    for demoted in [false, true] {
        let caretaker = app.member(site, Role::Caretaker).await;
        let lu = app.without_address(&ada, site, "Lu").await;
        let slip = bare_post(&app, &caretaker, &at(&format!("/members/{lu}/slip")))
            .await
            .ok(201);
        let sheet = json!({ "expires_in_days": 30, "most_uses": 40 });
        let sheet = app
            .post(&caretaker, &at("/joining_sheets"), &sheet)
            .await
            .ok(201);
        let key = app.member_id(&caretaker, site).await;
        let member = at(&format!("/members/{key}"));
        if demoted {
            let fewer = json!({ "roles": ["resident"] });
            app.patch(&ada, &member, &fewer).await.ok(200);
        } else {
            assert_eq!(app.delete(&ada, &member).await.status, 204);
        }
        let used = json!({ "code": slip["code"] });
        app.say("/v1/slips/use", &used)
            .await
            .problem(409, "code_refused");
        let joining = json!({ "code": sheet["code"], "name": "Uma" });
        app.say("/v1/joinings", &joining)
            .await
            .problem(409, "code_refused");
    }
}
