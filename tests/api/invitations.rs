use crate::frame::{Answer, App, Person, all_at_once, id_of, shared};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

const GOOD_PASSWORD: &str = "lantern gravel oboe tuesday";

fn sam() -> Value {
    json!({
        "email": "Sam@ElmCourt.example", "name": "Sam", "flat": "3b",
        "roles": ["resident"], "language": "es",
    })
}

async fn accept(app: &App, body: &Value) -> Answer {
    app.say("/v1/invitations/accept", body).await
}

async fn state_of(app: &App, keeper: &Person, site: Uuid, invitation: &Value) -> Value {
    let path = format!("/v1/sites/{site}/invitations");
    let page = app.get(keeper, &path).await.ok(200);
    let items = page["items"].as_array().unwrap();
    let found = items.iter().find(|one| one["id"] == invitation["id"]);
    found.unwrap()["state"].clone()
}

#[tokio::test]
async fn somebody_invited_joins_with_the_link_and_is_signed_in() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let invitation = app.invite(&ada, site, &sam()).await;
    assert_eq!(invitation["email"], "sam@elmcourt.example");
    assert_eq!(invitation["state"], "open");
    let letters = app.rows("SELECT kind, purpose, payload FROM letters").await;
    let id = id_of(&invitation);
    assert_eq!(letters[0]["kind"], "invitation");
    assert_eq!(letters[0]["purpose"], id.to_string());
    assert!(!letters[0].to_string().contains("elmcourt"), "{letters:?}");

    let token = app.invitation_token(&invitation);
    let body = json!({ "token": token, "password": GOOD_PASSWORD, "name": "Samuel" });
    let joined = accept(&app, &body).await.ok(201);
    assert_eq!(joined["site_id"], site.to_string());
    assert_eq!(joined["member_id"], invitation["member_id"]);
    let sam = App::person_of(&joined);
    let seen = app.get(&sam, &format!("/v1/sites/{site}")).await.ok(200);
    assert_eq!(seen["my_roles"], json!(["resident"]));
    let path = format!(
        "/v1/sites/{site}/members/{}",
        app.member_id(&sam, site).await
    );
    let me = app.get(&sam, &path).await.ok(200);
    assert_eq!((&me["name"], &me["flat"]), (&json!("Samuel"), &json!("3b")));
    assert_eq!(me["email"], "sam@elmcourt.example");
    assert_eq!(me["details"]["language"], "es");
    assert_eq!(state_of(&app, &ada, site, &invitation).await, "accepted");

    let typed = json!({ "email": "sam@elmcourt.example", "password": GOOD_PASSWORD });
    app.say("/v1/sessions", &typed).await.ok(201);
}

#[tokio::test]
async fn a_link_works_once_and_every_dead_one_gets_the_same_answer() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let mut refused = Vec::new();

    let used = app.invite(&ada, site, &sam()).await;
    let token = app.invitation_token(&used);
    accept(&app, &json!({ "token": token })).await.ok(201);
    refused.push(token.clone());

    let invite = |n: u8| {
        json!({
            "email": format!("p{n}@elmcourt.example"), "name": "P", "roles": ["resident"],
        })
    };
    let expired = app.invite(&ada, site, &invite(1)).await;
    app.sql(&format!(
        "UPDATE invitations SET created_at = created_at - interval '20 days',
            expires_at = expires_at - interval '20 days' WHERE id = '{}'",
        id_of(&expired)
    ))
    .await;
    assert_eq!(state_of(&app, &ada, site, &expired).await, "expired");
    refused.push(app.invitation_token(&expired));

    let revoked = app.invite(&ada, site, &invite(2)).await;
    let path = format!("/v1/sites/{site}/invitations/{}", id_of(&revoked));
    assert_eq!(app.delete(&ada, &path).await.status, 204);
    app.delete(&ada, &path).await.problem(409, "ended_already");
    assert_eq!(state_of(&app, &ada, site, &revoked).await, "revoked");
    refused.push(app.invitation_token(&revoked));

    let gone = app.invite(&ada, site, &invite(3)).await;
    let member = gone["member_id"].as_str().unwrap();
    let path = format!("/v1/sites/{site}/members/{member}");
    assert_eq!(app.delete(&ada, &path).await.status, 204);
    refused.push(app.invitation_token(&gone));

    let never = json!({ "id": Uuid::now_v7() });
    refused.push(app.invitation_token(&never));
    refused.push(format!("{}A", &token[..token.len() - 1]));
    refused.extend(["", "x", "../../etc/passwd"].map(str::to_owned));
    let reset = &app.desk.credentials().links;
    refused.push(reset.token(wormrota::desk::credentials::LinkFor::Reset, id_of(&expired)));

    let before = app.rows("SELECT count(*) FROM accounts").await;
    for token in refused {
        let body = json!({ "token": token, "password": GOOD_PASSWORD });
        let problem = accept(&app, &body).await.problem(401, "link_refused");
        let first = accept(&app, &json!({ "token": "never" })).await;
        assert_eq!(problem["detail"], first.json()["detail"]);
    }
    assert_eq!(app.rows("SELECT count(*) FROM accounts").await, before);
}

