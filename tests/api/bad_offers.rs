//! Offers that cannot be meant: the field is named and nothing changes.

use crate::frame::{App, Court, weighed};
use reqwest::Method;
use serde_json::{Value, json};

const DEEDS: [&str; 3] = ["/feedings", "/feedings/ask", "/feedings/told"];

/// Sends bodies to all three deeds; each must name its fields, and nothing may change.
async fn all_name_their_fields(app: &App, court: &Court, cases: &[(Value, &[&str])]) {
    let before = app.contents().await;
    for (body, pointers) in cases {
        for deed in DEEDS {
            let answer = app.post(&court.resident, &court.bin_at(deed), body).await;
            assert_eq!(answer.status, 422, "{deed} {body}: {}", answer.text);
            answer.wrong_fields(pointers);
            assert!(answer.text.len() < 2_000, "{}", answer.text.len());
        }
    }
    assert_eq!(app.contents().await, before);
}

/// An offer of which the second item is to be looked at.
fn second(item: &Value) -> Value {
    json!({ "items": [{ "food": "carrot", "amount_kg": 0.1 }, item] })
}

#[tokio::test]
async fn amounts_that_cannot_be_meant_are_named() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let wrong_amounts = [
        json!(0),
        json!(0.0),
        json!(-1),
        json!(-0.001),
        json!(1e300),
        json!(-1e300),
        json!(0.0001),
        json!(0.1234),
        json!(400),
        json!(50.001),
        json!("0.1"),
        json!("NaN"),
        json!(true),
        json!([0.1]),
        json!({ "kg": 0.1 }),
    ];
    let cases: Vec<(Value, &[&str])> = wrong_amounts
        .into_iter()
        .map(|kg| {
            let item = json!({ "food": "usual-mix", "amount_kg": kg });
            (second(&item), ["/items/1/amount_kg"].as_slice())
        })
        .collect();
    all_name_their_fields(&app, &court, &cases).await;
}

