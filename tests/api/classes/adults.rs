//! Teachers and helpers of classes.

use super::{School, labels};
use crate::frame::{App, PASSWORD, id_of};
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

#[tokio::test]
async fn another_teachers_class_does_not_exist() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let added = school.paste(class, "Ana").await.ok(201);
    let pupil = added["pupils"][0]["id"].as_str().unwrap();
    let other = school.app.member(school.site, Role::Teacher).await;
    let theirs = school.class(&other, "4c").await;
    let path = format!("/classes/{class}");
    let me = school.member_id(&other).await;
    for (method, rest, body) in [
        (Method::GET, path.clone(), Value::Null),
        (Method::GET, format!("{path}/sheet"), Value::Null),
        (Method::PATCH, path.clone(), json!({ "name": "Mine" })),
        (Method::POST, format!("{path}/end"), Value::Null),
        (
            Method::POST,
            format!("{path}/pupils"),
            json!({ "labels": "Bo" }),
        ),
        (
            Method::PATCH,
            format!("{path}/pupils/{pupil}"),
            json!({ "label": "Bo" }),
        ),
        (
            Method::DELETE,
            format!("{path}/pupils/{pupil}"),
            Value::Null,
        ),
        (Method::PUT, format!("{path}/helpers/{me}"), Value::Null),
        (Method::DELETE, format!("{path}/helpers/{me}"), Value::Null),
    ] {
        let ask = school.app.ask(method.clone(), &school.at(&rest)).by(&other);
        let answer = ask.json(&body).send().await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(
            problem["detail"], "There is no such class.",
            "{method} {rest}"
        );
    }
    // Nor does a pupil of it in a class of one's own.
    let smuggled = format!("/classes/{theirs}/pupils/{pupil}");
    school
        .without_body(Method::DELETE, &other, &smuggled)
        .await
        .problem(404, "not_found");
    let page = school.app.get(&other, &school.at("/classes")).await.ok(200);
    assert_eq!(page["items"].as_array().unwrap().len(), 1);
    assert_eq!(page["items"][0]["name"], "4c");

    // The educator sees both, and a caretaker may make none.
    let page = school
        .app
        .get(&school.ada, &school.at("/classes"))
        .await
        .ok(200);
    let items = page["items"].as_array().unwrap();
    assert_eq!((items.len(), &items[0]["pupils"]), (2, &json!(1)));
    let caretaker = school.app.member(school.site, Role::Caretaker).await;
    let new = json!({ "name": "5d", "ends_on": "2026-06-30" });
    school
        .app
        .post(&caretaker, &school.at("/classes"), &new)
        .await
        .problem(403, "forbidden");
    school
        .see(&caretaker, class)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn a_helper_sees_the_class_and_cannot_change_it() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana").await.ok(201);
    let parent = school.app.member(school.site, Role::Resident).await;
    let id = school.member_id(&parent).await;
    school.see(&parent, class).await.problem(404, "not_found");

    let helpers = format!("/classes/{class}/helpers");
    let put = |id: Uuid| {
        let path = format!("{helpers}/{id}");
        let school = &school;
        async move {
            school
                .without_body(Method::PUT, &school.teacher, &path)
                .await
        }
    };
    put(id).await.ok(200);
    let again = put(id).await.ok(200);
    assert_eq!(again["adults"].as_array().unwrap().len(), 2);
    put(Uuid::now_v7()).await.problem(404, "not_found");

    let seen = school.see(&parent, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana"]);
    // Residents see of each other only what the site allows.
    let names: Vec<_> = seen["adults"]
        .as_array()
        .unwrap()
        .iter()
        .map(|a| &a["name"])
        .collect();
    assert!(
        names.contains(&&json!("A teacher")) && names.contains(&&Value::Null),
        "{names:?}"
    );
    let page = school
        .app
        .get(&parent, &school.at("/classes"))
        .await
        .ok(200);
    assert_eq!(page["items"].as_array().unwrap().len(), 1);
    let sheet = school.at(&format!("/classes/{class}/sheet"));
    school.app.get(&parent, &sheet).await.ok(200);
    let paste = school.at(&format!("/classes/{class}/pupils"));
    school
        .app
        .post(&parent, &paste, &json!({ "labels": "Bo" }))
        .await
        .problem(403, "forbidden");

    // The last teacher stays; a second one may replace the first.
    let teacher = school.member_id(&school.teacher).await;
    let remove = |id: Uuid| {
        let path = format!("{helpers}/{id}");
        let school = &school;
        async move {
            school
                .without_body(Method::DELETE, &school.ada, &path)
                .await
        }
    };
    remove(teacher).await.problem(409, "last_teacher");
    let second = school.app.member(school.site, Role::Teacher).await;
    let second = school.member_id(&second).await;
    let path = school.at(&format!("/classes/{class}"));
    let change = json!({ "teacher_id": second });
    school
        .app
        .patch(&school.teacher, &path, &change)
        .await
        .conflicting_fields(&["/teacher_id"]);
    school.app.patch(&school.ada, &path, &change).await.ok(200);
    assert_eq!(remove(teacher).await.status, 204);
    assert_eq!(remove(id).await.status, 204);
    remove(id).await.problem(404, "not_found");
    school.see(&parent, class).await.problem(404, "not_found");
    school
        .see(&school.teacher, class)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn who_has_left_the_site_cannot_help() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let parent = school.app.member(school.site, Role::Resident).await;
    let id = school.member_id(&parent).await;
    let leave = format!("UPDATE members SET left_at = joined_at WHERE id = '{id}'");
    school.app.sql(&leave).await;
    let path = format!("/classes/{class}/helpers/{id}");
    school
        .without_body(Method::PUT, &school.teacher, &path)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn only_an_educator_makes_a_class_for_somebody_else() {
    let school = School::open().await;
    let teacher = school.member_id(&school.teacher).await;
    let resident = school.app.member(school.site, Role::Resident).await;
    let resident = school.member_id(&resident).await;
    let new =
        |teacher: Uuid| json!({ "name": "3b", "ends_on": "2026-06-30", "teacher_id": teacher });
    let path = school.at("/classes");
    let other = school.app.member(school.site, Role::Teacher).await;
    school
        .app
        .post(&other, &path, &new(teacher))
        .await
        .conflicting_fields(&["/teacher_id"]);
    school
        .app
        .post(&school.ada, &path, &new(resident))
        .await
        .conflicting_fields(&["/teacher_id"]);
    let made = school
        .app
        .post(&school.ada, &path, &new(teacher))
        .await
        .ok(201);
    assert_eq!(made["adults"][0]["member_id"], json!(teacher));
    school.see(&school.teacher, id_of(&made)).await.ok(200);
}

#[tokio::test]
async fn a_class_is_not_left_without_a_teacher_by_anybody_who_goes() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let teacher = app.member(site, Role::Teacher).await;
    let other = app.member(site, Role::Teacher).await;
    let helper = app.member(site, Role::Resident).await;
    let classes = format!("/v1/sites/{site}/classes");
    let ends_on = (app.now().await + TimeDelta::days(100)).date_naive();
    let new = json!({ "name": "4B", "ends_on": ends_on });
    let class = id_of(&app.post(&teacher, &classes, &new).await.ok(201));
    let member = |who: Uuid| format!("/v1/sites/{site}/members/{who}");
    let key = app.member_id(&teacher, site).await;
    let leaving = member(key);

    app.delete(&teacher, &leaving)
        .await
        .problem(409, "last_teacher");
    let fewer = json!({ "roles": ["resident"] });
    app.patch(&ada, &leaving, &fewer)
        .await
        .problem(409, "last_teacher");
    let password = json!({ "password": PASSWORD });
    app.post(&teacher, "/v1/me/erasure", &password)
        .await
        .problem(409, "last_teacher");

    // Whoever takes over gets what it takes, a resident who helped as well.
    let next = app.member_id(&helper, site).await;
    let left = app
        .delete(&teacher, &format!("{leaving}?successor_id={next}"))
        .await;
    assert_eq!(left.status, 204, "{}", left.text);
    let seen = app
        .get(&helper, &format!("{classes}/{class}"))
        .await
        .ok(200);
    assert_eq!(seen["adults"][0]["member_id"], next.to_string());
    assert_eq!(seen["adults"][0]["part"], "teacher");
    // A teacher without a class of their own goes as they like.
    let key = app.member_id(&other, site).await;
    let gone = app.delete(&other, &member(key)).await;
    assert_eq!(gone.status, 204, "{}", gone.text);
}
