use crate::frame::{Answer, App, Person, all_at_once, id_of, shared};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn sheet(app: &App, keeper: &Person, site: Uuid, most_uses: u32) -> Value {
    let path = format!("/v1/sites/{site}/joining_sheets");
    let new = json!({ "expires_in_days": 30, "most_uses": most_uses });
    app.post(keeper, &path, &new).await.ok(201)
}

async fn join(app: &App, code: &Value, name: &str, email: Option<&str>) -> Answer {
    let mut body = json!({ "code": code, "name": name, "flat": "3b" });
    if let Some(email) = email {
        body["email"] = email.into();
    }
    app.say("/v1/joinings", &body).await
}

async fn waiting(app: &App, keeper: &Person, site: Uuid) -> Vec<Value> {
    let path = format!("/v1/sites/{site}/newcomers");
    let page = app.get(keeper, &path).await.ok(200);
    page["items"].as_array().unwrap().clone()
}

#[tokio::test]
async fn a_sheet_puts_newcomers_on_the_list_and_a_keeper_lets_them_in() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let sheet = sheet(&app, &ada, site, 10).await;
    let text = sheet["text"].as_str().unwrap();
    assert!(text.contains("Elm Court"), "{text}");
    assert!(text.contains(sheet["code"].as_str().unwrap()), "{text}");

    let sloppy = sheet["code"].as_str().unwrap().to_lowercase();
    let answer = join(&app, &json!(sloppy.replace('-', " ")), "Kim", None).await;
    assert_eq!(answer.ok(201), json!({ "waiting": true }));
    join(&app, &sheet["code"], "Lee", Some("lee@elmcourt.example"))
        .await
        .ok(201);
    let max = app.stranger().await;
    let body = json!({ "code": sheet["code"], "name": "Max", "language": "es" });
    app.post(&max, "/v1/joinings", &body).await.ok(201);

    let list = waiting(&app, &ada, site).await;
    let names: Vec<&str> = list
        .iter()
        .map(|one| one["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["Kim", "Lee", "Max"]);
    assert_eq!(list[2]["email"], max.email);
    // Who waits may do nothing and is not among the people.
    let at_site = format!("/v1/sites/{site}");
    app.get(&max, &at_site).await.problem(404, "not_found");
    let members = app.get(&ada, &format!("{at_site}/members")).await.ok(200);
    assert_eq!(members["items"].as_array().unwrap().len(), 1);
    let path = format!("{at_site}/members/{}", id_of(&list[2]));
    app.get(&ada, &path).await.problem(404, "not_found");

    let confirm = |who: &Value| format!("{at_site}/newcomers/{}/confirmation", id_of(who));
    let empty = json!({});
    let kim = app.post(&ada, &confirm(&list[0]), &empty).await.ok(201);
    assert_eq!(kim["has_account"], false);
    assert_eq!(kim["invitation_id"], json!(null));
    let lee = app.post(&ada, &confirm(&list[1]), &empty).await.ok(201);
    let invitation = json!({ "id": lee["invitation_id"] });
    let token = json!({ "token": app.invitation_token(&invitation) });
    app.say("/v1/invitations/accept", &token).await.ok(201);
    let roles = json!({ "roles": ["caretaker", "resident"], "flat": "5" });
    let answer = app.post(&ada, &confirm(&list[2]), &roles).await.ok(201);
    assert_eq!(answer["has_account"], true);
    let seen = app.get(&max, &at_site).await.ok(200);
    assert_eq!(seen["my_roles"], json!(["resident", "caretaker"]));
    assert!(waiting(&app, &ada, site).await.is_empty());
    app.post(&ada, &confirm(&list[2]), &roles)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn a_newcomer_who_is_refused_is_forgotten() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let sheet = sheet(&app, &ada, site, 2).await;
    join(
        &app,
        &sheet["code"],
        "Zebedee",
        Some("zeb@elsewhere.example"),
    )
    .await
    .ok(201);
    let newcomer = id_of(&waiting(&app, &ada, site).await[0]);
    let path = format!("/v1/sites/{site}/newcomers/{newcomer}");
    let resident = app.member(site, Role::Resident).await;
    app.delete(&resident, &path).await.problem(403, "forbidden");
    assert_eq!(app.delete(&ada, &path).await.status, 204);
    app.delete(&ada, &path).await.problem(404, "not_found");
    let left = app
        .rows(&format!("SELECT id FROM members WHERE id = '{newcomer}'"))
        .await;
    assert!(left.is_empty());
}

#[tokio::test]
async fn every_code_that_does_not_work_gets_the_same_answer() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/joining_sheets");
    let used_up = sheet(&app, &ada, site, 1).await;
    join(&app, &used_up["code"], "Kim", None).await.ok(201);
    let expired = sheet(&app, &ada, site, 5).await;
    app.sql(&format!(
        "UPDATE codes SET created_at = created_at - interval '40 days',
            expires_at = expires_at - interval '40 days' WHERE id = '{}'",
        id_of(&expired)
    ))
    .await;
    let revoked = sheet(&app, &ada, site, 5).await;
    let of = format!("{path}/{}", id_of(&revoked));
    assert_eq!(app.delete(&ada, &of).await.status, 204);
    app.delete(&ada, &of).await.problem(409, "ended_already");
    let kim = id_of(&waiting(&app, &ada, site).await[0]);
    let confirm = format!("/v1/sites/{site}/newcomers/{kim}/confirmation");
    app.post(&ada, &confirm, &json!({})).await.ok(201);
    let slip = format!("/v1/sites/{site}/members/{kim}/slip");
    let slip = app.ask(Method::POST, &slip).by(&ada).send().await.ok(201);

    let mut answers = Vec::new();
    for code in [
        &used_up["code"],
        &expired["code"],
        &revoked["code"],
        &slip["code"],
        &json!("0000-0000-0000"),
        &json!(""),
        &json!("'; DROP TABLE codes; --"),
        &json!("x".repeat(10_000)),
    ] {
        let problem = join(&app, code, "Eve", None)
            .await
            .problem(409, "code_refused");
        answers.push(problem["detail"].clone());
    }
    answers.dedup();
    assert_eq!(answers.len(), 1, "{answers:?}");
    assert!(waiting(&app, &ada, site).await.is_empty());

    let states = app.get(&ada, &path).await.ok(200);
    let states: Vec<&Value> = states["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| &one["state"])
        .collect();
    assert_eq!(states, ["revoked", "expired", "used_up"]);
}

#[tokio::test]
async fn a_crowd_never_uses_a_sheet_more_often_than_it_may_be() {
    let app = shared().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let sheet = sheet(&app, &ada, site, 3).await;
    let tries = (0..8).map(|n| {
        let (app, code) = (Arc::clone(&app), sheet["code"].clone());
        async move {
            let answer = join(&app, &code, &format!("P{n}"), None).await;
            answer.status.as_u16()
        }
    });
    let statuses = all_at_once(tries).await;
    assert_eq!(statuses.iter().filter(|status| **status == 201).count(), 3);
    assert_eq!(statuses.iter().filter(|status| **status == 409).count(), 5);
    assert_eq!(waiting(&app, &ada, site).await.len(), 3);
}

#[tokio::test]
async fn whoever_is_known_hears_the_same_and_is_not_doubled() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let resident = app.member(site, Role::Resident).await;
    let sheet = sheet(&app, &ada, site, 2).await;
    let stranger = join(&app, &sheet["code"], "Kim", Some("kim@elmcourt.example"))
        .await
        .ok(201);
    for email in [resident.email.as_str(), "KIM@elmcourt.example"] {
        let known = join(&app, &sheet["code"], "X", Some(email)).await.ok(201);
        assert_eq!(known, stranger);
    }
    let body = json!({ "code": sheet["code"], "name": "Me again" });
    let signed_in = app.post(&resident, "/v1/joinings", &body).await.ok(201);
    assert_eq!(signed_in, stranger);
    assert_eq!(waiting(&app, &ada, site).await.len(), 1);
    // Nor did they use up a place.
    join(&app, &sheet["code"], "Lee", None).await.ok(201);
}

