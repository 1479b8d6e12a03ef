//! Classes.

mod adults;
mod life;
mod pupils;
mod substitutes;

use crate::frame::{Answer, App, Person, id_of};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A school's site with its educator and a teacher.
struct School {
    app: Arc<App>,
    ada: Person,
    teacher: Person,
    site: Uuid,
}

impl School {
    /// In June at noon, with the clock of the tests.
    async fn open() -> Self {
        let app = Arc::new(App::start_in_june().await);
        let ada = app.educator().await;
        let site = app.site(&ada).await;
        let teacher = app.member(site, Role::Teacher).await;
        Self {
            app,
            ada,
            teacher,
            site,
        }
    }

    fn at(&self, rest: &str) -> String {
        format!("/v1/sites/{}{rest}", self.site)
    }

    async fn class(&self, by: &Person, name: &str) -> Uuid {
        let new = json!({ "name": name, "ends_on": "2026-06-30" });
        id_of(&self.app.post(by, &self.at("/classes"), &new).await.ok(201))
    }

    async fn paste(&self, class: Uuid, labels: &str) -> Answer {
        let path = self.at(&format!("/classes/{class}/pupils"));
        let body = json!({ "labels": labels });
        self.app.post(&self.teacher, &path, &body).await
    }

    async fn see(&self, who: &Person, class: Uuid) -> Answer {
        let path = self.at(&format!("/classes/{class}"));
        self.app.get(who, &path).await
    }

    async fn without_body(&self, method: Method, who: &Person, rest: &str) -> Answer {
        self.app.ask(method, &self.at(rest)).by(who).send().await
    }

    async fn member_id(&self, who: &Person) -> Uuid {
        let site = self.app.get(who, &self.at("")).await.ok(200);
        site["my_member_id"].as_str().unwrap().parse().unwrap()
    }

    async fn trail(&self) -> Vec<String> {
        let rows = self.app.rows("SELECT deed FROM audit ORDER BY at, id");
        let deeds = rows.await;
        let deeds = deeds
            .iter()
            .map(|row| row["deed"].as_str().unwrap().to_owned());
        deeds.collect()
    }
}

fn labels(class: &Value) -> Vec<&str> {
    let pupils = class["pupils"].as_array().unwrap();
    let labels = pupils.iter().map(|pupil| pupil["label"].as_str().unwrap());
    labels.collect()
}
