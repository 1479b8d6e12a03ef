use crate::frame::App;
use reqwest::Method;
use wormrota::api::problem::KINDS;

#[tokio::test]
async fn an_unknown_address_and_a_wrong_method_are_problems_too() {
    let app = App::start().await;
    for path in [
        "/",
        "/v2/sites",
        "/v1/sites/",
        "/v1//sites",
        "/problems/no_such",
        "/%ff",
    ] {
        app.ask(Method::GET, path)
            .send()
            .await
            .problem(404, "not_found");
    }
    for (method, path, allow) in [
        (Method::DELETE, "/v1/sites", "GET, HEAD, POST"),
        (Method::PATCH, "/v1/sessions", "GET, HEAD, POST, DELETE"),
        (Method::GET, "/v1/refresh_tokens/use", "POST"),
        (
            Method::PUT,
            "/v1/sites/0198f2c0-aaaa-7000-8000-000000000000",
            "GET, HEAD, PATCH",
        ),
        (Method::POST, "/health/live", "GET, HEAD"),
        (Method::OPTIONS, "/openapi.json", "GET, HEAD"),
    ] {
        let answer = app.ask(method, path).send().await;
        answer.problem(405, "method_not_allowed");
        assert_eq!(answer.header("allow"), Some(allow), "{path}");
    }
}

#[tokio::test]
async fn every_kind_of_problem_is_explained_where_its_type_leads() {
    let app = App::start().await;
    let all = app.ask(Method::GET, "/problems").send().await.ok(200);
    assert_eq!(all.as_array().unwrap().len(), KINDS.len());
    for kind in KINDS {
        let path = format!("/problems/{}", kind.code);
        let one = app.ask(Method::GET, &path).send().await.ok(200);
        assert_eq!(one["status"], kind.status);
        assert!(all.as_array().unwrap().contains(&one));
    }
}

#[tokio::test]
async fn a_harmless_request_id_is_kept_and_any_other_replaced() {
    let app = App::start().await;
    let ask = |id: &str| {
        app.ask(Method::GET, "/nowhere")
            .header("x-request-id", id)
            .send()
    };
    let kept = ask("my-id_1.2").await;
    assert_eq!(kept.header("x-request-id"), Some("my-id_1.2"));
    kept.problem(404, "not_found");
    for id in ["ada@elmcourt.example", "a b", "{}", &"x".repeat(65)] {
        let answer = ask(id).await;
        answer.problem(404, "not_found");
        let given = answer.header("x-request-id").unwrap();
        assert!(given.parse::<uuid::Uuid>().is_ok(), "{given}");
    }
}

#[tokio::test]
async fn answers_carry_careful_headers() {
    let app = App::start().await;
    let ada = app.stranger().await;
    for answer in [
        app.get(&ada, "/v1/sites").await,
        app.get(&ada, "/nowhere").await,
        app.ask(Method::GET, "/health/live").send().await,
    ] {
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("cache-control"), Some("no-store"));
        assert_eq!(answer.header("referrer-policy"), Some("no-referrer"));
        assert!(answer.header("x-request-id").is_some());
        assert!(answer.header("server").is_none());
    }
}