#[tokio::test]
async fn nobody_joins_as_more_than_they_say_or_elsewhere() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let other = app.site(&ada).await;
    let sheet = sheet(&app, &ada, site, 5).await;
    for (field, value) in [
        ("roles", json!(["educator"])),
        ("role", json!("caretaker")),
        ("site_id", json!(other)),
        ("member_id", json!(Uuid::nil())),
        ("account_id", json!(ada.account.to_string())),
        ("waiting_since", json!(null)),
        ("name", json!("x".repeat(10_000))),
        ("name", json!("a\u{0}b")),
        ("flat", json!("x".repeat(31))),
        ("email", json!("nobody")),
        ("language", json!("xx")),
    ] {
        let mut body = json!({ "code": sheet["code"], "name": "Eve" });
        body[field] = value;
        let pointer = format!("/{field}");
        app.say("/v1/joinings", &body)
            .await
            .wrong_fields(&[&pointer]);
    }
    let body = json!({ "code": sheet["code"], "name": "E", "email": "e@elsewhere.example" });
    let eve = app.stranger().await;
    app.post(&eve, "/v1/joinings", &body)
        .await
        .conflicting_fields(&["/email"]);
    for site in [site, other] {
        assert!(waiting(&app, &ada, site).await.is_empty());
    }
}

