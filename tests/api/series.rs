//! A place on every Tuesday, or every second one, in one go.

use crate::frame::{Answer, Person};
use crate::place_ground::{PlaceGround, turn_of};
use reqwest::Method;
use serde_json::{Value, json};

async fn ask(ground: &PlaceGround, by: &Person, body: &Value) -> Answer {
    let mut whole = json!({ "bin_id": ground.court.bin, "weekday": 2, "every_weeks": 2 });
    for (name, value) in body.as_object().unwrap() {
        whole[name] = value.clone();
    }
    ground
        .app
        .post(by, &ground.court.at("/series"), &whole)
        .await
}

/// The days of an answer with what became of each.
fn days(answer: &Value) -> Vec<(&str, &str)> {
    let items = answer["items"].as_array().unwrap();
    items
        .iter()
        .map(|day| {
            let outcome = if day["taken"] == true {
                assert!(
                    day["place_id"].is_string() && day["code"].is_null(),
                    "{day}"
                );
                "taken"
            } else {
                assert!(day["place_id"].is_null(), "{day}");
                day["code"].as_str().unwrap()
            };
            (day["on_date"].as_str().unwrap(), outcome)
        })
        .collect()
}

/// Guards that each day is answered for itself, and that weeks count from the first such
/// weekday, whether it has a turn or not.
#[tokio::test]
async fn every_second_tuesday_is_taken_where_it_can_be() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    // June 16 has none, and the weeks between are not asked for.
    let mut turns = Vec::new();
    for on_date in [
        "2026-06-23",
        "2026-06-30",
        "2026-07-14",
        "2026-07-28",
        "2026-08-11",
        "2026-08-25",
    ] {
        turns.push(ground.turn(on_date, 1).await);
    }
    let [between, full, free, off, near, last] = <[_; 6]>::try_from(turns).unwrap();
    ground.taken(&bo.who, full).await;
    ground
        .app
        .sql(&format!(
            "UPDATE turns SET called_off = 'hand' WHERE id = '{off}'"
        ))
        .await;
    let day_before = ground.turn("2026-08-10", 1).await;
    ground.taken(&ana.who, day_before).await;
    ground.limit(&ana, "rest_days", "1").await;
    ground.limit(&ana, "rather_not_weekdays", "'{2}'").await;

    let answer = ask(&ground, &ana.who, &json!({ "to": "2026-08-25" }))
        .await
        .ok(200);
    assert_eq!(
        days(&answer),
        [
            ("2026-06-16", "no_turn"),
            ("2026-06-30", "no_free_place"),
            ("2026-07-14", "taken"),
            ("2026-07-28", "turn_over"),
            ("2026-08-11", "rules_broken"),
            ("2026-08-25", "taken"),
        ]
    );
    assert!(
        answer["items"][4]["rules"]
            .as_array()
            .unwrap()
            .contains(&json!("rest"))
    );
    for (turn, holder) in [
        (between, None),
        (full, Some(bo.id)),
        (off, None),
        (near, None),
    ] {
        assert_eq!(ground.holders(turn).await, [holder]);
    }
    for turn in [free, last] {
        assert_eq!(ground.holders(turn).await, [Some(ana.id)]);
    }
    // Once more: what she has she has, and nothing is doubled.
    let again = ask(&ground, &ana.who, &json!({ "to": "2026-08-25" }))
        .await
        .ok(200);
    assert_eq!(days(&again)[2], ("2026-07-14", "held_already"));
}

/// Guards rules among the days of one series, of which each is judged beside those before.
#[tokio::test]
async fn the_days_of_a_series_count_for_each_other() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    for on_date in ["2026-06-16", "2026-06-23", "2026-06-30", "2026-07-07"] {
        ground.turn(on_date, 1).await;
    }
    ground.limit(&ana, "rest_days", "10").await;
    let weekly = json!({ "every_weeks": 1, "to": "2026-07-07" });
    let answer = ask(&ground, &ana.who, &weekly).await.ok(200);
    let outcomes: Vec<&str> = days(&answer)
        .into_iter()
        .map(|(_, outcome)| outcome)
        .collect();
    assert_eq!(outcomes, ["taken", "rules_broken", "taken", "rules_broken"]);
}

