//! What a mail server's answer, or the lack of one, means for a letter (RFC 5321, section
//! 4.2.1; RFC 3463 for what stands behind the code).

use lettre::transport::smtp::Error;
use std::error::Error as _;
use std::io;
use wormrota_domain::letters::{Reason, Tried};

/// How far a letter had come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// Connecting, and the greetings.
    Greeting,
    /// Going over to TLS.
    Securing,
    /// User and password.
    SigningIn,
    /// From whom.
    Sender,
    /// To whom.
    Receiver,
    /// The letter itself.
    Content,
}

/// Why a letter was not handed over: what that means, and the code to log. What the server
/// wrote beside its code may hold an address, and stays here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fault {
    pub(super) tried: Tried,
    pub(super) code: Option<u16>,
}

impl From<Reason> for Fault {
    fn from(reason: Reason) -> Self {
        Self {
            tried: Tried::Failed(reason),
            code: None,
        }
    }
}

impl Fault {
    /// No answer in time. A server that does not even greet is none.
    pub(super) fn late(step: Step) -> Self {
        match step {
            Step::Greeting => Reason::Unreachable.into(),
            _ => Reason::TimedOut.into(),
        }
    }

    /// The meaning of an error.
    pub(super) fn at(step: Step, error: &Error) -> Self {
        if error.is_timeout() {
            return Self::late(step);
        }
        let Some(code) = error.status().map(u16::from) else {
            return unanswered(step, error).into();
        };
        let text = error.source().map(ToString::to_string).unwrap_or_default();
        let tried = if error.is_permanent() {
            no(step, code, subject(&text))
        } else if step == Step::Greeting {
            Tried::Failed(Reason::TurnedAway)
        } else {
            Tried::Failed(Reason::PutOff)
        };
        Self {
            tried,
            code: Some(code),
        }
    }
}

fn unanswered(step: Step, error: &Error) -> Reason {
    if error.is_response() {
        return match step {
            Step::Greeting => Reason::TurnedAway,
            _ => Reason::BadAnswer,
        };
    }
    match step {
        Step::Securing => Reason::TlsFailed,
        Step::Greeting if is_about_tls(error) => Reason::TlsFailed,
        Step::Greeting => Reason::Unreachable,
        // No way of signing in that both know.
        Step::SigningIn if error.is_client() => Reason::SignInRefused,
        _ => Reason::ConnectionLost,
    }
}

/// How `rustls` reports what it does not like about the other side.
fn is_about_tls(error: &Error) -> bool {
    let mut source = error.source();
    while let Some(error) = source {
        let error_of_io = error.downcast_ref::<io::Error>();
        if error_of_io.is_some_and(|error| error.kind() == io::ErrorKind::InvalidData) {
            return true;
        }
        source = error.source();
    }
    false
}

/// The meaning of a permanent no.
fn no(step: Step, code: u16, subject: Option<u8>) -> Tried {
    match (step, code) {
        // RFC 4954, section 6: whoever asks for user and password means us, not the letter.
        (_, 530 | 534 | 535 | 538) | (Step::SigningIn, _) => Tried::Failed(Reason::SignInRefused),
        (Step::Greeting, _) => Tried::Failed(Reason::TurnedAway),
        (Step::Securing, _) => Tried::Failed(Reason::NoTls),
        (Step::Sender, _) => Tried::Failed(Reason::SenderRefused),
        // RFC 5321, section 4.5.3.1.10: to be taken as 452.
        (Step::Receiver, 552) => Tried::Failed(Reason::PutOff),
        // RFC 5321, section 4.2.2: commands out of order.
        (_, 503) => Tried::Failed(Reason::BadAnswer),
        (Step::Receiver | Step::Content, _) => Tried::Refused(match (step, subject) {
            (_, Some(SUBJECT_POLICY)) => Reason::PolicyRefused,
            (_, Some(SUBJECT_ADDRESS)) | (Step::Receiver, _) => Reason::AddressRefused,
            _ => Reason::MessageRefused,
        }),
    }
}

/// RFC 3463, section 3.2.
const SUBJECT_ADDRESS: u8 = 1;
/// RFC 3463, section 3.8.
const SUBJECT_POLICY: u8 = 7;

/// The second number of an enhanced code such as `5.1.1` at the beginning of a text.
fn subject(text: &str) -> Option<u8> {
    let mut numbers = text.split_whitespace().next()?.split('.');
    let (class, subject, detail) = (numbers.next()?, numbers.next()?, numbers.next()?);
    let is_code = class == "5" && numbers.next().is_none();
    let detail: Result<u16, _> = detail.parse();
    if is_code && detail.is_ok() {
        subject.parse().ok()
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects people from being taken for gone because a mail server does not like us.
    #[test]
    fn only_a_no_about_the_address_is_one() {
        let failed = Tried::Failed;
        let refused = Tried::Refused;
        for (step, code, text, meaning) in [
            (
                Step::Receiver,
                550,
                "no such user",
                refused(Reason::AddressRefused),
            ),
            (
                Step::Receiver,
                550,
                "5.1.1 unknown",
                refused(Reason::AddressRefused),
            ),
            (
                Step::Receiver,
                550,
                "5.7.1 no relaying",
                refused(Reason::PolicyRefused),
            ),
            (Step::Receiver, 552, "5.2.2 full", failed(Reason::PutOff)),
            (
                Step::Receiver,
                530,
                "5.7.0 sign in first",
                failed(Reason::SignInRefused),
            ),
            (
                Step::Receiver,
                503,
                "out of order",
                failed(Reason::BadAnswer),
            ),
            (
                Step::Sender,
                550,
                "5.7.1 not you",
                failed(Reason::SenderRefused),
            ),
            (Step::Content, 554, "no", refused(Reason::MessageRefused)),
            (
                Step::Content,
                554,
                "5.7.1 spam",
                refused(Reason::PolicyRefused),
            ),
            (
                Step::Content,
                550,
                "5.1.1 unknown",
                refused(Reason::AddressRefused),
            ),
            (
                Step::SigningIn,
                535,
                "5.7.8 wrong",
                failed(Reason::SignInRefused),
            ),
            (Step::Greeting, 554, "go away", failed(Reason::TurnedAway)),
            (Step::Securing, 502, "what?", failed(Reason::NoTls)),
        ] {
            assert_eq!(no(step, code, subject(text)), meaning, "{code} {text}");
        }
    }

    /// Protects the one above from codes that are none.
    #[test]
    fn a_subject_is_only_read_out_of_an_enhanced_code() {
        assert_eq!(subject("5.7.26 no"), Some(7));
        for none in ["", "5.7", "5.7.1.1 no", "4.7.1 later", "5.x.1", "10.7.1.5"] {
            assert_eq!(subject(none), None, "{none}");
        }
    }
}
