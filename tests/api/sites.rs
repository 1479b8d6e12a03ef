use crate::frame::{App, id_of, new_site};
use reqwest::Method;
use serde_json::json;
use uuid::Uuid;
use wormrota_domain::access::Role;

#[tokio::test]
async fn an_educator_opens_a_site_and_belongs_to_it() {
    let app = App::start().await;
    let ada = app.educator().await;
    let answer = app.post(&ada, "/v1/sites", &new_site()).await;
    let site = answer.ok(201);
    let path = format!("/v1/sites/{}", id_of(&site));
    assert_eq!(answer.header("location"), Some(path.as_str()));
    assert_eq!(site["name"], "Elm Court");
    assert_eq!(site["zone"], "America/Chicago");
    assert_eq!(site["my_roles"], json!(["educator"]));
    assert_eq!(site["foods"], json!([]));
    assert_eq!(app.get(&ada, &path).await.ok(200), site);

    let list = app.get(&ada, "/v1/sites").await.ok(200);
    assert_eq!(list["items"][0]["id"], site["id"]);
    assert_eq!(list["next_cursor"], json!(null));
}

#[tokio::test]
async fn a_school_begins_with_a_stricter_list() {
    let app = App::start().await;
    let ada = app.educator().await;
    let mut new = new_site();
    new["is_school"] = true.into();
    let site = app.post(&ada, "/v1/sites", &new).await.ok(201);
    let foods = site["foods"].as_array().unwrap();
    assert!(
        foods.contains(&json!({ "subject": "citrus", "class": "never" })),
        "{foods:?}"
    );
}

#[tokio::test]
async fn only_an_educators_account_opens_sites() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    for role in Role::ALL {
        let somebody = app.member(site, role).await;
        let answer = app.post(&somebody, "/v1/sites", &new_site()).await;
        answer.problem(403, "forbidden");
    }
    let list = app.get(&ada, "/v1/sites").await.ok(200);
    assert_eq!(list["items"].as_array().unwrap().len(), 1);
}

#[tokio::test]
async fn wrong_fields_of_a_new_site_are_all_named_and_nothing_is_written() {
    let app = App::start().await;
    let ada = app.educator().await;
    let mut new = new_site();
    new["name"] = " ".into();
    new["zone"] = "Mars/Olympus".into();
    new["my_name"] = "a\u{0}b".into();
    new["monthly_air_c"] = json!([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 99]);
    let answer = app.post(&ada, "/v1/sites", &new).await;
    answer.wrong_fields(&["/zone", "/monthly_air_c", "/my_name", "/name"]);

    for (field, value, pointer) in [
        ("units", json!("imperial"), "/units"),
        ("language", json!("de"), "/language"),
        ("paper", json!(4), "/paper"),
        ("monthly_air_c", json!([1, 2]), "/monthly_air_c"),
        ("scrap_outlets", json!(["river"]), "/scrap_outlets/0"),
        ("is_school", json!("yes"), "/is_school"),
        ("is_educator", json!(true), "/is_educator"),
        ("id", json!(Uuid::nil()), "/id"),
    ] {
        let mut new = new_site();
        new[field] = value;
        app.post(&ada, "/v1/sites", &new)
            .await
            .wrong_fields(&[pointer]);
    }
    let list = app.get(&ada, "/v1/sites").await.ok(200);
    assert_eq!(list["items"], json!([]));
}

#[tokio::test]
async fn a_change_touches_what_it_names_and_nothing_else() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}", app.site(&ada).await);
    let before = app.get(&ada, &path).await.ok(200);

    assert_eq!(app.patch(&ada, &path, &json!({})).await.ok(200), before);

    let change = json!({
        "units": "metric",
        "monthly_air_c": [-4, -2, 4, 10, 16, 21, 24, 23, 19, 12, 5, -1],
        "scrap_outlets": ["garden_heap", "organics_collection", "garden_heap"],
        "foods": [{ "subject": "garlic", "class": "never" }],
        "containers": [{ "name": "green caddy", "volume_l": 4.725 }],
    });
    let after = app.patch(&ada, &path, &change).await.ok(200);
    assert_eq!(after["name"], before["name"]);
    assert_eq!(after["units"], "metric");
    assert_eq!(after["monthly_air_c"][11], -1.0);
    assert_eq!(
        after["scrap_outlets"],
        json!(["organics_collection", "garden_heap"])
    );
    assert_eq!(
        after["foods"],
        json!([{ "subject": "garlic", "class": "never" }])
    );
    assert_eq!(after["containers"][0]["volume_l"], 4.725);
    let caddy = id_of(&after["containers"][0]);

    let change = json!({
        "monthly_air_c": null,
        "containers": [
            { "id": caddy, "name": "old caddy", "volume_l": 5 },
            { "name": "bucket", "volume_l": 18.927 },
        ],
    });
    let last = app.patch(&ada, &path, &change).await.ok(200);
    assert_eq!(last["monthly_air_c"], json!(null));
    assert_eq!(last["foods"], after["foods"]);
    let names: Vec<_> = last["containers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|container| container["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["bucket", "old caddy"]);
    assert_eq!(id_of(&last["containers"][1]), caddy);
}

