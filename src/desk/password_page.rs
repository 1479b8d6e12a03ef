//! The page behind the link of a letter that sets a new password.

use super::ask_for_link::LinkKind;
use super::chosen_password::{chosen, complaint, fields, length};
use super::letter_links::{Form, LinkPage, Stage, Typed};
use super::letters::speech_of_account;
use super::reset_password::reset_password;
use super::{Desk, DeskError, my_links};
use futures_util::FutureExt;
use wormrota_domain::ids::AccountId;
use wormrota_domain::phrase::Phrase;
use wormrota_domain::speech::SpeechOf;

/// Somebody at the link.
struct Owner {
    speech: SpeechOf,
    email: String,
}

/// What the link is for, without setting anything.
///
/// # Errors
/// When the database cannot be reached.
pub async fn look(desk: &Desk, token: &str) -> Result<LinkPage, DeskError> {
    let owner = owner(desk, token).await?;
    Ok(owner.map_or_else(LinkPage::unknown, |owner| owner.asks(None)))
}

/// Sets what was typed.
///
/// # Errors
/// When the database cannot be reached.
pub async fn act(desk: &Desk, token: &str, typed: &Typed) -> Result<LinkPage, DeskError> {
    let Some(owner) = owner(desk, token).await? else {
        return Ok(LinkPage::unknown());
    };
    let password = match chosen(typed) {
        Ok(Some(password)) => password,
        Ok(None) => return Ok(owner.asks(Some(length()))),
        Err(differs) => return Ok(owner.asks(Some(differs))),
    };
    match reset_password(desk, token, password).await {
        Ok(()) => Ok(owner.set()),
        Err(DeskError::LinkRefused) => Ok(LinkPage::unknown()),
        Err(error) => Ok(owner.asks(Some(complaint(error)?))),
    }
}

impl Owner {
    fn page(&self, stage: Stage, sentences: Vec<Phrase>, form: Option<Form>) -> LinkPage {
        LinkPage {
            stage,
            speech: Some(self.speech.clone()),
            title: Phrase::of("page-reset-title"),
            sentences,
            aftermath: None,
            form,
        }
    }

    /// The page that asks, with what was wrong before if something was.
    fn asks(&self, wrong: Option<Phrase>) -> LinkPage {
        let stage = match wrong {
            None => Stage::Asks,
            Some(_) => Stage::AsksAgain,
        };
        let about = Phrase::of("page-reset").with_text("email", &self.email);
        let mut sentences: Vec<Phrase> = wrong.into_iter().collect();
        sentences.push(about);
        if !sentences.contains(&length()) {
            sentences.push(length());
        }
        let form = Form {
            fields: fields(),
            button: Phrase::of("page-reset-button"),
        };
        self.page(stage, sentences, Some(form))
    }

    fn set(&self) -> LinkPage {
        let sentences = vec![
            Phrase::of("page-reset-done").with_text("email", &self.email),
            Phrase::of("page-reset-ended"),
        ];
        self.page(Stage::Done, sentences, None)
    }
}

/// Whose link it is, while it works.
async fn owner(desk: &Desk, token: &str) -> Result<Option<Owner>, DeskError> {
    let Ok(link) = my_links::of_token(desk, LinkKind::Reset, token) else {
        return Ok(None);
    };
    let found = desk
        .store()
        .read("look at a link", link, |conn, link| {
            async move {
                let account = my_links::account_of(conn, LinkKind::Reset, *link).await?;
                let email = account.email_lower.ok_or(DeskError::LinkRefused)?;
                let speech = speech_of_account(conn, AccountId(account.id)).await?;
                Ok(Owner { speech, email })
            }
            .boxed()
        })
        .await;
    match found {
        Ok(owner) => Ok(Some(owner)),
        Err(DeskError::LinkRefused) => Ok(None),
        Err(error) => Err(error),
    }
}