/// Guards the room: what is brought is booked where it can be, and a day whose bin has no room
/// is not taken.
#[tokio::test]
async fn what_is_brought_is_booked_as_far_as_bookings_reach() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    for on_date in ["2026-06-16", "2026-06-30", "2026-07-28"] {
        ground.turn(on_date, 2).await;
    }
    let series = json!({ "to": "2026-07-28", "amount_kg": 0.05 });
    let answer = ask(&ground, &ana.who, &series).await.ok(200);
    let booked: Vec<bool> = answer["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|day| day["booking_id"].is_string())
        .collect();
    // July 14 has no turn, and July 28 is further ahead than room is booked.
    assert_eq!(booked, [true, true, false, false]);
    assert_eq!(days(&answer)[3], ("2026-07-28", "taken"));
    assert_eq!(
        ground.bookings(&ana).await,
        vec![("open".to_owned(), 50); 2]
    );
    let too_much = json!({ "to": "2026-07-28", "amount_kg": 5 });
    let answer = ask(&ground, &bo.who, &too_much).await.ok(200);
    let outcomes: Vec<&str> = days(&answer)
        .into_iter()
        .map(|(_, outcome)| outcome)
        .collect();
    assert_eq!(
        outcomes,
        ["feeding_refused", "feeding_refused", "no_turn", "taken"]
    );
    assert!(ground.bookings(&bo).await.is_empty());
}

/// Guards the bounds, each named by its field, and the turns of other bins and of classes.
#[tokio::test]
async fn a_series_is_bounded_and_of_one_bin() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    let elsewhere = ground.app.court().await;
    for (body, pointer) in [
        (json!({ "weekday": 0, "to": "2026-07-28" }), "/weekday"),
        (json!({ "weekday": 8, "to": "2026-07-28" }), "/weekday"),
        (
            json!({ "every_weeks": 0, "to": "2026-07-28" }),
            "/every_weeks",
        ),
        (
            json!({ "every_weeks": 9, "to": "2026-07-28" }),
            "/every_weeks",
        ),
    ] {
        ask(&ground, &ana.who, &body).await.wrong_fields(&[pointer]);
    }
    for (body, pointer) in [
        (json!({ "from": "2026-06-09", "to": "2026-07-28" }), "/from"),
        (json!({ "from": "2026-07-01", "to": "2026-06-28" }), "/to"),
        (json!({ "to": "2027-06-12" }), "/to"),
        (
            json!({ "bin_id": elsewhere.bin, "to": "2026-07-28" }),
            "/bin_id",
        ),
    ] {
        let answer = ask(&ground, &ana.who, &body).await;
        answer.conflicting_fields(&[pointer]);
    }
    let answer = ask(&ground, &elsewhere.resident, &json!({ "to": "2026-07-28" })).await;
    answer.problem(404, "not_found");

    let bin = ground
        .app
        .stocked_bin(&ground.court.educator, ground.court.site)
        .await;
    let other = ground.turn("2026-06-16", 1).await;
    ground
        .app
        .sql(&format!(
            "UPDATE turns SET bin_id = '{bin}' WHERE id = '{other}'"
        ))
        .await;
    let answer = ask(&ground, &ana.who, &json!({ "to": "2027-06-11" }))
        .await
        .ok(200);
    let all = days(&answer);
    assert_eq!(all.len(), 26);
    assert!(all.iter().all(|(_, outcome)| *outcome == "no_turn"));
    assert_eq!(ground.holders(other).await, [None]);
    for day in 1..=61 {
        let on_date = if day % 2 == 0 {
            "2026-06-16"
        } else {
            "2026-06-30"
        };
        turn_of(&ground.app, ground.bin(), ("looking", on_date), 1).await;
    }
    let answer = ask(&ground, &ana.who, &json!({ "to": "2026-07-28" })).await;
    answer.conflicting_fields(&["/to"]);
}

/// Guards against a second series when an answer got lost.
#[tokio::test]
async fn a_retry_of_a_series_gets_the_first_answer() {
    let ground = PlaceGround::open().await;
    let [ana] = ground.residents().await;
    ground.turn("2026-06-16", 1).await;
    let body = json!({
        "bin_id": ground.court.bin, "weekday": 2, "every_weeks": 1, "to": "2026-06-16",
    });
    let send = async || {
        let ask = ground.app.ask(Method::POST, &ground.court.at("/series"));
        let ask = ask.by(&ana.who).header("idempotency-key", "tuesdays");
        ask.json(&body).send().await.ok(200)
    };
    let first = send().await;
    assert_eq!(days(&first), [("2026-06-16", "taken")]);
    let after = ground.app.contents().await;
    assert_eq!(send().await, first);
    assert_eq!(ground.app.contents().await, after);
}