#[tokio::test]
async fn of_many_who_accept_at_once_one_gets_in() {
    let app = shared().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let invitation = app.invite(&ada, site, &sam()).await;
    let token = app.invitation_token(&invitation);
    let tries = (0..4).map(|_| {
        let (app, token) = (Arc::clone(&app), token.clone());
        async move {
            accept(&app, &json!({ "token": token }))
                .await
                .status
                .as_u16()
        }
    });
    let mut statuses = all_at_once(tries).await;
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 401, 401, 401]);
    let rows = app
        .rows("SELECT count(*) AS n FROM accounts WHERE email_lower = 'sam@elmcourt.example'")
        .await;
    assert_eq!(rows[0]["n"], 1);
}

#[tokio::test]
async fn an_account_with_the_invited_address_joins_as_it_is() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let kim = app.stranger().await;
    let invitation = json!({ "email": kim.email, "name": "Kim", "roles": ["caretaker"] });
    let invitation = app.invite(&ada, site, &invitation).await;
    let token = app.invitation_token(&invitation);

    let with_password = json!({ "token": token, "password": GOOD_PASSWORD });
    accept(&app, &with_password)
        .await
        .conflicting_fields(&["/password"]);

    let other = app.stranger().await;
    let body = json!({ "token": token });
    app.post(&other, "/v1/invitations/accept", &body)
        .await
        .problem(409, "invitation_for_another");
    let stale = Person {
        token: "not.a.token".to_owned(),
        ..kim.clone()
    };
    app.post(&stale, "/v1/invitations/accept", &body)
        .await
        .problem(401, "bad_token");
    assert_eq!(state_of(&app, &ada, site, &invitation).await, "open");

    let joined = app
        .post(&kim, "/v1/invitations/accept", &body)
        .await
        .ok(201);
    // A letter that was passed on opens nothing that is theirs already.
    assert_eq!(joined.get("session"), None);
    let seen = app.get(&kim, &format!("/v1/sites/{site}")).await.ok(200);
    assert_eq!(seen["my_roles"], json!(["caretaker"]));
}

#[tokio::test]
async fn an_address_is_invited_once() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/invitations");
    app.invite(&ada, site, &sam()).await;
    let again = json!({ "email": "sam@elmcourt.example", "name": "S", "roles": ["teacher"] });
    app.post(&ada, &path, &again)
        .await
        .conflicting_fields(&["/email"]);
    let resident = app.member(site, Role::Resident).await;
    let member = json!({ "email": resident.email, "name": "R", "roles": ["resident"] });
    app.post(&ada, &path, &member)
        .await
        .conflicting_fields(&["/email"]);
}

