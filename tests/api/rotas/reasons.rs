//! Why a rota is as it is, and who hears what of it.

use super::ground::House;
use crate::frame::Person;
use serde_json::{Value, json};
use uuid::Uuid;

/// What a rota says to somebody.
async fn asked(house: &House, who: &Person, rota: Uuid, rest: &str) -> Value {
    let path = house.at(&format!("/rotas/{rota}/{rest}"));
    house.app.get(who, &path).await.ok(200)
}

/// Everything of these answers that is a list of limits: `rule` with `first`.
fn shut(limits: &Value) -> Vec<(String, i64)> {
    let shut = limits["shut"].as_array().unwrap().iter();
    shut.map(|one| {
        let rule = one["rule"].as_str().unwrap().to_owned();
        (rule, one["first"].as_i64().unwrap())
    })
    .filter(|(_, first)| *first > 0)
    .collect()
}

/// Protects the answer to "why always me": every turn is accounted for, weekdays are those of
/// the calendar, and the sentences say what the figures say.
#[tokio::test]
async fn everybody_can_ask_why_they_have_the_turns_that_they_have() {
    let house = House::open(3).await;
    // From a Thursday on for three weeks: the planner's first weekday is not Monday.
    house.add_turns("2026-06-18", "2026-07-08", 1, 1).await;
    let [one, two, three] = house.residents[..] else {
        panic!()
    };
    house.limit(one, &[("cannot_weekdays", "'{1,7}'")]).await;
    house.away(one, "2026-06-18", "2026-06-19").await;
    let id = house.draft("2026-06-18", "2026-07-08").await;
    house.put_up(id).await.ok(200);
    assert_eq!(house.counts().await, [7, 7, 7]);

    let mine = asked(&house, &house.resident, id, "reasons").await;
    assert_eq!(mine["member_id"], json!(one));
    assert_eq!((&mine["turns"], &mine["effort"]), (&json!(7), &json!(7)));
    assert_eq!(
        (&mine["fair"], &mine["difference"]),
        (&json!(7.0), &json!(0.0))
    );
    let limits = &mine["limits"];
    let expected = [("weekday".to_owned(), 6), ("absence".to_owned(), 2)];
    assert_eq!(shut(limits), expected);
    assert_eq!((&limits["held"], &limits["within"]), (&json!(7), &json!(6)));
    let weekday = |day: u8| json!({ "weekday": day, "first": 3, "alone": 3 });
    assert_eq!(limits["weekdays"], json!([weekday(1), weekday(7)]));
    assert_eq!(
        mine["sentences"],
        json!([
            "7 turns ask for an effort of 7 here, and 7 would be fair.",
            "6 turns are on weekdays that do not work; without that, 6 more would be within the limits, though others may hold them.",
            "2 turns are on days of an absence; without that, 2 more would be within the limits, though others may hold them.",
            "6 turns within the limits are held by others.",
        ])
    );

    // Others' reasons are for caretakers and teachers, not for neighbours or educators.
    let of_two = format!("reasons?member_id={two}");
    let path = house.at(&format!("/rotas/{id}/{of_two}"));
    for who in [&house.resident, &house.educator] {
        house.app.get(who, &path).await.problem(403, "forbidden");
    }
    let theirs = asked(&house, &house.caretaker, id, &of_two).await;
    assert_eq!(theirs["turns"], 7);
    // Whoever has no part in the rota has no reasons.
    let own = house.at(&format!("/rotas/{id}/reasons"));
    house
        .app
        .get(&house.caretaker, &own)
        .await
        .problem(404, "not_found");

    // The site shows residents only whom to ask, so they see nobody's figures but their own.
    let ids = |list: &Value| -> Vec<Value> {
        let items = list["items"].as_array().unwrap().iter();
        items.map(|item| item["member_id"].clone()).collect()
    };
    let list = asked(&house, &house.resident, id, "members").await;
    assert_eq!(ids(&list), [json!(one)]);
    let beside = format!("comparison?one_id={one}&other_id={two}");
    let path = house.at(&format!("/rotas/{id}/{beside}"));
    house
        .app
        .get(&house.resident, &path)
        .await
        .problem(404, "not_found");
    house.sql("UPDATE sites SET neighbours_see = 'names'").await;
    let list = asked(&house, &house.resident, id, "members?limit=2").await;
    assert_eq!(ids(&list), [json!(one), json!(two)]);
    let next = format!(
        "members?limit=2&cursor={}",
        list["next_cursor"].as_str().unwrap()
    );
    let list = asked(&house, &house.resident, id, &next).await;
    assert_eq!(ids(&list), [json!(three)]);
    let item = &list["items"][0];
    assert_eq!(item["name"], "Resident 3");
    assert_eq!((&item["turns"], &item["fair"]), (&json!(7), &json!(7)));
    let seen = asked(&house, &house.resident, id, &beside).await;
    assert_eq!(
        (&seen["effort"], &seen["fair"], &seen["rest"]),
        (&json!(0), &json!(0), &json!(0.0))
    );
    assert!(seen["limits_of_one"].is_null() && seen["by_share"].is_null());
    let seen = asked(&house, &house.caretaker, id, &beside).await;
    assert_eq!(shut(&seen["limits_of_one"]), expected);
}

