//! A page behind a link, before it is words.

use std::collections::BTreeMap;
use wormrota_domain::living_bin::aftermath::Aftermath;
use wormrota_domain::phrase::Phrase;
use wormrota_domain::speech::SpeechOf;

/// What was typed or chosen on a page, by the names of its fields.
pub type Typed = BTreeMap<String, String>;

/// Where somebody is with a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// The page asks; nothing has happened.
    Asks,
    /// It asks again, since what was typed cannot be used; nothing has happened.
    AsksAgain,
    /// It is done, now or before.
    Done,
    /// There is no such link, or it is over.
    Over,
}

/// A page behind a link.
#[derive(Debug, Clone, PartialEq)]
pub struct LinkPage {
    /// Where the reader is.
    pub stage: Stage,
    /// How they want things said; unknown where the link is.
    pub speech: Option<SpeechOf>,
    /// What the page is about, in a few words.
    pub title: Phrase,
    /// What stands on it, a sentence each.
    pub sentences: Vec<Phrase>,
    /// What a feeding that was told here means for its bin.
    pub aftermath: Option<Aftermath>,
    /// What can be done on it.
    pub form: Option<Form>,
}

/// A button with what it needs to know.
#[derive(Debug, Clone, PartialEq)]
pub struct Form {
    /// What is typed or chosen before.
    pub fields: Vec<Field>,
    /// What the button is called.
    pub button: Phrase,
}

/// Something to be typed or chosen.
#[derive(Debug, Clone, PartialEq)]
pub enum Field {
    /// One of several values, of which the first is chosen unless another is.
    Choice {
        /// The name that it is sent under.
        name: &'static str,
        /// What it is called.
        label: Phrase,
        /// Values, each with what it is called.
        values: Vec<(String, Phrase)>,
    },
    /// A password that is chosen, and that nobody sees.
    NewPassword {
        /// The name that it is sent under.
        name: &'static str,
        /// What it is called.
        label: Phrase,
    },
}

impl LinkPage {
    /// The page of a link that does nothing: it never did, or does not any more. Which of them
    /// is told to nobody.
    #[must_use]
    pub fn unknown() -> Self {
        Self {
            stage: Stage::Over,
            speech: None,
            title: Phrase::of("page-over-title"),
            sentences: vec![Phrase::of("page-over"), Phrase::of("page-over-how")],
            aftermath: None,
            form: None,
        }
    }
}
