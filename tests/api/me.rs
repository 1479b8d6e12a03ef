use crate::frame::App;
use serde_json::json;
use wormrota_domain::access::Role;

#[tokio::test]
async fn one_sees_oneself_and_where_one_belongs() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let second = app.site(&ada).await;
    let me = app.get(&ada, "/v1/me").await.ok(200);
    assert_eq!(me["account_id"], ada.account.to_string());
    assert_eq!(me["email"], ada.email);
    assert_eq!(me["has_password"], true);
    assert_eq!(me["is_educator"], true);
    let sites: Vec<_> = me["memberships"]
        .as_array()
        .unwrap()
        .iter()
        .map(|membership| {
            assert_eq!(membership["site_name"], "Elm Court");
            assert_eq!(membership["roles"], json!(["educator"]));
            assert_eq!(membership["is_waiting"], false);
            membership["site_id"].as_str().unwrap().to_owned()
        })
        .collect();
    assert_eq!(sites, [site.to_string(), second.to_string()]);
    assert!(!me.to_string().contains("argon2"), "{me}");
}

#[tokio::test]
async fn whoever_waits_or_has_left_sees_it_so() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let nobody = app.stranger().await;
    let me = app.get(&nobody, "/v1/me").await.ok(200);
    assert_eq!(me["memberships"], json!([]));
    assert_eq!(me["is_educator"], false);

    let waiting = app.member(site, Role::Resident).await;
    app.sql(&format!(
        "DELETE FROM member_roles WHERE role = 'resident';
         UPDATE members SET waiting_since = joined_at WHERE account_id = '{}'",
        waiting.account
    ))
    .await;
    let me = app.get(&waiting, "/v1/me").await.ok(200);
    assert_eq!(me["memberships"][0]["is_waiting"], true);
    assert_eq!(me["memberships"][0]["roles"], json!([]));

    app.sql(&format!(
        "UPDATE members SET left_at = joined_at WHERE account_id = '{}'",
        waiting.account
    ))
    .await;
    let me = app.get(&waiting, "/v1/me").await.ok(200);
    assert_eq!(me["memberships"], json!([]));
}
