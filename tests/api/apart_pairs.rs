//! Two who do not share a turn: known to caretakers and teachers, and to nobody else by any way.

use crate::frame::{App, Court, Person, all_at_once, id_of, settings};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A site with a caretaker and two who do not get on.
struct House {
    app: App,
    court: Court,
    caretaker: Person,
    sam: Person,
    two: [Uuid; 2],
}

impl House {
    async fn open() -> Self {
        let app = App::start_in_june().await;
        let court = app.court().await;
        let caretaker = app.member(court.site, Role::Caretaker).await;
        let sam = app.member(court.site, Role::Resident).await;
        let two = [
            app.member_id(&court.resident, court.site).await,
            app.member_id(&sam, court.site).await,
        ];
        Self {
            app,
            court,
            caretaker,
            sam,
            two,
        }
    }

    fn path(&self) -> String {
        self.court.at("/apart_pairs")
    }

    async fn keep_apart(&self) -> Uuid {
        let body = json!({ "member_ids": self.two });
        id_of(
            &self
                .app
                .post(&self.caretaker, &self.path(), &body)
                .await
                .ok(201),
        )
    }
}

/// Protects the two from everybody who has no need to know, the educator among them.
#[tokio::test]
async fn caretakers_and_teachers_keep_two_apart_and_nobody_else_sees_it() {
    let house = House::open().await;
    let pair = house.keep_apart().await;
    let teacher = house.app.member(house.court.site, Role::Teacher).await;
    let list = house.app.get(&teacher, &house.path()).await.ok(200);
    let items = list["items"].as_array().unwrap();
    assert_eq!(items.len(), 1);
    assert_eq!(items[0]["id"], json!(pair));
    let mut seen: Vec<&str> = (items[0]["members"].as_array().unwrap().iter())
        .map(|one| one["member_id"].as_str().unwrap())
        .collect();
    seen.sort_unstable();
    let mut two = house.two.map(|id| id.to_string());
    two.sort_unstable();
    assert_eq!(seen, two);
    assert_eq!(items[0]["members"][0]["name"], "A resident");

    let of_pair = format!("{}/{pair}", house.path());
    let body = json!({ "member_ids": house.two });
    for other in [&house.court.educator, &house.court.resident, &house.sam] {
        house
            .app
            .get(other, &house.path())
            .await
            .problem(403, "forbidden");
        let answer = house.app.post(other, &house.path(), &body).await;
        answer.problem(403, "forbidden");
        // A pair that is there and one that is not sound alike.
        for path in [&of_pair, &format!("{}/{}", house.path(), Uuid::now_v7())] {
            house
                .app
                .delete(other, path)
                .await
                .problem(403, "forbidden");
        }
    }
    assert_eq!(house.app.delete(&teacher, &of_pair).await.status, 204);
    house
        .app
        .delete(&teacher, &of_pair)
        .await
        .problem(404, "not_found");
}

/// Protects from pairs that cannot be meant, and from one that stands there twice.
#[tokio::test]
async fn a_pair_is_two_members_and_stands_once() {
    let house = House::open().await;
    house.keep_apart().await;
    let [one, other] = house.two;
    let elsewhere = house.app.court().await;
    let foreign = house
        .app
        .member_id(&elsewhere.resident, elsewhere.site)
        .await;
    for two in [
        [one, other],
        [other, one],
        [one, one],
        [one, foreign],
        [Uuid::now_v7(), other],
    ] {
        let body = json!({ "member_ids": two });
        let answer = house.app.post(&house.caretaker, &house.path(), &body).await;
        answer.conflicting_fields(&["/member_ids"]);
    }
    for bad in [json!([one]), json!([one, other, foreign]), json!(one)] {
        let body = json!({ "member_ids": bad });
        let answer = house.app.post(&house.caretaker, &house.path(), &body).await;
        answer.problem(422, "invalid_fields");
    }
    let body = json!({ "member_ids": house.two, "reason": "a quarrel" });
    let answer = house.app.post(&house.caretaker, &house.path(), &body).await;
    answer.problem(422, "invalid_fields");
}

