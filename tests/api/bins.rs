use crate::frame::{App, id_of, new_bin};
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

#[tokio::test]
async fn an_educator_adds_a_bin_that_everybody_at_the_site_sees() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/bins");
    let answer = app.post(&ada, &path, &new_bin()).await;
    let bin = answer.ok(201);
    let one = format!("{path}/{}", id_of(&bin));
    assert_eq!(answer.header("location"), Some(one.as_str()));
    assert_eq!(bin["surface_m2"], 0.1625);
    assert_eq!(bin["is_stocked"], false);
    assert_eq!(bin["trays"][0]["position"], 1);
    assert_eq!(bin["trays"][1]["volume_l"], 18.9);

    for role in Role::ALL {
        let somebody = app.member(site, role).await;
        assert_eq!(app.get(&somebody, &one).await.ok(200), bin);
        assert_eq!(app.get(&somebody, &path).await.ok(200)["items"][0], bin);
    }
}

#[tokio::test]
async fn only_educators_add_bins() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/bins");
    for role in [Role::Resident, Role::Caretaker, Role::Teacher] {
        let somebody = app.member(site, role).await;
        let answer = app.post(&somebody, &path, &new_bin()).await;
        answer.problem(403, "forbidden");
    }
    assert_eq!(app.get(&ada, &path).await.ok(200)["items"], json!([]));
}

#[tokio::test]
async fn a_name_is_given_once_for_each_site() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    app.post(&ada, &path, &new_bin()).await.ok(201);
    let answer = app.post(&ada, &path, &new_bin()).await;
    let body = answer.problem(409, "name_taken");
    assert_eq!(body["errors"][0]["pointer"], "/name");
    let elsewhere = format!("/v1/sites/{}/bins", app.site(&ada).await);
    app.post(&ada, &elsewhere, &new_bin()).await.ok(201);
}

#[tokio::test]
async fn wrong_fields_of_a_new_bin_are_named_and_nothing_is_written() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    let tray = json!({ "volume_l": 10 });
    let cases: Vec<(&str, Value, &str)> = vec![
        ("name", json!("x".repeat(61)), "/name"),
        ("name", json!(null), "/name"),
        ("spot", json!("cellar"), "/spot"),
        ("vessel", json!("bathtub"), "/vessel"),
        ("surface_m2", json!(0), "/surface_m2"),
        ("surface_m2", json!(-1), "/surface_m2"),
        ("surface_m2", json!(0.001), "/surface_m2"),
        ("surface_m2", json!(0.16255), "/surface_m2"),
        ("surface_m2", json!(101), "/surface_m2"),
        ("surface_m2", json!(1e300), "/surface_m2"),
        ("surface_m2", json!("0.1625"), "/surface_m2"),
        ("trays", json!([]), "/trays"),
        ("trays", json!(vec![&tray; 13]), "/trays"),
        (
            "trays",
            json!([tray, { "volume_l": 0.05 }]),
            "/trays/1/volume_l",
        ),
        (
            "trays",
            json!([tray, { "volume_l": 2001 }]),
            "/trays/1/volume_l",
        ),
        ("trays", json!([{ "litres": 10 }]), "/trays/0/litres"),
        ("trays", json!({}), "/trays"),
        ("worms_kg", json!(1), "/worms_kg"),
    ];
    for (field, value, pointer) in cases {
        let mut new = new_bin();
        new[field] = value;
        app.post(&ada, &path, &new).await.wrong_fields(&[pointer]);
    }
    let mut tub = new_bin();
    tub["vessel"] = "tub".into();
    app.post(&ada, &path, &tub).await.wrong_fields(&["/trays"]);
    assert_eq!(app.get(&ada, &path).await.ok(200)["items"], json!([]));

    tub["trays"] = json!([tray]);
    app.post(&ada, &path, &tub).await.ok(201);
}

#[tokio::test]
async fn a_bin_is_found_only_under_its_own_site() {
    let app = App::start().await;
    let ada = app.educator().await;
    let (here, there) = (app.site(&ada).await, app.site(&ada).await);
    let bin = app.bin(&ada, here).await;
    app.get(&ada, &format!("/v1/sites/{here}/bins/{bin}"))
        .await
        .ok(200);
    for path in [
        format!("/v1/sites/{there}/bins/{bin}"),
        format!("/v1/sites/{here}/bins/{}", Uuid::now_v7()),
        format!("/v1/sites/{here}/bins/{bin}x"),
        format!("/v1/sites/{here}/bins/1"),
    ] {
        app.get(&ada, &path).await.problem(404, "not_found");
    }
}

#[tokio::test]
async fn bins_come_in_pages() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let mut added = Vec::new();
    for _ in 0..3 {
        added.push(app.bin(&ada, site).await);
    }
    let path = format!("/v1/sites/{site}/bins?limit=2");
    let first = app.get(&ada, &path).await.ok(200);
    let cursor = first["next_cursor"].as_str().unwrap();
    let second = app
        .get(&ada, &format!("{path}&cursor={cursor}"))
        .await
        .ok(200);
    let seen: Vec<_> = [&first, &second]
        .iter()
        .flat_map(|page| page["items"].as_array().unwrap())
        .map(id_of)
        .collect();
    assert_eq!(seen, added);
    assert!(second.get("next_cursor").is_none());
    assert_eq!(second["items"][0]["trays"].as_array().unwrap().len(), 2);
}
