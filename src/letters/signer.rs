//! Signing letters in the name of a domain (DKIM, RFC 6376), so that mailboxes know that nobody
//! else wrote them or changed them on the way.

use crate::settings::{Dkim, SettingsError};
use lettre::message::dkim::{
    DkimCanonicalization, DkimCanonicalizationType, DkimConfig, dkim_sign,
};
use lettre::message::header::{ContentTransferEncoding, ContentType, HeaderName, MIME_VERSION_1_0};
use lettre::message::{Body, Message, MessageBuilder, MultiPart};
use std::error::Error;
use std::sync::Arc;

/// What a signature covers, whether a letter has it or not: nobody can then add on the way what
/// it lacks, nor, of what is named twice here, a second one (RFC 6376, sections 5.4.2 and 8.15).
/// RFC 8058, section 4, asks for those about unsubscribing.
const COVERED: [&str; 12] = [
    "From",
    "From",
    "To",
    "Subject",
    "Date",
    "Message-ID",
    "MIME-Version",
    "Content-Type",
    "Auto-Submitted",
    "Reply-To",
    "List-Unsubscribe",
    "List-Unsubscribe-Post",
];

/// Signs with the key of the settings. Its `Debug` output holds no key.
#[derive(Clone)]
pub(super) struct Signer(Arc<DkimConfig>);

impl std::fmt::Debug for Signer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Signer(hidden)")
    }
}

impl Signer {
    /// None where no domain is named.
    pub(super) fn of(settings: &Dkim) -> Result<Option<Self>, SettingsError> {
        let Some(key) = settings.key.as_ref().filter(|_| settings.is_named()) else {
            return Ok(None);
        };
        // Relaxed, since mail servers fold lines anew and turn names about.
        let relaxed = DkimCanonicalization {
            header: DkimCanonicalizationType::Relaxed,
            body: DkimCanonicalizationType::Relaxed,
        };
        Ok(Some(Self(Arc::new(DkimConfig::new(
            settings.selector.clone(),
            settings.domain.clone(),
            key.ready()?,
            COVERED.map(HeaderName::new_from_ascii_str).to_vec(),
            relaxed,
        )))))
    }

    /// The message with its signature, which holds the machine's time.
    ///
    /// `lettre` signs what stands in the head, but has the type of parts stand with the parts. So
    /// they are written first, and their type goes into the head by itself.
    pub(super) fn signed(
        &self,
        head: MessageBuilder,
        parts: &MultiPart,
    ) -> Result<Message, Box<dyn Error + Send + Sync>> {
        let kind: ContentType = parts.headers().get().ok_or("parts have no type")?;
        let written = parts.formatted();
        let end = written.windows(4).position(|four| four == b"\r\n\r\n");
        let body = written[end.ok_or("parts have no head")? + 4..].to_vec();
        let body = Body::dangerous_pre_encoded(body, ContentTransferEncoding::SevenBit);
        let mut message = head.header(MIME_VERSION_1_0).header(kind).body(body)?;
        dkim_sign(&mut message, &self.0);
        Ok(message)
    }
}
