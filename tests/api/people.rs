use crate::frame::App;
use serde_json::json;
use wormrota_domain::access::Role;

#[tokio::test]
async fn keepers_see_who_belongs_to_the_site_and_residents_do_not() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/members");
    for role in [Role::Caretaker, Role::Teacher, Role::Educator] {
        let keeper = app.member(site, role).await;
        app.get(&keeper, &path).await.ok(200);
    }
    let resident = app.member(site, Role::Resident).await;
    app.get(&resident, &path).await.problem(403, "forbidden");

    let page = app.get(&ada, &path).await.ok(200);
    let people = page["items"].as_array().unwrap();
    assert_eq!(people.len(), 5);
    assert_eq!(people[0]["name"], "Ada");
    assert_eq!(people[0]["roles"], json!(["educator"]));
    assert_eq!(people[4]["name"], "A resident");
    assert_eq!(people[4]["flat"], "3b");
    assert!(!page.to_string().contains('@'), "{page}");
}

#[tokio::test]
async fn a_name_that_was_erased_leaves_its_member() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    app.sql("DELETE FROM member_names").await;
    let page = app
        .get(&ada, &format!("/v1/sites/{site}/members"))
        .await
        .ok(200);
    assert_eq!(page["items"][0]["name"], json!(null));
    assert_eq!(page["items"][0]["roles"], json!(["educator"]));
}
