//! The hard rules of the rota, where people take places and are given some.

use crate::place_ground::{Neighbour, PlaceGround, turn_of};
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A Friday, two days after the tests' Wednesday.
const FRIDAY: &str = "2026-06-12";

/// The rules that a problem names, in order.
fn rules(problem: &Value) -> Vec<&str> {
    let broken = problem["broken"].as_array().unwrap();
    let rules = broken.iter().map(|rule| rule["rule"].as_str().unwrap());
    rules.collect()
}

/// Guards every hard rule of the rota where people take places themselves.
#[tokio::test]
async fn what_the_rules_forbid_nobody_takes() {
    let ground = PlaceGround::open().await;
    let turn = ground.turn(FRIDAY, 3).await;
    let by_rule: [(&str, &str, &str); 4] = [
        ("cannot_weekdays", "'{5}'", "weekday"),
        ("only_trained_bins", "true", "trained"),
        ("rest_days", "3", "rest"),
        // The last: nobody but somebody experienced could come to them on Monday.
        ("not_alone", "true", "not_alone"),
    ];
    let monday = ground.turn("2026-06-15", 4).await;
    for (column, value, rule) in by_rule {
        let [one] = ground.residents().await;
        ground.taken(&one.who, monday).await;
        ground.limit(&one, column, value).await;
        let answer = ground.take(&one.who, turn, &json!({})).await;
        let problem = answer.problem(409, "rules_broken");
        assert!(rules(&problem).contains(&rule), "{problem}");
        assert_eq!(problem["broken"][0]["member_id"], one.id.to_string());
        assert_eq!(ground.holders(turn).await, [None, None, None]);
    }
    let [away] = ground.residents().await;
    let (site, id) = (ground.court.site, away.id);
    ground
        .app
        .sql(&format!(
            "INSERT INTO absences VALUES ('{site}', '{}', '{id}', '2026-06-11', NULL, '{id}',
                '2026-06-01T00:00:00Z')",
            Uuid::now_v7()
        ))
        .await;
    let answer = ground.take(&away.who, turn, &json!({})).await;
    assert_eq!(rules(&answer.problem(409, "rules_broken")), ["absence"]);
}

/// Guards the rules that look at other turns of the same member, far before and after.
#[tokio::test]
async fn turns_before_and_after_count() {
    let ground = PlaceGround::open().await;
    let [ana, bo] = ground.residents().await;
    // No two on one day, whatever a member says.
    let early = ground.turn(FRIDAY, 2).await;
    let late = turn_of(&ground.app, ground.bin(), ("watering", FRIDAY), 2).await;
    ground.taken(&ana.who, early).await;
    let answer = ground.take(&ana.who, late, &json!({})).await;
    let problem = answer.problem(409, "rules_broken");
    assert!(
        rules(&problem).iter().all(|rule| *rule == "rest"),
        "{problem}"
    );
    // The longest rest there is: sixty free days.
    ground.limit(&ana, "rest_days", "60").await;
    for (on_date, status) in [("2026-08-11", 409), ("2026-08-12", 201)] {
        let turn = ground.turn(on_date, 1).await;
        let answer = ground.take(&ana.who, turn, &json!({})).await;
        assert_eq!(answer.status, status, "{on_date}: {}", answer.text);
    }
    // Two in 28 days: one 27 days before and one 27 days after lie within 28 with this one.
    ground.limit(&bo, "most_in_28_days", "2").await;
    for on_date in ["2026-07-01", "2026-07-28", "2026-08-24"] {
        let turn = ground.turn(on_date, 1).await;
        ground.taken(&bo.who, turn).await;
    }
    let between = ground.turn("2026-07-15", 1).await;
    let answer = ground.take(&bo.who, between, &json!({})).await;
    let problem = answer.problem(409, "rules_broken");
    let most = |rule: &str| rule == "most_in_28_days";
    assert!(rules(&problem).iter().all(|rule| most(rule)), "{problem}");
    let after = ground.turn("2026-09-21", 1).await;
    ground.taken(&bo.who, after).await;
}

/// Guards people who are new: beside somebody experienced they may, alone they may not.
#[tokio::test]
async fn who_is_not_to_be_alone_comes_after_somebody_experienced() {
    let ground = PlaceGround::open().await;
    let [new, old] = ground.residents().await;
    ground.limit(&new, "not_alone", "true").await;
    ground.limit(&old, "experienced", "true").await;
    let turn = ground.turn(FRIDAY, 2).await;
    let answer = ground.take(&new.who, turn, &json!({})).await;
    assert_eq!(rules(&answer.problem(409, "rules_broken")), ["not_alone"]);
    let first = ground.taken(&old.who, turn).await;
    ground.taken(&new.who, turn).await;
    // Nobody is held fast for it, but a keeper cannot put just anybody in their stead.
    let [plain] = ground.residents().await;
    let to = json!({ "member_id": plain.id });
    let answer = ground
        .change(&ground.court.educator, (turn, first), &to)
        .await;
    let problem = answer.problem(409, "rules_broken");
    assert!(rules(&problem).contains(&"not_alone"), "{problem}");
    let back = ground.give_back(&old.who, (turn, first)).await;
    assert_eq!(back.status, 204);
}

/// Guards the two who are kept apart: what they, and an educator, are told is what anybody is
/// told of a full turn, whatever else is in the way.
#[tokio::test]
async fn that_two_are_kept_apart_shows_in_no_answer() {
    let ground = PlaceGround::open().await;
    let [one, other, tired] = ground.residents().await;
    ground.keep_apart(&one, &other).await;
    let apart = ground.turn(FRIDAY, 2).await;
    ground.taken(&one.who, apart).await;
    let full = ground.turn(FRIDAY, 1).await;
    ground.taken(&tired.who, full).await;
    let near = ground.turn("2026-06-13", 1).await;
    let told = async |by: &Neighbour, turn: Uuid| {
        let mut problem = ground
            .take(&by.who, turn, &json!({ "kept": false }))
            .await
            .problem(409, "no_free_place");
        problem["request_id"] = Value::Null;
        problem
    };
    assert_eq!(told(&other, apart).await, told(&other, full).await);
    // The same when another rule is broken besides.
    ground.limit(&other, "rest_days", "1").await;
    ground.taken(&other.who, near).await;
    assert_eq!(told(&other, apart).await, told(&other, full).await);

    let [fresh] = ground.residents().await;
    ground.keep_apart(&one, &fresh).await;
    let assign = json!({ "member_id": fresh.id });
    let educator = &ground.court.educator;
    let answer = ground.take(educator, apart, &assign).await;
    answer.problem(409, "no_free_place");
    for role in [Role::Caretaker, Role::Teacher] {
        let keeper = ground.neighbour(role).await;
        let answer = ground.take(&keeper.who, apart, &assign).await;
        let problem = answer.problem(409, "rules_broken");
        assert!(rules(&problem).contains(&"apart"), "{problem}");
    }
    assert_eq!(ground.holders(apart).await, [Some(one.id), None]);
}
