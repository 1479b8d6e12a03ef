//! What the document forbids.

use crate::frame::App;
use reqwest::Method;
use serde_json::{Value, json};

#[tokio::test]
async fn what_the_document_forbids_is_refused_and_what_it_allows_is_not_called_invalid() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let long = "x".repeat(61);
    for (path, body, pointer) in [
        ("/probes", json!({ "name": long }), "/name"),
        (
            "/probes",
            json!({ "name": format!("x{}", " ".repeat(60)) }),
            "/name",
        ),
        ("/probes", json!({ "name": "x\n" }), "/name"),
        (
            "/readings",
            json!({ "values": [{ "quantity": "air_c", "value": 1000.5 }] }),
            "/values/0/value",
        ),
        (
            "/readings",
            json!({ "values": [{ "quantity": "bed_c", "value": -4e307 }] }),
            "/values/0/value",
        ),
    ] {
        let answer = app.post(&court.educator, &court.bin_at(path), &body).await;
        answer.wrong_fields(&[pointer]);
    }
    // Each well formed, but both would be of this moment.
    let twice = vec![json!({ "quantity": "bed_c", "value": 20 }); 2];
    let body = json!({ "values": twice });
    app.post(&court.educator, &court.bin_at("/readings"), &body)
        .await
        .conflicting_fields(&["/values/1/measured_at"]);

    // JSON has one kind of number: 4.0 quarters are four.
    let item = json!({ "food": "carrot", "measure": "cup", "quarters": 4.0 });
    let offer = json!({ "items": [item] });
    let path = court.bin_at("/feedings/ask");
    app.post(&court.resident, &path, &offer).await.ok(200);

    for (tag, status, code) in [
        ("7", 400, "bad_if_match"),
        ("\"7", 400, "bad_if_match"),
        ("W/\"1\"", 412, "changed_meanwhile"),
        ("\"not ours\"", 400, "bad_if_match"),
        ("\"not-ours\"", 412, "changed_meanwhile"),
    ] {
        let change = |body: &Value| {
            app.ask(Method::PATCH, &court.at(""))
                .by(&court.educator)
                .header("if-match", tag)
                .json(body)
                .send()
        };
        change(&json!({ "units": "us" }))
            .await
            .problem(status, code);
        if status == 412 {
            // A stale tag is the last thing that a request is refused for.
            let body = json!({ "units": "ells" });
            change(&body).await.problem(422, "invalid_fields");
        }
    }
}