#[tokio::test]
async fn nobody_hands_out_by_invitation_what_they_may_not() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/invitations");
    let invitation = |role: &str, n: usize| {
        json!({
            "email": format!("{role}{n}@elmcourt.example"), "name": "N", "roles": [role],
        })
    };
    for (n, (by, may)) in [
        (
            Role::Caretaker,
            ["resident", "caretaker", "teacher"].as_slice(),
        ),
        (Role::Teacher, &["resident", "teacher"]),
        (
            Role::Educator,
            &["resident", "caretaker", "teacher", "educator"],
        ),
    ]
    .into_iter()
    .enumerate()
    {
        let keeper = app.member(site, by).await;
        for role in Role::ALL.map(Role::code) {
            let answer = app.post(&keeper, &path, &invitation(role, n)).await;
            if may.contains(&role) {
                answer.ok(201);
            } else {
                answer.problem(403, "forbidden");
            }
        }
    }
    let resident = app.member(site, Role::Resident).await;
    app.post(&resident, &path, &invitation("resident", 9))
        .await
        .problem(403, "forbidden");
    app.get(&resident, &path).await.problem(403, "forbidden");

    // Nor by sending anew, or taking back, what was theirs to hand out.
    let page = app.get(&ada, &path).await.ok(200);
    let items = page["items"].as_array().unwrap();
    let caretakers = items
        .iter()
        .find(|one| one["roles"] == json!(["caretaker"]));
    let of = format!("{path}/{}", id_of(caretakers.unwrap()));
    let teacher = app.member(site, Role::Teacher).await;
    app.delete(&teacher, &of).await.problem(403, "forbidden");
    app.ask(Method::POST, &format!("{of}/replacement"))
        .by(&teacher)
        .send()
        .await
        .problem(403, "forbidden");
}

#[tokio::test]
async fn a_lost_link_is_replaced_and_the_old_one_dies() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let old = app.invite(&ada, site, &sam()).await;
    let path = |of: &Value| {
        let id = id_of(of);
        format!("/v1/sites/{site}/invitations/{id}/replacement")
    };
    let replace = |of: &Value| app.ask(Method::POST, &path(of)).by(&ada).send();
    let new = replace(&old).await.ok(201);
    assert_eq!(new["member_id"], old["member_id"]);
    replace(&old).await.problem(409, "ended_already");
    assert_eq!(state_of(&app, &ada, site, &old).await, "revoked");
    // The refusal took nothing back.
    assert_eq!(state_of(&app, &ada, site, &new).await, "open");

    let dead = json!({ "token": app.invitation_token(&old) });
    accept(&app, &dead).await.problem(401, "link_refused");
    let alive = json!({ "token": app.invitation_token(&new) });
    accept(&app, &alive).await.ok(201);
    replace(&new).await.problem(409, "ended_already");
}

#[tokio::test]
async fn bad_invitations_write_nothing() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/invitations");
    let before = app.contents().await;
    for (field, value, pointer) in [
        ("name", json!("x".repeat(10_000)), "/name"),
        ("name", json!("S\u{7}am"), "/name"),
        ("name", json!("\u{202E}maS"), "/name"),
        ("name", json!(" "), "/name"),
        ("email", json!("not an address"), "/email"),
        ("email", json!("sam@localhost"), "/email"),
        ("flat", json!("x".repeat(31)), "/flat"),
        ("roles", json!([]), "/roles"),
        ("roles", json!(["owner"]), "/roles/0"),
        ("language", json!("de"), "/language"),
        ("site_id", json!(Uuid::nil()), "/site_id"),
        ("is_educator", json!(true), "/is_educator"),
    ] {
        let mut body = sam();
        body[field] = value;
        app.post(&ada, &path, &body).await.wrong_fields(&[pointer]);
    }
    let mut after = app.contents().await;
    let counters = |tables: &mut Vec<Value>| tables.retain(|one| one["name"] != "allowances");
    let mut before = before;
    counters(&mut before);
    counters(&mut after);
    assert_eq!(after, before);

    let invitation = app.invite(&ada, site, &sam()).await;
    let token = app.invitation_token(&invitation);
    for (field, value) in [
        ("password", json!("short")),
        ("name", json!("x".repeat(10_000))),
        ("device", json!("x".repeat(61))),
        ("roles", json!(["educator"])),
        ("site_id", json!(site)),
        ("email", json!("eve@elsewhere.example")),
    ] {
        let mut body = json!({ "token": token });
        body[field] = value;
        let pointer = format!("/{field}");
        accept(&app, &body).await.wrong_fields(&[&pointer]);
    }
    let common = json!({ "token": token, "password": "passwordpassword" });
    accept(&app, &common)
        .await
        .conflicting_fields(&["/password"]);
    assert_eq!(state_of(&app, &ada, site, &invitation).await, "open");
}
