//! The demo shows its letters as pages, and nothing else does.

use crate::frame::settings;
use crate::post_office::PostOffice;
use reqwest::{Client, Response};
use std::net::TcpListener;
use uuid::Uuid;
use wormrota::api::{self, AppState};

/// A second copy that shows letters, as the demo does; gives its address.
fn showing(office: &PostOffice) -> String {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = format!("http://{}", listener.local_addr().unwrap());
    let settings = settings();
    let desk = office.app.desk.clone();
    let state = AppState::new(desk, settings.server, &settings.letters).unwrap();
    let state = state.showing_letters(office.post.folder().clone());
    tokio::spawn(api::run(listener, state).unwrap());
    address
}

async fn get(address: &str, headers: &[(&str, &str)]) -> Response {
    let client = Client::builder().no_proxy().build().unwrap();
    let mut ask = client.get(address);
    for (name, value) in headers {
        ask = ask.header(*name, *value);
    }
    ask.send().await.unwrap()
}

/// Protects whoever tries the demo from having to look for files.
#[tokio::test]
async fn letters_of_the_demo_can_be_read_and_their_links_followed() {
    let office = PostOffice::with_folder().await;
    let base = showing(&office);
    let (_, _, letters) = office.invite(&["bo", "cy"]).await;
    let empty = get(&format!("{base}/letters"), &[]).await;
    assert_eq!(empty.status(), 200);
    let text = empty.text().await.unwrap();
    assert!(
        text.contains("None yet.") && !text.contains("Letters that wait"),
        "{text}"
    );
    let wait = "UPDATE letters SET reason = 'quiet_hours', due_at = now() + interval '5 hours'";
    office.app.sql(wait).await;
    let waiting = get(&format!("{base}/letters"), &[]).await;
    let waiting = waiting.text().await.unwrap();
    assert!(waiting.contains("Letters that wait: 2."), "{waiting}");
    office
        .app
        .sql("UPDATE letters SET reason = NULL, due_at = created_at")
        .await;

    // Past the door, as if somebody had written to the database.
    office
        .app
        .sql("UPDATE member_names SET name = '<script>alert(1)</script>' WHERE email_lower = 'cy@elm.example'")
        .await;
    assert_eq!(office.send().await, 2);
    let list = get(&format!("{base}/letters"), &[]).await;
    let list = list.text().await.unwrap();
    for letter in &letters {
        assert!(
            list.contains(&format!("href=\"/letters/{letter}\"")),
            "{list}"
        );
    }
    assert!(list.contains("bo@elm.example"), "{list}");
    assert!(!list.contains("<script"), "{list}");

    let one = get(&format!("{base}/letters/{}", letters[1]), &[]).await;
    assert_eq!(one.status(), 200);
    let policy = one.headers()["content-security-policy"].to_str().unwrap();
    assert!(policy.starts_with("default-src 'none';"), "{policy}");
    assert!(!policy.contains("script"), "{policy}");
    assert_eq!(one.headers()["cache-control"], "no-store");
    let one = one.text().await.unwrap();
    for part in [
        "width=device-width",
        "sandbox=\"allow-popups allow-popups-to-escape-sandbox\"",
        "&lt;base target=&quot;_blank&quot;&gt;",
        "https://bins.example.org/",
    ] {
        assert!(one.contains(part), "{part}: {one}");
    }
    assert!(!one.contains("<script"), "{one}");
    let unknown = get(&format!("{base}/letters/{}", Uuid::now_v7()), &[]).await;
    assert_eq!(unknown.status(), 404);
}

/// Protects links that sign people in from whoever may only reach the service.
#[tokio::test]
async fn letters_are_shown_by_nothing_but_the_demo_and_to_no_other_machine() {
    let office = PostOffice::with_folder().await;
    let base = showing(&office);
    let (_, _, letters) = office.invite(&["bo"]).await;
    assert_eq!(office.send().await, 1);
    for path in ["/letters".to_owned(), format!("/letters/{}", letters[0])] {
        let shown = get(&format!("{base}{path}"), &[]).await;
        assert_eq!(shown.status(), 200, "{path}");
        for header in [
            ("host", "evil.example"),
            ("x-forwarded-for", "192.0.2.7"),
            ("forwarded", "for=192.0.2.7"),
        ] {
            let kept_back = get(&format!("{base}{path}"), &[header]).await;
            assert_eq!(kept_back.status(), 404, "{path} {header:?}");
        }
        let elsewhere = get(&format!("http://{}{path}", office.app.address()), &[]).await;
        assert_eq!(elsewhere.status(), 404, "{path}");
    }
    let document = get(&format!("{base}/openapi.json"), &[]).await;
    let document: serde_json::Value = document.json().await.unwrap();
    let paths = document["paths"].as_object().unwrap();
    assert!(!paths.keys().any(|path| path.starts_with("/letters")));
}