/// Protects the reasons of a rota in force from being those of the day on which it was put up.
#[tokio::test]
async fn a_rota_in_force_is_explained_as_it_is_now() {
    let house = House::open(2).await;
    house.add_turns("2026-06-15", "2026-06-18", 1, 1).await;
    let id = house.draft("2026-06-15", "2026-06-18").await;
    house.put_up(id).await.ok(200);
    let [one, two] = house.residents[..] else {
        panic!()
    };
    let caretaker = house.app.member_id(&house.caretaker, house.site).await;
    // One of the first one's places goes to the second, the other to the caretaker, who has no
    // part in the rota; and the second gives one back.
    let to = |member: Uuid, of: Uuid| {
        format!(
            "UPDATE places SET member_id = '{member}', how = 'assigned' WHERE id =
                 (SELECT min(id::text)::uuid FROM places WHERE member_id = '{of}' AND how = 'rota');"
        )
    };
    let free = format!(
        "UPDATE places SET member_id = NULL, how = NULL, held_since = NULL WHERE id =
             (SELECT min(id::text)::uuid FROM places WHERE member_id = '{two}' AND how = 'rota');"
    );
    house
        .sql(&[to(two, one), to(caretaker, one), free].concat())
        .await;
    let figures = |list: &Value| -> Vec<Value> {
        let items = list["items"].as_array().unwrap().iter();
        items
            .map(|one| json!([one["member_id"], one["turns"], one["effort"], one["fair"]]))
            .collect()
    };
    let list = asked(&house, &house.caretaker, id, "members").await;
    let mut expected = vec![
        json!([one, 0, 0, 2]),
        json!([two, 2, 2, 2]),
        json!([caretaker, 1, 1, null]),
    ];
    expected.sort_by_key(|row| row[0].as_str().unwrap().to_owned());
    assert_eq!(figures(&list), expected);
    let empty = asked(&house, &house.caretaker, id, "empty_places").await;
    let empty = empty["items"].as_array().unwrap().clone();
    assert_eq!(empty.len(), 1);
    assert_eq!(empty[0]["places"], 1);
    assert_eq!(
        empty[0]["sentence"],
        "1 place of this turn is empty: 2 could still take it."
    );
    let mut could = vec![json!(one), json!(two)];
    could.sort_by_key(ToString::to_string);
    assert_eq!(empty[0]["could"], json!(could));
}

/// Protects two who are kept apart, and whoever asked for it: what residents read is the same
/// with the pair and without it, to the byte.
#[tokio::test]
async fn nothing_that_a_resident_reads_tells_of_a_pair_that_is_kept_apart() {
    let house = House::open(8).await;
    house.add_turns("2026-06-15", "2026-06-28", 1, 2).await;
    house.sql("UPDATE sites SET neighbours_see = 'names'").await;
    for (at, member) in house.residents.iter().enumerate() {
        // Nobody can on Sundays, so that there are empty places to ask about.
        let days = format!("'{{{},7}}'", at % 6 + 1);
        house
            .limit(*member, &[("cannot_weekdays", &days), ("rest_days", "1")])
            .await;
    }
    let id = house.draft("2026-06-15", "2026-06-28").await;
    house.put_up(id).await.ok(200);
    // Rows as they are kept, with a pair and without, and with a place that could be taken.
    house
        .sql(
            "UPDATE places SET member_id = NULL, how = NULL, held_since = NULL WHERE id =
                (SELECT places.id FROM places JOIN turns ON turns.id = turn_id
                 WHERE on_date = '2026-06-23' AND seat = 1)",
        )
        .await;
    let everything = || async {
        let mut all = Vec::new();
        let one = house.residents[0];
        let mut paths = vec![
            String::new(),
            "/reasons".into(),
            "/members".into(),
            "/empty_places".into(),
        ];
        for other in &house.residents[1..] {
            paths.push(format!("/comparison?one_id={one}&other_id={other}"));
            paths.push(format!("/comparison?one_id={other}&other_id={one}"));
        }
        for path in paths {
            let path = house.at(&format!("/rotas/{id}{path}"));
            let answer = house.app.get(&house.resident, &path).await;
            assert_eq!(answer.status, 200, "{path}: {}", answer.text);
            all.push(answer.text);
        }
        all
    };
    let without = everything().await;
    assert!(
        without.iter().any(|text| text.contains("\"others\"")),
        "{without:?}"
    );
    let empty = house.at(&format!("/rotas/{id}/empty_places"));
    let keeper = house.app.get(&house.caretaker, &empty).await.text;
    assert!(!keeper.contains("apart"), "{keeper}");
    let mut told = false;
    for other in 1..8 {
        // The resident and each neighbour in turn; and a neighbour with the next one.
        let mut pairs = vec![[0, other]];
        if other < 7 {
            pairs.push([other, other + 1]);
        }
        house
            .sql(&format!(
                "UPDATE rotas SET asked = jsonb_set(asked, '{{input,apart}}', '{}')",
                json!(pairs)
            ))
            .await;
        assert_eq!(everything().await, without, "{pairs:?}");
        let keeper = house.app.get(&house.caretaker, &empty).await.text;
        told |= keeper.contains("apart");
    }
    // The caretaker, who may know, does hear of it: the test can tell the difference.
    assert!(told);
}
