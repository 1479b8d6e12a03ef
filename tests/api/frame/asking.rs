//! Requests to the service.

use super::{Answer, App, Person, client};
use reqwest::Method;
use reqwest::header::{HeaderName, HeaderValue};
use serde_json::Value;
use std::net::IpAddr;

impl App {
    pub(crate) async fn get(&self, who: &Person, path: &str) -> Answer {
        self.ask(Method::GET, path).by(who).send().await
    }

    pub(crate) async fn post(&self, who: &Person, path: &str, body: &Value) -> Answer {
        self.ask(Method::POST, path).by(who).json(body).send().await
    }

    pub(crate) async fn patch(&self, who: &Person, path: &str, body: &Value) -> Answer {
        self.ask(Method::PATCH, path)
            .by(who)
            .json(body)
            .send()
            .await
    }

    pub(crate) async fn put(&self, who: &Person, path: &str, body: &Value) -> Answer {
        self.ask(Method::PUT, path).by(who).json(body).send().await
    }

    pub(crate) async fn delete(&self, who: &Person, path: &str) -> Answer {
        self.ask(Method::DELETE, path).by(who).send().await
    }

    /// A request without a token.
    pub(crate) async fn say(&self, path: &str, body: &Value) -> Answer {
        self.ask(Method::POST, path).json(body).send().await
    }

    /// A request without a token, from the address 127.0.0.`last`.
    pub(crate) async fn say_from(&self, last: u8, path: &str, body: &Value) -> Answer {
        let from = IpAddr::from([127, 0, 0, last]);
        let from_there = client().local_address(from);
        let request = from_there
            .build()
            .unwrap()
            .post(format!("{}{path}", self.address));
        Ask { request }.json(body).send().await
    }

    /// A request to be put together.
    pub(crate) fn ask(&self, method: Method, path: &str) -> Ask {
        Ask {
            request: self
                .client
                .request(method, format!("{}{path}", self.address)),
        }
    }
}

/// A request to be put together.
pub(crate) struct Ask {
    request: reqwest::RequestBuilder,
}

impl Ask {
    pub(crate) fn by(self, who: &Person) -> Self {
        self.header("authorization", &format!("Bearer {}", who.token))
    }

    pub(crate) fn header(self, name: &str, value: &str) -> Self {
        let name = HeaderName::from_bytes(name.as_bytes()).unwrap();
        let value = HeaderValue::from_str(value).unwrap();
        Self {
            request: self.request.header(name, value),
        }
    }

    pub(crate) fn json(self, body: &Value) -> Self {
        self.header("content-type", "application/json")
            .body(body.to_string())
    }

    pub(crate) fn body(self, body: impl Into<reqwest::Body>) -> Self {
        Self {
            request: self.request.body(body),
        }
    }

    pub(crate) async fn send(self) -> Answer {
        let response = self.request.send().await.unwrap();
        Answer {
            status: response.status(),
            headers: response.headers().clone(),
            text: response.text().await.unwrap(),
        }
    }
}
