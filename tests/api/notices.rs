use crate::frame::{App, Person, id_of};
use futures_util::FutureExt;
use serde_json::json;
use uuid::Uuid;
use wormrota::clock;
use wormrota::store::notices::{self, NoticeRow};
use wormrota_domain::access::Role;

async fn put_up(app: &App, site: Uuid, bin: Uuid) -> Uuid {
    let row = NoticeRow {
        site_id: site,
        id: clock::fresh_id(),
        bin_id: bin,
        event_id: None,
        kind: "over_the_limit".to_owned(),
        created_at: app.now().await,
        seen_at: None,
        seen_by: None,
    };
    let id = row.id;
    app.desk
        .store()
        .transact("put up a notice", row, |conn, row| {
            notices::insert(conn, std::slice::from_ref(row)).boxed()
        })
        .await
        .unwrap();
    id
}

async fn site_with_bin(app: &App) -> (Person, Uuid, Uuid) {
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let bin = app.bin(&ada, site).await;
    (ada, site, bin)
}

#[tokio::test]
async fn the_first_to_tick_a_notice_off_stays() {
    let app = App::start().await;
    let (ada, site, bin) = site_with_bin(&app).await;
    let older = put_up(&app, site, bin).await;
    let newer = put_up(&app, site, bin).await;
    let caretaker = app.member(site, Role::Caretaker).await;

    let path = format!("/v1/sites/{site}/notices");
    let page = app.get(&caretaker, &path).await.ok(200);
    let ids: Vec<_> = page["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(id_of)
        .collect();
    assert_eq!(ids, [newer, older]);
    assert_eq!(page["items"][0]["kind"], "over_the_limit");
    assert_eq!(page["items"][0]["seen_at"], json!(null));

    let seen = format!("{path}/{older}/seen");
    let first = app.post(&caretaker, &seen, &json!({})).await.ok(200);
    assert!(first["seen_by_member_id"].is_string());
    let again = app.post(&ada, &seen, &json!({})).await.ok(200);
    assert_eq!(again, first);
}

#[tokio::test]
async fn residents_and_strangers_see_no_notices() {
    let app = App::start().await;
    let (_, site, bin) = site_with_bin(&app).await;
    let notice = put_up(&app, site, bin).await;
    let path = format!("/v1/sites/{site}/notices");
    let seen = format!("{path}/{notice}/seen");

    let resident = app.member(site, Role::Resident).await;
    app.get(&resident, &path).await.problem(403, "forbidden");
    app.post(&resident, &seen, &json!({}))
        .await
        .problem(403, "forbidden");

    let (eve, elsewhere, _) = site_with_bin(&app).await;
    app.get(&eve, &path).await.problem(404, "not_found");
    app.post(&eve, &seen, &json!({}))
        .await
        .problem(404, "not_found");
    let smuggled = format!("/v1/sites/{elsewhere}/notices/{notice}/seen");
    app.post(&eve, &smuggled, &json!({}))
        .await
        .problem(404, "not_found");

    let caretaker = app.member(site, Role::Caretaker).await;
    let page = app.get(&caretaker, &path).await.ok(200);
    assert_eq!(page["items"][0]["seen_at"], json!(null));
}
