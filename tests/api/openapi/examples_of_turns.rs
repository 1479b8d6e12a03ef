//! The examples of what is said about turns and places.

use super::examples::{example, send_example, send_text};
use super::operations;
use crate::frame::{App, Person};
use crate::place_ground::turn_of;
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::Value;
use uuid::Uuid;

/// Those about turns, of a bin that there is; gives which these are.
pub(super) async fn send_examples_of_turns(
    app: &App,
    document: &Value,
    educator: &Person,
    bin: [(&str, &str); 2],
) -> [&'static str; 7] {
    let site = bin[0];
    let mut made = Vec::new();
    for id in ["create_pattern", "create_turn"] {
        let (_, path, operation) = operations(document)
            .into_iter()
            .find(|(_, _, operation)| operation["operationId"] == id)
            .unwrap();
        let mut body = example(document, operation).unwrap().clone();
        body["bin_id"] = bin[1].1.into();
        let answer = app
            .post(educator, &path.replace("{site_id}", site.1), &body)
            .await;
        made.push(answer.ok(201)["id"].as_str().unwrap().to_owned());
    }
    let pattern = [site, ("pattern_id", made[0].as_str())];
    let turn = [site, ("turn_id", made[1].as_str())];
    let closure = send_example(app, document, educator, "create_closure", &[site]).await;
    let closure = [site, ("closure_id", closure["id"].as_str().unwrap())];
    send_example(app, document, educator, "create_visits", &closure).await;
    send_text(app, document, educator, "import_closures", site.1)
        .await
        .ok(200);
    send_example(app, document, educator, "update_pattern", &pattern).await;
    send_example(app, document, educator, "update_turn", &turn).await;
    [
        "create_pattern",
        "create_turn",
        "create_closure",
        "create_visits",
        "import_closures",
        "update_pattern",
        "update_turn",
    ]
}

/// Sends the examples about the places of a turn; says which.
pub(super) async fn send_examples_of_places(
    app: &App,
    document: &Value,
    educator: &Person,
    bin: (Uuid, Uuid),
) -> [&'static str; 3] {
    let tomorrow = app.now().await.date_naive() + TimeDelta::days(1);
    let turn = turn_of(app, bin, ("feeding", &tomorrow.to_string()), 1).await;
    let (site, turn) = (bin.0.to_string(), turn.to_string());
    let of_turn = [("site_id", site.as_str()), ("turn_id", turn.as_str())];
    let place = send_example(app, document, educator, "create_place", &of_turn).await;
    let place = place["id"].as_str().unwrap();
    let of_place = [of_turn[0], of_turn[1], ("place_id", place)];
    send_example(app, document, educator, "update_place", &of_place).await;
    let path = format!("/v1/sites/{site}/turns/{turn}/places/{place}/call");
    let begun = app.ask(Method::POST, &path).by(educator).send().await;
    let call = begun.ok(201)["call_id"].as_str().unwrap().to_owned();
    let of_call = [of_turn[0], ("call_id", call.as_str())];
    send_example(app, document, educator, "create_call_answer", &of_call).await;
    ["create_place", "update_place", "create_call_answer"]
}
