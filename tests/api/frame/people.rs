//! People with accounts.

use super::{App, PASSWORD, id_of};
use chrono::TimeDelta;
use futures_util::FutureExt;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::add_account::{NewAccount, NewMember, add_account};
use wormrota::desk::credentials::{Bearer, LinkFor};
use wormrota::store::sessions::{self, SessionRow};
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, SessionId, SiteId};

/// Somebody with an account.
#[derive(Debug, Clone)]
pub(crate) struct Person {
    pub(crate) account: AccountId,
    pub(crate) session: SessionId,
    pub(crate) email: String,
    pub(crate) token: String,
}

impl App {
    /// Somebody who belongs nowhere yet.
    pub(crate) async fn stranger(&self) -> Person {
        self.account(false, None).await
    }

    /// Somebody who may open sites.
    pub(crate) async fn educator(&self) -> Person {
        self.account(true, None).await
    }

    /// Somebody who belongs to a site.
    pub(crate) async fn member(&self, site: Uuid, role: Role) -> Person {
        let member = NewMember {
            site: SiteId(site),
            roles: vec![role],
            name: format!("A {}", role.code()),
            flat: Some("3b".to_owned()),
        };
        self.account(false, Some(member)).await
    }

    async fn account(&self, is_educator: bool, member: Option<NewMember>) -> Person {
        let email = format!("p{}@elmcourt.example", Uuid::now_v7().simple());
        let new = NewAccount {
            email: email.clone(),
            password: PASSWORD.to_owned(),
            is_educator,
            member,
        };
        let account = add_account(&self.desk, new, self.now().await)
            .await
            .unwrap();
        let session = self.session(account).await;
        Person {
            account,
            session,
            email,
            token: self.token(account, session),
        }
    }

    /// A fresh session of an account.
    pub(crate) async fn session(&self, account: AccountId) -> SessionId {
        let wall = clock::wall();
        let row = SessionRow {
            id: Uuid::now_v7(),
            account_id: account.0,
            began_with: "password".to_owned(),
            device: None,
            created_at: wall,
            last_used_at: wall,
            ends_at: wall + TimeDelta::days(1),
            revoked_at: None,
        };
        let id = SessionId(row.id);
        self.desk
            .store()
            .transact("begin a session", row, |conn, row| {
                sessions::insert(conn, row).boxed()
            })
            .await
            .unwrap();
        id
    }

    /// A fresh token for a session.
    pub(crate) fn token(&self, account: AccountId, session: SessionId) -> String {
        let tokens = &self.desk.credentials().tokens;
        let bearer = Bearer { account, session };
        tokens.issue(bearer, clock::wall()).unwrap().text
    }

    /// Who somebody is at a site.
    pub(crate) async fn member_id(&self, who: &Person, site: Uuid) -> Uuid {
        let site = self.get(who, &format!("/v1/sites/{site}")).await.ok(200);
        site["my_member_id"].as_str().unwrap().parse().unwrap()
    }

    /// Invites somebody; gives the invitation.
    pub(crate) async fn invite(&self, keeper: &Person, site: Uuid, body: &Value) -> Value {
        let path = format!("/v1/sites/{site}/invitations");
        self.post(keeper, &path, body).await.ok(201)
    }

    /// The secret of an invitation's link, as it stands in the letter.
    pub(crate) fn invitation_token(&self, invitation: &Value) -> String {
        let links = &self.desk.credentials().links;
        links.token(LinkFor::Invitation, id_of(invitation))
    }

    /// Somebody who waits to be let in, without an account and without an address.
    pub(crate) async fn newcomer(&self, keeper: &Person, site: Uuid, name: &str) -> Uuid {
        let path = format!("/v1/sites/{site}/joining_sheets");
        let new = json!({ "expires_in_days": 1, "most_uses": 1 });
        let sheet = self.post(keeper, &path, &new).await.ok(201);
        let joining = json!({ "code": sheet["code"], "name": name, "flat": "4a" });
        self.say("/v1/joinings", &joining).await.ok(201);
        let path = format!("/v1/sites/{site}/newcomers?limit=200");
        let waiting = self.get(keeper, &path).await.ok(200);
        let items = waiting["items"].as_array().unwrap();
        id_of(items.iter().find(|one| one["name"] == name).unwrap())
    }

    /// The same, let in.
    pub(crate) async fn without_address(&self, keeper: &Person, site: Uuid, name: &str) -> Uuid {
        let id = self.newcomer(keeper, site, name).await;
        let confirm = format!("/v1/sites/{site}/newcomers/{id}/confirmation");
        self.post(keeper, &confirm, &json!({})).await.ok(201);
        id
    }

    /// Somebody with a session that was just begun, as an answer gives it.
    pub(crate) fn person_of(body: &Value) -> Person {
        let session = &body["session"];
        let id = |name: &str| session[name].as_str().unwrap().parse().unwrap();
        Person {
            account: AccountId(id("account_id")),
            session: SessionId(id("session_id")),
            email: String::new(),
            token: session["access_token"].as_str().unwrap().to_owned(),
        }
    }
}