#[tokio::test]
async fn every_wrong_field_is_named() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let item = |item: Value| second(&item);
    let filled = |measure: Value, quarters: Value| {
        item(json!({ "food": "usual-mix", "measure": measure, "quarters": quarters }))
    };
    let many = |count: usize, kg: f64| json!({ "items": vec![json!({ "food": "carrot", "amount_kg": kg }); count] });
    let cases: Vec<(Value, &[&str])> = vec![
        (json!({}), &["/items"]),
        (json!({ "items": [] }), &["/items"]),
        (json!({ "items": null }), &["/items"]),
        (json!({ "items": "carrot" }), &["/items"]),
        (json!({ "items": { "food": "carrot" } }), &["/items"]),
        (json!({ "items": ["carrot"] }), &["/items/0"]),
        (json!([]), &[""]),
        (many(41, 0.1), &["/items"]),
        (item(json!({ "amount_kg": 0.1 })), &["/items/1/food"]),
        (
            item(json!({ "food": null, "amount_kg": 0.1 })),
            &["/items/1/food"],
        ),
        (
            item(json!({ "food": 7, "amount_kg": 0.1 })),
            &["/items/1/food"],
        ),
        (
            item(json!({ "food": "", "amount_kg": 0.1 })),
            &["/items/1/food"],
        ),
        (
            item(json!({ "food": "x".repeat(10_000), "amount_kg": 0.1 })),
            &["/items/1/food"],
        ),
        (
            item(json!({ "food": "carrot", "amount_kg": 0.1, "unit": "lb" })),
            &["/items/1/unit"],
        ),
        (item(json!({ "food": "carrot" })), &["/items/1"]),
        (
            item(json!({ "food": "carrot", "amount_kg": null })),
            &["/items/1"],
        ),
        (
            item(json!({
                "food": "carrot", "amount_kg": 0.1, "measure": "cup", "quarters": 4,
            })),
            &["/items/1"],
        ),
        (
            item(json!({ "food": "carrot", "amount_kg": 0.1, "quarters": 4 })),
            &["/items/1"],
        ),
        (
            item(json!({ "food": "carrot", "measure": "cup" })),
            &["/items/1"],
        ),
        (
            item(json!({ "food": "carrot", "quarters": 4 })),
            &["/items/1"],
        ),
        (filled(json!("cup"), json!(0)), &["/items/1/quarters"]),
        (filled(json!("cup"), json!(201)), &["/items/1/quarters"]),
        (filled(json!("cup"), json!(-4)), &["/items/1/quarters"]),
        (filled(json!("cup"), json!(1.5)), &["/items/1/quarters"]),
        (filled(json!("cup"), json!("4")), &["/items/1/quarters"]),
        (filled(json!("cup"), json!(1e300)), &["/items/1/quarters"]),
        (filled(json!(5), json!(4)), &["/items/1/measure"]),
        (
            json!({ "items": [
                { "food": "gold", "amount_kg": 0.1 },
                { "food": "carrot", "measure": "barrow", "quarters": 4 },
                { "food": "carrot", "measure": "cup", "quarters": 0 },
            ] }),
            &["/items/0/food", "/items/1/measure", "/items/2/quarters"],
        ),
    ];
    all_name_their_fields(&app, &court, &cases).await;

    // Each field as the document has it, but the site has no barrow, and the 26th item
    // brings the offer above 50 kg.
    let before = app.contents().await;
    for (body, pointer) in [
        (many(30, 2.0), "/items/25"),
        (filled(json!("barrow"), json!(4)), "/items/1/measure"),
        (filled(json!(""), json!(4)), "/items/1/measure"),
    ] {
        for deed in DEEDS {
            let answer = app.post(&court.resident, &court.bin_at(deed), &body).await;
            answer.conflicting_fields(&[pointer]);
        }
    }
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn what_is_no_json_or_says_a_thing_twice_is_refused() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.contents().await;
    for deed in DEEDS {
        let send = async |body: &str| {
            app.ask(Method::POST, &court.bin_at(deed))
                .by(&court.resident)
                .header("content-type", "application/json")
                .body(body.to_owned())
                .send()
                .await
        };
        for amount in ["NaN", "Infinity", "-Infinity", ".5", "0x1", "1_000", "1e"] {
            let body = format!(r#"{{"items":[{{"food":"carrot","amount_kg":{amount}}}]}}"#);
            send(&body).await.problem(400, "bad_json");
        }
        for (body, pointer) in [
            (
                r#"{"items":[{"food":"carrot","amount_kg":0.1}],"items":[]}"#,
                "/items",
            ),
            (
                r#"{"items":[{"food":"carrot","food":"meat","amount_kg":0.1}]}"#,
                "/items/0/food",
            ),
            (
                r#"{"items":[{"food":"carrot","amount_kg":0.1,"amount_kg":0.2}]}"#,
                "/items/0/amount_kg",
            ),
        ] {
            send(body).await.wrong_fields(&[pointer]);
        }
        // Beyond what a double can hold.
        let answer = send(r#"{"items":[{"food":"carrot","amount_kg":1e999}]}"#).await;
        assert!(
            answer.status == 400 || answer.status == 422,
            "{}",
            answer.text
        );
    }
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn nobody_guesses_what_an_unknown_food_might_be() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    for (food, meant) in [
        ("banana-pel", "banana-peel"),
        ("Banana Peel", "banana-peel"),
        ("coffe-grounds", "coffee-grounds"),
    ] {
        let path = court.bin_at("/feedings");
        let answer = app.post(&court.resident, &path, &weighed(food, 0.1)).await;
        answer.wrong_fields(&["/items/0/food"]);
        assert!(answer.text.contains(meant), "{}", answer.text);
        assert!(answer.text.contains("usual-mix"), "{}", answer.text);
    }
}

#[tokio::test]
async fn bedding_that_cannot_be_meant_is_refused() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.contents().await;
    for bedding in [
        json!(-0.001),
        json!(10.001),
        json!(51),
        json!(0.0001),
        json!("0.1"),
        json!(1e300),
    ] {
        let mut feeding = weighed("usual-mix", 0.1);
        feeding["bedding_kg"] = bedding.clone();
        let path = court.bin_at("/feedings/told");
        let answer = app.post(&court.resident, &path, &feeding).await;
        assert_eq!(answer.status, 422, "{bedding}: {}", answer.text);
        answer.wrong_fields(&["/bedding_kg"]);
    }
    assert_eq!(app.contents().await, before);
}
