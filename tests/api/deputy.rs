use crate::frame::{App, Court, Person, id_of};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A building whose resident is its deputy.
async fn with_deputy(app: &App) -> Court {
    let court = app.court().await;
    let deputy = app.member_id(&court.resident, court.site).await;
    let change = json!({ "deputy_id": deputy });
    let site = app.patch(&court.educator, &court.at(""), &change).await;
    assert_eq!(site.ok(200)["deputy_id"], deputy.to_string());
    court
}

async fn items(app: &App, who: &Person, path: &str) -> Vec<Value> {
    let page = app.get(who, path).await.ok(200);
    page["items"].as_array().unwrap().clone()
}

/// Puts far too much in, which the caretaker has to know.
async fn cause_a_notice(app: &App, court: &Court) {
    let meal = json!({ "items": [{ "food": "usual-mix", "amount_kg": 9 }] });
    let path = court.bin_at("/feedings/told");
    app.post(&court.resident, &path, &meal).await.ok(201);
}

#[tokio::test]
async fn the_deputy_gets_notices_that_nobody_ticked_off_for_a_day() {
    let app = App::start_in_june().await;
    let court = with_deputy(&app).await;
    cause_a_notice(&app, &court).await;
    let path = court.at("/notices");
    let all = items(&app, &court.educator, &path).await;
    assert!(!all.is_empty());
    let seen = format!("{path}/{}/seen", id_of(&all[0]));
    let tick = |who: &Person| app.ask(Method::POST, &seen).by(who).send();
    assert!(items(&app, &court.resident, &path).await.is_empty());
    tick(&court.resident).await.problem(404, "not_found");

    app.set_clock("2026-06-11T17:01:00Z").await;
    assert_eq!(items(&app, &court.resident, &path).await.len(), all.len());
    tick(&court.resident).await.ok(200);
    tick(&court.resident).await.ok(200);
    assert_eq!(
        items(&app, &court.resident, &path).await.len(),
        all.len() - 1
    );

    let neighbour = app.member(court.site, Role::Resident).await;
    app.get(&neighbour, &path).await.problem(403, "forbidden");
    tick(&neighbour).await.problem(403, "forbidden");
}

#[tokio::test]
async fn the_deputy_lets_in_who_has_waited_for_a_day_as_a_resident() {
    let app = App::start_in_june().await;
    let court = with_deputy(&app).await;
    let new = json!({ "expires_in_days": 1, "most_uses": 5 });
    let sheet = app
        .post(&court.educator, &court.at("/joining_sheets"), &new)
        .await
        .ok(201);
    for name in ["Kim", "Lee"] {
        let body = json!({ "code": sheet["code"], "name": name });
        app.say("/v1/joinings", &body).await.ok(201);
    }
    let path = court.at("/newcomers");
    let waiting = items(&app, &court.educator, &path).await;
    let (kim, lee) = (id_of(&waiting[0]), id_of(&waiting[1]));
    let deputy = &court.resident;
    let confirm = |who: Uuid| format!("{path}/{who}/confirmation");
    assert!(items(&app, deputy, &path).await.is_empty());
    app.post(deputy, &confirm(kim), &json!({}))
        .await
        .problem(404, "not_found");

    app.set_clock("2026-06-11T17:01:00Z").await;
    let body = json!({ "code": sheet["code"], "name": "Max" });
    app.say("/v1/joinings", &body).await.ok(201);
    assert_eq!(items(&app, deputy, &path).await, waiting);
    for role in ["caretaker", "teacher", "educator"] {
        app.post(deputy, &confirm(kim), &json!({ "roles": [role] }))
            .await
            .problem(403, "forbidden");
    }
    app.post(deputy, &confirm(kim), &json!({})).await.ok(201);
    let refuse = format!("{path}/{lee}");
    assert_eq!(app.delete(deputy, &refuse).await.status, 204);
    // And nothing else that keepers may.
    for more in ["/invitations", "/joining_sheets"] {
        app.get(deputy, &court.at(more))
            .await
            .problem(403, "forbidden");
    }
    let change = json!({ "name": "Mine" });
    app.patch(deputy, &court.at(""), &change)
        .await
        .problem(403, "forbidden");
}

#[tokio::test]
async fn a_deputy_is_a_member_who_can_sign_in_and_is_cleared_on_leaving() {
    let app = App::start().await;
    let court = with_deputy(&app).await;
    let path = court.at("");
    let kim = app
        .without_address(&court.educator, court.site, "Kim")
        .await;
    for nobody in [kim, Uuid::now_v7()] {
        let change = json!({ "deputy_id": nobody });
        app.patch(&court.educator, &path, &change)
            .await
            .conflicting_fields(&["/deputy_id"]);
    }
    // Other residents do not hear who it is; the deputy does.
    let neighbour = app.member(court.site, Role::Resident).await;
    let seen = app.get(&neighbour, &path).await.ok(200);
    assert_eq!(seen["deputy_id"], json!(null));
    assert_eq!(seen["neighbours_see"], "keepers");
    let seen = app.get(&court.resident, &path).await.ok(200);
    assert_eq!(seen["deputy_id"], seen["my_member_id"]);

    let me = app.member_id(&court.resident, court.site).await;
    let own = court.at(&format!("/members/{me}"));
    assert_eq!(app.delete(&court.resident, &own).await.status, 204);
    let seen = app.get(&court.educator, &path).await.ok(200);
    assert_eq!(seen["deputy_id"], json!(null));

    let other = app.member_id(&neighbour, court.site).await;
    let change = json!({ "deputy_id": other });
    app.patch(&court.educator, &path, &change).await.ok(200);
    let change = json!({ "deputy_id": null });
    let seen = app.patch(&court.educator, &path, &change).await.ok(200);
    assert_eq!(seen["deputy_id"], json!(null));
}
