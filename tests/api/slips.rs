use crate::frame::{Answer, App, Person, all_at_once, id_of, shared};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn print(app: &App, keeper: &Person, site: Uuid, member: Uuid) -> Answer {
    let path = format!("/v1/sites/{site}/members/{member}/slip");
    app.ask(Method::POST, &path).by(keeper).send().await
}

async fn use_slip(app: &App, code: &Value) -> Answer {
    let body = json!({ "code": code, "device": "kitchen tablet" });
    app.say("/v1/slips/use", &body).await
}

#[tokio::test]
async fn a_slip_signs_in_somebody_without_an_address_once() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let kim = app.without_address(&ada, site, "Kim").await;
    let path = format!("/v1/sites/{site}/members/{kim}");
    let spanish = json!({ "language": "es" });
    app.patch(&ada, &path, &spanish).await.ok(200);
    let slip = print(&app, &ada, site, kim).await.ok(201);
    let text = slip["text"].as_str().unwrap();
    assert!(text.contains("Kim entra en «Elm Court»"), "{text}");
    assert!(text.contains(slip["code"].as_str().unwrap()), "{text}");

    let used = use_slip(&app, &slip["code"]).await.ok(201);
    assert_eq!(used["member_id"], kim.to_string());
    let person = App::person_of(&used);
    let seen = app.get(&person, &format!("/v1/sites/{site}")).await;
    assert_eq!(seen.ok(200)["my_roles"], json!(["resident"]));
    use_slip(&app, &slip["code"])
        .await
        .problem(409, "code_refused");

    // The next slip signs in to the same account.
    let slip = print(&app, &ada, site, kim).await.ok(201);
    let again = App::person_of(&use_slip(&app, &slip["code"]).await.ok(201));
    assert_eq!(again.account, person.account);
}

#[tokio::test]
async fn only_the_newest_slip_works_and_dead_ones_all_get_one_answer() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let kim = app.without_address(&ada, site, "Kim").await;
    let lee = app.without_address(&ada, site, "Lee").await;
    let earlier = print(&app, &ada, site, kim).await.ok(201);
    let expired = print(&app, &ada, site, lee).await.ok(201);
    app.sql(&format!(
        "UPDATE codes SET created_at = created_at - interval '20 days',
            expires_at = expires_at - interval '20 days' WHERE id = '{}'",
        id_of(&expired)
    ))
    .await;
    let newest = print(&app, &ada, site, kim).await.ok(201);
    let mut answers = Vec::new();
    for code in [
        &earlier["code"],
        &expired["code"],
        &json!("0000-0000-0000-0000"),
        &json!(""),
        &json!("x".repeat(10_000)),
    ] {
        let problem = use_slip(&app, code).await.problem(409, "code_refused");
        answers.push(problem["detail"].clone());
    }
    answers.dedup();
    assert_eq!(answers.len(), 1);
    let path = format!("/v1/sites/{site}/members/{kim}");
    assert_eq!(app.delete(&ada, &path).await.status, 204);
    use_slip(&app, &newest["code"])
        .await
        .problem(409, "code_refused");
}

#[tokio::test]
async fn of_many_who_use_a_slip_at_once_one_gets_in() {
    let app = shared().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let kim = app.without_address(&ada, site, "Kim").await;
    let slip = print(&app, &ada, site, kim).await.ok(201);
    let tries = (0..4).map(|_| {
        let (app, code) = (Arc::clone(&app), slip["code"].clone());
        async move { use_slip(&app, &code).await.status.as_u16() }
    });
    let mut statuses = all_at_once(tries).await;
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 409, 409, 409]);
}

#[tokio::test]
async fn nobody_gets_a_slip_with_which_another_could_act_above_their_role() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    for role in Role::ALL {
        let somebody = app.member(site, role).await;
        let member = app.member_id(&somebody, site).await;
        print(&app, &ada, site, member)
            .await
            .problem(409, "needs_no_slip");
    }
    let invitation = json!({
        "email": "lee@elmcourt.example", "name": "Lee", "roles": ["resident"],
    });
    let lee = app.invite(&ada, site, &invitation).await;
    let lee = lee["member_id"].as_str().unwrap().parse().unwrap();
    print(&app, &ada, site, lee)
        .await
        .problem(409, "needs_no_slip");

    // A role that came after the slip was printed.
    let kim = app.without_address(&ada, site, "Kim").await;
    let path = format!("/v1/sites/{site}/members/{kim}");
    let slip = print(&app, &ada, site, kim).await.ok(201);
    let roles = json!({ "roles": ["resident", "caretaker"] });
    app.patch(&ada, &path, &roles).await.ok(200);
    use_slip(&app, &slip["code"])
        .await
        .problem(409, "code_refused");
    print(&app, &ada, site, kim)
        .await
        .problem(409, "needs_no_slip");
    let roles = json!({ "roles": ["resident"] });
    app.patch(&ada, &path, &roles).await.ok(200);
    let slip = print(&app, &ada, site, kim).await.ok(201);
    let kim_person = App::person_of(&use_slip(&app, &slip["code"]).await.ok(201));

    // Another site: the keeper of this one would get into that one.
    let eve = app.educator().await;
    let other = app.site(&eve).await;
    let path = format!("/v1/sites/{other}/joining_sheets");
    let new = json!({ "expires_in_days": 1, "most_uses": 1 });
    let sheet = app.post(&eve, &path, &new).await.ok(201);
    let body = json!({ "code": sheet["code"], "name": "Kim" });
    app.post(&kim_person, "/v1/joinings", &body).await.ok(201);
    print(&app, &ada, site, kim)
        .await
        .problem(409, "needs_no_slip");
}

#[tokio::test]
async fn residents_print_no_slips() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let kim = app.without_address(&ada, site, "Kim").await;
    let resident = app.member(site, Role::Resident).await;
    print(&app, &resident, site, kim)
        .await
        .problem(403, "forbidden");
    print(&app, &ada, site, Uuid::now_v7())
        .await
        .problem(404, "not_found");
    for (body, pointer) in [
        (json!({}), "/code"),
        (json!({ "code": 7 }), "/code"),
        (json!({ "code": "x", "member_id": kim }), "/member_id"),
        (json!({ "code": "x", "device": "a\u{0}" }), "/device"),
    ] {
        app.say("/v1/slips/use", &body)
            .await
            .wrong_fields(&[pointer]);
    }
}
