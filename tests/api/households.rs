use crate::frame::{App, Person};
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn households(app: &App, who: &Person, site: Uuid) -> Vec<Value> {
    let path = format!("/v1/sites/{site}/households");
    let page = app.get(who, &path).await.ok(200);
    page["items"].as_array().unwrap().clone()
}

async fn resident(app: &App, keeper: &Person, site: Uuid, flat: &str) -> String {
    let email = format!("p{}@elmcourt.example", Uuid::now_v7().simple());
    let body = json!({ "email": email, "name": "P", "flat": flat, "roles": ["resident"] });
    let invitation = app.invite(keeper, site, &body).await;
    invitation["member_id"].as_str().unwrap().to_owned()
}

async fn household_of(app: &App, keeper: &Person, site: Uuid, member: &str) -> Value {
    let path = format!("/v1/sites/{site}/members/{member}");
    let seen = app.get(keeper, &path).await.ok(200);
    seen["details"]["household_id"].clone()
}

#[tokio::test]
async fn residents_of_a_flat_are_one_household_however_it_is_written() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let mut found = Vec::new();
    for flat in ["3b", " 3B ", "4a", "Ático", "ÁTICO"] {
        let member = resident(&app, &ada, site, flat).await;
        found.push(household_of(&app, &ada, site, &member).await);
    }
    assert_eq!(found[0], found[1]);
    assert_ne!(found[0], found[2]);
    assert_eq!(found[3], found[4]);
    assert_eq!(households(&app, &ada, site).await.len(), 3);
    // Who is no resident belongs to none, whatever their flat.
    let caretaker = app.member(site, Role::Caretaker).await;
    let member = app.member_id(&caretaker, site).await.to_string();
    assert_eq!(household_of(&app, &ada, site, &member).await, json!(null));
}

#[tokio::test]
async fn who_moves_leaves_one_household_for_another() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let (kim, lee) = (
        resident(&app, &ada, site, "1").await,
        resident(&app, &ada, site, "2").await,
    );
    let path = format!("/v1/sites/{site}/members/{kim}");
    app.patch(&ada, &path, &json!({ "flat": "2" }))
        .await
        .ok(200);
    let list = households(&app, &ada, site).await;
    assert_eq!(list.len(), 1, "the empty one is not listed");
    assert_eq!(list[0]["flat"], "2");
    assert_eq!(list[0]["member_ids"], json!([kim, lee]));
    app.patch(&ada, &path, &json!({ "flat": null }))
        .await
        .ok(200);
    assert_eq!(household_of(&app, &ada, site, &kim).await, json!(null));
    app.patch(&ada, &path, &json!({ "flat": "3" }))
        .await
        .ok(200);
    app.patch(&ada, &path, &json!({ "roles": ["teacher"] }))
        .await
        .ok(200);
    assert_eq!(household_of(&app, &ada, site, &kim).await, json!(null));
    let of_lee = format!("/v1/sites/{site}/members/{lee}");
    assert_eq!(app.delete(&ada, &of_lee).await.status, 204);
    assert!(households(&app, &ada, site).await.is_empty());
}

#[tokio::test]
async fn residents_see_their_own_household_or_all_where_flats_are_shown() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let me = app.member(site, Role::Resident).await;
    resident(&app, &ada, site, "9").await;
    let mine = households(&app, &me, site).await;
    assert_eq!(mine.len(), 1);
    assert_eq!(mine[0]["flat"], json!(null));
    let id = app.member_id(&me, site).await;
    assert_eq!(mine[0]["member_ids"], json!([id]));
    let teacher = app.member(site, Role::Teacher).await;
    let seen = households(&app, &teacher, site).await;
    assert_eq!(seen.len(), 2);
    let change = json!({ "neighbours_see": "names_and_flats" });
    app.patch(&ada, &format!("/v1/sites/{site}"), &change)
        .await
        .ok(200);
    assert_eq!(households(&app, &me, site).await.len(), 2);
}
