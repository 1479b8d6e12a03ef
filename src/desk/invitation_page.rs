//! The page behind the link of an invitation: it says to what, takes a password from whoever
//! wants one, and says what comes next.

use super::accept_invitation::{Acceptance, accept_invitation};
use super::chosen_password::{chosen, complaint, fields, length};
use super::credentials::LinkFor;
use super::letter_links::{Form, LinkPage, Stage, Typed};
use super::sites::words;
use super::{Desk, DeskError};
use crate::clock;
use crate::store::members::{self, Which};
use crate::store::{Conn, accounts, invitations};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::KEEPERS;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::speech::SpeechOf;

/// People to ask who are named at most.
const MOST_NAMED: usize = 4;

/// People looked through for them.
const MOST_READ: i64 = 50;

/// Somebody at the link of their invitation.
struct Invited {
    speech: SpeechOf,
    site_name: String,
    name: String,
    email: String,
    /// Whether there is an account with this address already.
    has_account: bool,
    /// What those are called who look after the site.
    keepers: Vec<String>,
}

/// What the link is for, without accepting anything.
///
/// # Errors
/// When the database cannot be reached.
pub async fn look(desk: &Desk, token: &str) -> Result<LinkPage, DeskError> {
    let invited = invited(desk, token).await?;
    Ok(invited.map_or_else(LinkPage::unknown, |invited| invited.asks(None)))
}

/// Accepts the invitation with what was typed.
///
/// # Errors
/// When the database cannot be reached.
pub async fn act(desk: &Desk, token: &str, typed: &Typed) -> Result<LinkPage, DeskError> {
    let Some(invited) = invited(desk, token).await? else {
        return Ok(LinkPage::unknown());
    };
    let password = match chosen(typed) {
        Ok(password) => password.filter(|_| !invited.has_account),
        Err(differs) => return Ok(invited.asks(Some(differs))),
    };
    let has_password = password.is_some();
    let sent = Acceptance {
        token: token.to_owned(),
        password,
        name: None,
        device: None,
        // A page keeps nobody signed in.
        wants_session: false,
    };
    match accept_invitation(desk, None, sent).await {
        Ok(_) => Ok(invited.joined(has_password)),
        Err(DeskError::LinkRefused) => Ok(LinkPage::unknown()),
        Err(DeskError::Conflicting(errors)) if errors.iter().any(|one| one.pointer == "/token") => {
            Ok(invited.is_there_already())
        }
        Err(error) => Ok(invited.asks(Some(complaint(error)?))),
    }
}

impl Invited {
    fn page(&self, stage: Stage, sentences: Vec<Phrase>, form: Option<Form>) -> LinkPage {
        LinkPage {
            stage,
            speech: Some(self.speech.clone()),
            title: self.about("page-invitation-title"),
            sentences,
            aftermath: None,
            form,
        }
    }

    fn about(&self, code: &'static str) -> Phrase {
        Phrase::of(code).with_text("site", &self.site_name)
    }

    fn with_email(&self, code: &'static str) -> Phrase {
        Phrase::of(code).with_text("email", &self.email)
    }

    /// The page that asks, with what was wrong before if something was.
    fn asks(&self, wrong: Option<Phrase>) -> LinkPage {
        let stage = match wrong {
            None => Stage::Asks,
            Some(_) => Stage::AsksAgain,
        };
        let mut sentences: Vec<Phrase> = wrong.into_iter().collect();
        sentences.push(self.about("page-invitation").with_text("name", &self.name));
        let fields = if self.has_account {
            sentences.push(self.with_email("page-invitation-account"));
            Vec::new()
        } else {
            sentences.push(self.with_email("page-invitation-password"));
            if !sentences.contains(&length()) {
                sentences.push(length());
            }
            sentences.push(Phrase::of("page-invitation-no-password"));
            fields()
        };
        let button = Phrase::of("page-invitation-button");
        self.page(stage, sentences, Some(Form { fields, button }))
    }

    fn joined(&self, has_password: bool) -> LinkPage {
        let how = if self.has_account {
            "page-joined-account"
        } else if has_password {
            "page-joined-password"
        } else {
            "page-joined-links"
        };
        let mut sentences = vec![
            self.about("page-joined"),
            self.with_email(how),
            Phrase::of("page-joined-letters"),
        ];
        if !self.keepers.is_empty() {
            let names = Value::OneOf(self.keepers.clone());
            sentences.push(Phrase::of("page-joined-ask").with("names", names));
        }
        sentences.push(Phrase::of("page-joined-hands"));
        self.page(Stage::Done, sentences, None)
    }

    fn is_there_already(&self) -> LinkPage {
        let sentences = vec![self.about("page-invitation-there")];
        self.page(Stage::Over, sentences, None)
    }
}

/// Whoever was invited, while the link works.
async fn invited(desk: &Desk, token: &str) -> Result<Option<Invited>, DeskError> {
    let links = &desk.credentials().links;
    let Some(link) = links.verify(LinkFor::Invitation, token) else {
        return Ok(None);
    };
    desk.store()
        .read("look at an invitation", link, |conn, link| {
            at_link(conn, *link).boxed()
        })
        .await
}

async fn at_link(conn: &mut Conn, link: Uuid) -> Result<Option<Invited>, DeskError> {
    let row = invitations::by_link(conn, link).await?;
    let Some(row) = row.filter(|row| row.is_open_at(clock::wall())) else {
        return Ok(None);
    };
    let (site, member) = (SiteId(row.site_id), MemberId(row.member_id));
    let person = members::person(conn, site, member).await?;
    let Some(person) = person.filter(|person| person.member.account_id.is_none()) else {
        return Ok(None);
    };
    let named = person.name.map(|name| (name.name, name.email_lower));
    let Some((name, Some(email))) = named else {
        return Ok(None);
    };
    let words = words(conn, site).await?;
    Ok(Some(Invited {
        speech: words.speech_of_member(person.member.language.as_deref())?,
        site_name: words.site.name,
        has_account: accounts::by_email(conn, &email).await?.is_some(),
        keepers: keepers(conn, site, member).await?,
        name,
        email,
    }))
}

/// What those are called who look after a site, but for one.
async fn keepers(conn: &mut Conn, site: SiteId, but: MemberId) -> Result<Vec<String>, DeskError> {
    let which = Which::InRoles(KEEPERS.to_vec(), but);
    let people = members::people(conn, site, which, None, MOST_READ).await?;
    let others = people
        .into_iter()
        .filter(|person| person.member.id != but.0)
        // Who has no account yet answers no question.
        .filter(|person| person.member.account_id.is_some());
    Ok(others
        .filter_map(|person| person.name.map(|name| name.name))
        .take(MOST_NAMED)
        .collect())
}