#[tokio::test]
async fn a_lost_sheet_is_replaced_in_one_step_and_keeps_its_bounds() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let old = sheet(&app, &ada, site, 2).await;
    join(&app, &old["code"], "Kim", None).await.ok(201);
    let path = format!("/v1/sites/{site}/joining_sheets");
    let replace = |of: &Value| {
        let path = format!("{path}/{}/replacement", id_of(of));
        app.ask(Method::POST, &path).by(&ada).send()
    };
    let new = replace(&old).await.ok(201);
    assert_ne!(new["code"], old["code"]);
    assert_eq!(new["expires_at"], old["expires_at"]);
    assert_eq!((&new["uses"], &new["most_uses"]), (&json!(1), &json!(2)));
    replace(&old).await.problem(409, "ended_already");
    join(&app, &old["code"], "Lee", None)
        .await
        .problem(409, "code_refused");
    join(&app, &new["code"], "Lee", None).await.ok(201);
    join(&app, &new["code"], "Max", None)
        .await
        .problem(409, "code_refused");
    // No list and no table shows a code.
    let list = app.get(&ada, &path).await.ok(200).to_string();
    let kept = app.rows("SELECT * FROM codes").await;
    let kept = serde_json::to_string(&kept).unwrap();
    for code in [&old["code"], &new["code"]] {
        let code = code.as_str().unwrap();
        for text in [&list, &kept] {
            assert!(!text.contains(code) && !text.contains(&code.replace('-', "")));
        }
    }
}

#[tokio::test]
async fn a_repeated_request_gets_the_sheet_without_its_code() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/joining_sheets");
    let body = json!({ "expires_in_days": 30, "most_uses": 5 });
    let send = || {
        app.ask(Method::POST, &path)
            .by(&ada)
            .header("idempotency-key", "k1")
            .json(&body)
            .send()
    };
    let first = send().await.ok(201);
    let again = send().await.ok(201);
    assert_eq!(again["id"], first["id"]);
    assert_eq!(
        (&again["code"], &again["text"]),
        (&json!(null), &json!(null))
    );
    let kept = app.rows("SELECT answer FROM idempotency_keys").await;
    let code = first["code"].as_str().unwrap();
    assert!(!serde_json::to_string(&kept).unwrap().contains(code));

    for (field, value) in [
        ("expires_in_days", json!(0)),
        ("expires_in_days", json!(91)),
        ("most_uses", json!(0)),
        ("most_uses", json!(501)),
        ("most_uses", json!("5")),
        ("code", json!("0000-0000-0000")),
    ] {
        let mut body = body.clone();
        body[field] = value;
        let pointer = format!("/{field}");
        app.post(&ada, &path, &body).await.wrong_fields(&[&pointer]);
    }
}

#[tokio::test]
async fn only_keepers_let_people_in_and_within_what_they_may_hand_out() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let sheet = sheet(&app, &ada, site, 5).await;
    join(&app, &sheet["code"], "Kim", None).await.ok(201);
    let list = format!("/v1/sites/{site}/newcomers");
    let kim = id_of(&waiting(&app, &ada, site).await[0]);
    let confirm = format!("{list}/{kim}/confirmation");
    let resident = app.member(site, Role::Resident).await;
    app.get(&resident, &list).await.problem(403, "forbidden");
    app.post(&resident, &confirm, &json!({}))
        .await
        .problem(403, "forbidden");
    let teacher = app.member(site, Role::Teacher).await;
    for role in ["caretaker", "educator"] {
        app.post(&teacher, &confirm, &json!({ "roles": [role] }))
            .await
            .problem(403, "forbidden");
    }
    for (body, pointer) in [
        (json!({ "roles": [] }), "/roles"),
        (json!({ "site_id": site }), "/site_id"),
        (json!({ "flat": "\u{1}" }), "/flat"),
    ] {
        app.post(&teacher, &confirm, &body)
            .await
            .wrong_fields(&[pointer]);
    }
    app.post(
        &teacher,
        &confirm,
        &json!({ "roles": ["resident", "teacher"] }),
    )
    .await
    .ok(201);
}
