//! The page behind the link of an invitation: it says to what, takes a password from whoever
//! wants one, and says what comes next. Once the link does nothing any more, it says why.

use super::accept_invitation::{Acceptance, accept_invitation};
use super::account_link_page::another;
use super::ask_for_link::LinkKind;
use super::chosen_password::{chosen, complaint, fields, length};
use super::credentials::LinkFor;
use super::letter_links::{Form, LinkPage, Stage, Typed, whom};
use super::sites::words;
use super::{Desk, DeskError};
use crate::clock;
use crate::store::invitations::{self, InvitationRow};
use crate::store::members::{self, Which};
use crate::store::{Conn, accounts};
use chrono::{DateTime, Utc};
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

/// The site, to somebody at the link.
struct Inviting {
    speech: SpeechOf,
    name: String,
}

impl Inviting {
    fn about(&self, code: &'static str) -> Phrase {
        Phrase::of(code).with_text("site", &self.name)
    }

    fn page(&self, stage: Stage, sentences: Vec<Phrase>) -> LinkPage {
        let title = self.about("page-invitation-title");
        LinkPage::saying(stage, Some(self.speech.clone()), title, sentences)
    }
}

/// Somebody at the link of their invitation.
struct Invited {
    site: Inviting,
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
    Ok(invited.map_or_else(|over| over, |invited| invited.asks(None)))
}

/// Accepts the invitation with what was typed.
///
/// # Errors
/// When the database cannot be reached.
pub async fn act(desk: &Desk, token: &str, typed: &Typed) -> Result<LinkPage, DeskError> {
    let invited = match invited(desk, token).await? {
        Ok(invited) => invited,
        Err(over) => return Ok(over),
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
        // Somebody was quicker: the page says so.
        Err(DeskError::LinkRefused) => look(desk, token).await,
        Err(DeskError::Conflicting(errors)) if errors.iter().any(|one| one.pointer == "/token") => {
            Ok(over(
                &invited.site,
                vec![invited.site.about("page-invitation-there")],
            ))
        }
        Err(error) => Ok(invited.asks(Some(complaint(error)?))),
    }
}

/// Whoever was invited; of a link that does nothing any more the page that says why.
type Found = Result<Invited, LinkPage>;

impl Invited {
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
        let about = self.site.about("page-invitation");
        sentences.push(about.with_text("name", &self.name));
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
        LinkPage {
            form: Some(Form { fields, button }),
            ..self.site.page(stage, sentences)
        }
    }

    fn joined(&self, has_password: bool) -> LinkPage {
        let (how, elsewhere) = if self.has_account {
            ("page-joined-account", None)
        } else if has_password {
            ("page-joined-password", None)
        } else {
            ("page-joined-links", Some(another(LinkKind::SignIn)))
        };
        let mut sentences = vec![
            self.site.about("page-joined"),
            self.with_email(how),
            Phrase::of("page-joined-letters"),
        ];
        if !self.keepers.is_empty() {
            let names = Value::OneOf(self.keepers.clone());
            sentences.push(Phrase::of("page-joined-ask").with("names", names));
        }
        sentences.push(Phrase::of("page-joined-hands"));
        LinkPage {
            elsewhere,
            ..self.site.page(Stage::Done, sentences)
        }
    }
}

/// Who is at the link.
async fn invited(desk: &Desk, token: &str) -> Result<Found, DeskError> {
    let links = &desk.credentials().links;
    let Some(link) = links.verify(LinkFor::Invitation, token) else {
        return Ok(Err(LinkPage::unknown()));
    };
    desk.store()
        .read("look at an invitation", link, |conn, link| {
            at_link(conn, *link).boxed()
        })
        .await
}

async fn at_link(conn: &mut Conn, link: Uuid) -> Result<Found, DeskError> {
    let Some(row) = invitations::by_link(conn, link).await? else {
        return Ok(Err(LinkPage::unknown()));
    };
    let (id, member) = (SiteId(row.site_id), MemberId(row.member_id));
    // Whoever left is told nothing.
    let Some(person) = members::person(conn, id, member).await? else {
        return Ok(Err(LinkPage::unknown()));
    };
    let words = words(conn, id).await?;
    let site = Inviting {
        speech: words.speech_of_member(person.member.language.as_deref())?,
        name: words.site.name,
    };
    if person.member.account_id.is_some() {
        return Ok(Err(over(&site, vec![site.about("page-invitation-there")])));
    }
    if let Some(why) = why_over(&row, clock::wall()) {
        let names = keepers(conn, id, member).await?;
        let ask = Phrase::of("page-invitation-ask").with("whom", whom(names));
        return Ok(Err(over(&site, vec![site.about(why), ask])));
    }
    let named = person.name.map(|name| (name.name, name.email_lower));
    let Some((name, Some(email))) = named else {
        return Ok(Err(LinkPage::unknown()));
    };
    Ok(Ok(Invited {
        site,
        has_account: accounts::by_email(conn, &email).await?.is_some(),
        keepers: keepers(conn, id, member).await?,
        name,
        email,
    }))
}

/// Why an invitation that nobody accepted does nothing any more.
fn why_over(row: &InvitationRow, wall: DateTime<Utc>) -> Option<&'static str> {
    if row.is_open_at(wall) {
        return None;
    }
    Some(match row.revoked_at {
        Some(_) => "page-invitation-taken-back",
        None => "page-invitation-expired",
    })
}

fn over(site: &Inviting, sentences: Vec<Phrase>) -> LinkPage {
    site.page(Stage::Over, sentences)
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
