//! A letter of the folder, read back for whoever tries the demo.

use mail_parser::{Addr, Message, MessageParser, MimeHeaders};

/// What a reader sees of a letter. Its `Debug` output holds nothing of it.
pub struct Opened {
    /// Whom it goes to.
    pub to: String,
    /// What stands above it.
    pub subject: String,
    /// The part without markup.
    pub text: String,
    /// The part with markup, if it has one.
    pub html: Option<String>,
    /// What comes with it that is text, by its name.
    pub attached: Vec<(String, String)>,
}

impl std::fmt::Debug for Opened {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Opened(hidden)")
    }
}

impl Opened {
    /// None when it is no letter.
    pub(super) fn read(message: &[u8]) -> Option<Self> {
        let message = MessageParser::default().parse(message)?;
        Some(Self {
            to: message
                .to()?
                .iter()
                .map(whom)
                .collect::<Vec<_>>()
                .join(", "),
            subject: message.subject()?.to_owned(),
            text: message.body_text(0)?.trim_end().to_owned(),
            html: (message.html_body_count() > 0)
                .then(|| message.body_html(0))
                .flatten()
                .map(|html| html.trim_end().to_owned()),
            attached: attached(&message),
        })
    }
}

fn whom(one: &Addr<'_>) -> String {
    let address = one.address().unwrap_or_default();
    match one.name() {
        Some(name) => format!("{name} <{address}>"),
        None => address.to_owned(),
    }
}

fn attached(message: &Message<'_>) -> Vec<(String, String)> {
    let named = message.attachments().filter_map(|part| {
        let text = String::from_utf8(part.contents().to_vec()).ok()?;
        Some((part.attachment_name()?.to_owned(), text))
    });
    named.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects whoever tries the demo from letters that look broken.
    #[test]
    fn parts_within_parts_encoded_words_and_what_is_attached_are_read_back() {
        let letter = "To: =?utf-8?b?QmVnb8OxYQ==?= =?utf-8?b?IE7DusOxZXo=?=\r\n \
            <begona@elm.example>\r\nSubject: Your\r\n turns\r\n\
            Content-Type: multipart/mixed; boundary=\"a\"\r\n\r\n--a\r\n\
            Content-Type: multipart/alternative;\r\n boundary=\"a-b\"\r\n\r\n--a-b\r\n\
            Content-Type: text/plain; charset=utf-8\r\n\r\nHello.\r\n\r\nBye.\r\n\r\n--a-b\r\n\
            Content-Type: text/html; charset=utf-8\r\n\r\n<p>Hello.</p>\r\n--a-b\r\n\
            Content-Type: text/calendar; charset=utf-8; method=REQUEST\r\n\r\n\
            BEGIN:VCALENDAR\r\n--a-b--\r\n--a\r\n\
            Content-Type: text/calendar\r\n\
            Content-Disposition: attachment; filename=\"turn.ics\"\r\n\
            Content-Transfer-Encoding: base64\r\n\r\nQkVHSU46VkNBTEVOREFSDQo=\r\n--a--\r\n";
        let opened = Opened::read(letter.as_bytes()).unwrap();
        assert_eq!(opened.to, "Begoña Núñez <begona@elm.example>");
        assert_eq!(opened.subject, "Your turns");
        assert_eq!(opened.text, "Hello.\r\n\r\nBye.");
        assert_eq!(opened.html.as_deref(), Some("<p>Hello.</p>"));
        let turn = ("turn.ics".to_owned(), "BEGIN:VCALENDAR\r\n".to_owned());
        assert_eq!(opened.attached, [turn]);
        assert!(Opened::read(b"nothing").is_none());
    }
}