/// Protects the two from what a curious resident or educator can ask for: the trail, exports,
/// lists, and each answer that a pair could change.
#[tokio::test]
async fn a_pair_leaves_no_trace_for_anybody_else() {
    let house = House::open().await;
    let app = &house.app;
    let members = house.court.at("/members");
    let export = "/v1/me/export".to_owned();
    let [one, other] = house.two;
    let asked = [
        (&house.court.resident, members.clone()),
        (&house.court.resident, format!("{members}/{one}")),
        (&house.court.resident, format!("{members}/{one}/limits")),
        (&house.court.resident, format!("{members}/{one}/absences")),
        (&house.court.resident, export.clone()),
        (&house.sam, export.clone()),
        (&house.court.educator, export),
        (&house.court.educator, members.clone()),
        (&house.court.educator, format!("{members}/{other}")),
        (&house.court.educator, format!("{members}/{other}/limits")),
    ];
    let answer = async |who: &Person, path: &str| {
        let mut answer = app.get(who, path).await.ok(200);
        answer.as_object_mut().unwrap().remove("exported_at");
        answer
    };
    let mut before = Vec::new();
    for (who, path) in &asked {
        before.push(answer(who, path).await);
    }
    let pair = house.keep_apart().await;
    for ((who, path), before) in asked.iter().zip(before) {
        let after = answer(who, path).await;
        assert_eq!(after, before, "{path}");
        assert!(!after.to_string().contains(&pair.to_string()), "{path}");
    }
    let changes = app
        .get(&house.court.educator, &house.court.at("/changes"))
        .await
        .ok(200);
    let line = (changes["items"].as_array().unwrap().iter())
        .find(|line| line["deed"] == "two_kept_apart")
        .unwrap();
    assert_eq!(line["detail"], json!({}));
    assert_eq!(line["subject_kind"], "site");
    for key in [one, other, pair] {
        assert!(!line.to_string().contains(&key.to_string()), "{line}");
    }
    // What is kept for a repetition names nobody either.
    let path = format!("{}/{pair}", house.path());
    assert_eq!(app.delete(&house.caretaker, &path).await.status, 204);
    let keyed = app.ask(Method::POST, &house.path()).by(&house.caretaker);
    let keyed = keyed
        .header("idempotency-key", "again")
        .json(&json!({ "member_ids": house.two }));
    keyed.send().await.ok(201);
    let kept = Value::from(app.rows("SELECT * FROM idempotency_keys").await).to_string();
    assert!(kept.contains("again"), "{kept}");
    for key in [one, other] {
        assert!(!kept.contains(&key.to_string()), "{kept}");
    }
}

/// Protects whoever stays: with one of the two the pair goes, without a word.
#[tokio::test]
async fn a_pair_goes_with_whoever_leaves_first() {
    let house = House::open().await;
    house.keep_apart().await;
    let [_, sam] = house.two;
    let member = house.court.at(&format!("/members/{sam}"));
    assert_eq!(house.app.delete(&house.sam, &member).await.status, 204);
    let rows = house.app.rows("SELECT * FROM apart_pairs").await;
    assert_eq!(rows, Vec::<Value>::new());
    let lines = "SELECT deed FROM audit WHERE deed LIKE '%apart%'";
    let said = house.app.rows(lines).await;
    assert_eq!(said, [json!({ "deed": "two_kept_apart" })]);
    let body = json!({ "member_ids": house.two });
    let answer = house.app.post(&house.caretaker, &house.path(), &body).await;
    answer.conflicting_fields(&["/member_ids"]);
}

/// Protects from a pair that comes twice when several say it at once, on two copies.
#[tokio::test]
async fn several_who_keep_the_same_two_apart_at_once_make_one_pair() {
    let house = Arc::new(House::open().await);
    let copy = Arc::new(App::on(house.app.url.clone(), settings()));
    let answers = all_at_once((0..8_usize).map(|at| {
        let (house, copy) = (Arc::clone(&house), Arc::clone(&copy));
        async move {
            let app = [&house.app, &*copy][at % 2];
            let mut two = house.two;
            two.rotate_left(at / 2 % 2);
            let body = json!({ "member_ids": two });
            let answer = app.post(&house.caretaker, &house.path(), &body).await;
            answer.status.as_u16()
        }
    }))
    .await;
    let with = |status: u16| answers.iter().filter(|one| **one == status).count();
    assert_eq!((with(201), with(409)), (1, 7), "{answers:?}");
    assert_eq!(house.app.rows("SELECT * FROM apart_pairs").await.len(), 1);
}