#[tokio::test]
async fn a_food_list_can_be_stricter_than_the_catalogue_but_not_milder() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}", app.site(&ada).await);
    for (foods, pointer) in [
        (
            json!([{ "subject": "garlic", "class": "never" }, { "subject": "garlc", "class": "never" }]),
            "/foods/1/subject",
        ),
        (
            json!([{ "subject": "garlic", "class": "welcome" }]),
            "/foods/0/class",
        ),
        (json!([{ "subject": "garlic" }]), "/foods/0/class"),
        (
            json!([{ "subject": "", "class": "never" }]),
            "/foods/0/subject",
        ),
    ] {
        let answer = app.patch(&ada, &path, &json!({ "foods": foods })).await;
        answer.wrong_fields(&[pointer]);
    }
    for (foods, pointer) in [
        (
            json!([{ "subject": "meat", "class": "sparing" }]),
            "/foods/0/class",
        ),
        (
            json!([{ "subject": "garlic", "class": "never" }, { "subject": "garlic", "class": "never" }]),
            "/foods/1/subject",
        ),
    ] {
        let answer = app.patch(&ada, &path, &json!({ "foods": foods })).await;
        answer.conflicting_fields(&[pointer]);
    }
    let misspelt = json!({ "foods": [{ "subject": "garlc", "class": "never" }] });
    let answer = app.patch(&ada, &path, &misspelt).await;
    assert!(
        answer.text.contains("such as") && answer.text.contains("garlic"),
        "{}",
        answer.text
    );
    assert_eq!(app.get(&ada, &path).await.ok(200)["foods"], json!([]));
}

#[tokio::test]
async fn wrong_containers_change_nothing() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}", app.site(&ada).await);
    let caddy = json!({ "name": "caddy", "volume_l": 5 });
    let foreign = json!({ "id": Uuid::now_v7(), "name": "bucket", "volume_l": 5 });
    for (containers, pointer) in [
        (
            json!([{ "name": "x".repeat(41), "volume_l": 5 }]),
            "/containers/0/name",
        ),
        (json!([{ "name": "", "volume_l": 5 }]), "/containers/0/name"),
        (
            json!([{ "name": "x", "volume_l": 0 }]),
            "/containers/0/volume_l",
        ),
        (
            json!([{ "name": "x", "volume_l": 120.001 }]),
            "/containers/0/volume_l",
        ),
        (
            json!([{ "name": "x", "volume_l": 0.099 }]),
            "/containers/0/volume_l",
        ),
        (
            json!([{ "name": "x", "volume_l": 0.0005 }]),
            "/containers/0/volume_l",
        ),
    ] {
        let change = json!({ "name": "Oak Court", "containers": containers });
        app.patch(&ada, &path, &change)
            .await
            .wrong_fields(&[pointer]);
    }
    for (containers, pointer) in [
        (json!([caddy, caddy]), "/containers/1/name"),
        (
            json!([caddy, { "name": "Caddy", "volume_l": 10 }]),
            "/containers/1/name",
        ),
        (json!([foreign]), "/containers/0/id"),
    ] {
        let change = json!({ "name": "Oak Court", "containers": containers });
        app.patch(&ada, &path, &change)
            .await
            .conflicting_fields(&[pointer]);
    }
    assert_eq!(app.get(&ada, &path).await.ok(200)["name"], "Elm Court");
}

#[tokio::test]
async fn keepers_change_a_site_and_residents_do_not() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}");
    for role in [Role::Caretaker, Role::Teacher, Role::Educator] {
        let keeper = app.member(site, role).await;
        let change = json!({ "name": format!("Court of a {}", role.code()) });
        let after = app.patch(&keeper, &path, &change).await.ok(200);
        assert_eq!(after["name"], change["name"]);
        assert_eq!(after["my_roles"], json!([role.code()]));
    }
    let resident = app.member(site, Role::Resident).await;
    let answer = app
        .patch(&resident, &path, &json!({ "name": "Mine" }))
        .await;
    answer.problem(403, "forbidden");
    app.get(&resident, &path).await.ok(200);
}

#[tokio::test]
async fn sites_come_in_pages() {
    let app = App::start().await;
    let ada = app.educator().await;
    let mut opened = Vec::new();
    for _ in 0..5 {
        opened.push(app.site(&ada).await);
    }
    let mut seen = Vec::new();
    let mut path = "/v1/sites?limit=2".to_owned();
    loop {
        let page = app.get(&ada, &path).await.ok(200);
        seen.extend(page["items"].as_array().unwrap().iter().map(id_of));
        match page["next_cursor"].as_str() {
            Some(cursor) => path = format!("/v1/sites?limit=2&cursor={cursor}"),
            None => break,
        }
    }
    assert_eq!(seen, opened);
    for query in [
        "limit=0",
        "limit=201",
        "limit=x",
        "cursor=!",
        "cursor=AAAA",
        "page=2",
        "limit=1&limit=2",
    ] {
        let answer = app.get(&ada, &format!("/v1/sites?{query}")).await;
        answer.problem(400, "bad_query");
    }
}

#[tokio::test]
async fn somebody_who_left_sees_the_site_no_more() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let resident = app.member(site, Role::Resident).await;
    let path = format!("/v1/sites/{site}");
    app.get(&resident, &path).await.ok(200);
    app.sql(&format!(
        "UPDATE members SET left_at = joined_at WHERE account_id = '{}'",
        resident.account
    ))
    .await;
    app.get(&resident, &path).await.problem(404, "not_found");
    let list = app.ask(Method::GET, "/v1/sites").by(&resident).send().await;
    assert_eq!(list.ok(200)["items"], json!([]));
}
