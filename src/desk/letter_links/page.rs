//! A page behind a link, before it is words.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use wormrota_domain::living_bin::aftermath::Aftermath;
use wormrota_domain::phrase::{Phrase, Value};
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
    /// What is shown this once, to be copied.
    pub shown: Vec<Shown>,
    /// Where else its reader may want to go.
    pub elsewhere: Option<Elsewhere>,
}

/// A secret to be copied. Its `Debug` output hides it.
#[derive(Clone, PartialEq)]
pub struct Shown {
    /// What it is and how long it holds.
    pub label: Phrase,
    /// The secret.
    pub secret: String,
}

impl fmt::Debug for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Shown({})", self.label.code)
    }
}

/// A link to another page of the service.
#[derive(Debug, Clone, PartialEq)]
pub struct Elsewhere {
    /// What it is called.
    pub label: Phrase,
    /// Its path.
    pub path: Cow<'static, str>,
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
    /// An e-mail address.
    Address {
        /// The name that it is sent under.
        name: &'static str,
        /// What it is called.
        label: Phrase,
    },
    /// What the button sends along, unseen.
    Unseen {
        /// The name that it is sent under.
        name: &'static str,
        /// What is sent.
        value: &'static str,
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
        let sentences = vec![Phrase::of("page-over"), Phrase::of("page-over-how")];
        Self::saying(Stage::Over, None, Phrase::of("page-over-title"), sentences)
    }

    /// A page on which sentences stand and nothing else.
    pub(in crate::desk) fn saying(
        stage: Stage,
        speech: Option<SpeechOf>,
        title: Phrase,
        sentences: Vec<Phrase>,
    ) -> Self {
        Self {
            stage,
            speech,
            title,
            sentences,
            aftermath: None,
            form: None,
            shown: Vec::new(),
            elsewhere: None,
        }
    }

    /// The same with a button that needs nothing to be typed before.
    pub(in crate::desk) fn with_button(mut self, code: &'static str) -> Self {
        self.form = Some(Form {
            fields: Vec::new(),
            button: Phrase::of(code),
        });
        self
    }
}

/// Whom to ask, within a sentence: by name, where there are names.
pub(in crate::desk) fn whom(names: Vec<String>) -> Value {
    if names.is_empty() {
        return Value::Phrase(Box::new(Phrase::of("page-whom")));
    }
    Value::List(names)
}
