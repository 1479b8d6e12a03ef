use crate::frame::{App, new_bin};
use reqwest::Method;
use serde_json::json;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

#[tokio::test]
async fn a_body_that_is_no_json_is_told_where() {
    let app = App::start().await;
    let ada = app.educator().await;
    for body in [
        "",
        "{",
        "name=x",
        "{\"name\": NaN}",
        "{\"name\":\"x\"} {}",
        "\u{feff}{}",
    ] {
        let answer = app
            .ask(Method::POST, "/v1/sites")
            .by(&ada)
            .header("content-type", "application/json")
            .body(body)
            .send()
            .await;
        let problem = answer.problem(400, "bad_json");
        assert!(
            problem["detail"].as_str().unwrap().contains("line 1"),
            "{problem}"
        );
    }
}

#[tokio::test]
async fn other_kinds_of_body_are_refused_before_they_are_read() {
    let app = App::start().await;
    let ada = app.educator().await;
    let ask = || app.ask(Method::POST, "/v1/sites").by(&ada).body("{}");
    ask().send().await.problem(415, "unsupported_media_type");
    for media_type in [
        "text/plain",
        "application/x-www-form-urlencoded",
        "application/json-seq",
        "application/json; charset=utf-16",
        "multipart/form-data; boundary=x",
    ] {
        let answer = ask().header("content-type", media_type).send().await;
        answer.problem(415, "unsupported_media_type");
    }
    let packed = ask()
        .header("content-type", "application/json")
        .header("content-encoding", "gzip")
        .send()
        .await;
    packed.problem(415, "unsupported_media_type");
    for media_type in [
        "application/json; charset=UTF-8",
        "application/merge-patch+json",
    ] {
        let answer = ask().header("content-type", media_type).send().await;
        answer.problem(422, "invalid_fields");
    }
}

#[tokio::test]
async fn a_body_beyond_the_limit_is_refused_announced_or_not() {
    let app = App::start().await;
    let ada = app.educator().await;
    let long = format!("{{\"name\":\"{}\"}}", "x".repeat(70_000));
    let ask = || {
        app.ask(Method::POST, "/v1/sites")
            .by(&ada)
            .header("content-type", "application/json")
    };
    let announced = ask().body(long.clone()).send().await;
    let problem = announced.problem(413, "body_too_large");
    assert!(
        problem["detail"].as_str().unwrap().contains("65536"),
        "{problem}"
    );

    // Without a length the body comes in chunks.
    let head = format!(
        "POST /v1/sites HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {}\r\n\
         Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n",
        ada.token
    );
    let chunks = format!("1000\r\n{}\r\n", "x".repeat(0x1000)).repeat(20);
    let address = app.address().to_owned();
    let answer = tokio::task::spawn_blocking(move || {
        let mut stream = TcpStream::connect(address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(10)))
            .unwrap();
        // The service may hang up while we still write.
        let _ = stream.write_all((head + &chunks).as_bytes());
        let mut answer = [0; 12];
        stream.read_exact(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    })
    .await
    .unwrap();
    assert_eq!(answer, "HTTP/1.1 413");
}

#[tokio::test]
async fn a_body_that_does_not_arrive_is_not_waited_for() {
    let mut settings = crate::frame::settings();
    settings.server.request_timeout_s = 1;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let ada = app.educator().await;
    let head = format!(
        "POST /v1/sites HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {}\r\n\
         Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{{",
        ada.token
    );
    let address = app.address().to_owned();
    let answer = tokio::task::spawn_blocking(move || {
        let mut stream = TcpStream::connect(address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(10)))
            .unwrap();
        stream.write_all(head.as_bytes()).unwrap();
        let mut answer = [0; 12];
        stream.read_exact(&mut answer).unwrap();
        String::from_utf8_lossy(&answer).into_owned()
    })
    .await
    .unwrap();
    assert_eq!(answer, "HTTP/1.1 408");
}

#[tokio::test]
async fn a_key_that_comes_twice_is_an_error() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    let body = new_bin()
        .to_string()
        .replace(r#""name":"#, r#""name":"a","name":"#);
    let answer = app
        .ask(Method::POST, &path)
        .by(&ada)
        .header("content-type", "application/json")
        .body(body)
        .send()
        .await;
    answer.wrong_fields(&["/name"]);
}

#[tokio::test]
async fn a_list_does_not_pass_for_an_object() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let answer = app
        .ask(Method::POST, "/v1/sessions")
        .json(&json!([ada.email, crate::frame::PASSWORD]))
        .send()
        .await;
    answer.wrong_fields(&[""]);
}
