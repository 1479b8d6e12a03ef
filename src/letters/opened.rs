//! A letter of the folder, read back for whoever tries the demo. It reads what
//! [`compose`](super::compose) writes there: parts within parts (RFC 2046), eight bits, and
//! words in base64 in its head (RFC 2047).

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

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
}

impl std::fmt::Debug for Opened {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Opened(hidden)")
    }
}

impl Opened {
    /// None when it is no letter.
    pub(super) fn read(message: &str) -> Option<Self> {
        let mut parts = Vec::new();
        collect(message, &mut parts);
        let part = |kind: &str| {
            let found = parts.iter().find(|(is, _)| is.starts_with(kind));
            found.map(|(_, body)| body.trim_end().to_owned())
        };
        let (head, _) = message.split_once("\r\n\r\n")?;
        Some(Self {
            to: decoded(&field(head, "To")?),
            subject: decoded(&field(head, "Subject")?),
            text: part("text/plain")?,
            html: part("text/html"),
        })
    }
}

/// Every part that has no parts itself, with its type.
fn collect(entity: &str, found: &mut Vec<(String, String)>) {
    let Some((head, body)) = entity.split_once("\r\n\r\n") else {
        return;
    };
    let kind = field(head, "Content-Type").unwrap_or_default();
    let Some((_, boundary)) = kind.split_once("boundary=") else {
        found.push((kind, body.to_owned()));
        return;
    };
    let boundary = boundary.split(';').next().unwrap_or_default();
    let between = format!("--{}", boundary.trim().trim_matches('"'));
    let after = format!("{between}--");
    // Before the first boundary stands nothing that is shown.
    let mut part: Option<String> = None;
    for line in body.split_inclusive("\r\n") {
        let is_last = line.trim_end() == after;
        if is_last || line.trim_end() == between {
            if let Some(part) = part.replace(String::new()) {
                collect(&part, found);
            }
            if is_last {
                return;
            }
        } else if let Some(part) = &mut part {
            part.push_str(line);
        }
    }
}

/// A field of a head, on one line.
fn field(head: &str, name: &str) -> Option<String> {
    let mut lines = head.split("\r\n").skip_while(|line| {
        let (is, _) = line.split_once(':').unwrap_or_default();
        !is.eq_ignore_ascii_case(name)
    });
    let (_, first) = lines.next()?.split_once(':')?;
    let folded = lines.take_while(|line| line.starts_with([' ', '\t']));
    let words = std::iter::once(first).chain(folded).map(str::trim);
    Some(words.collect::<Vec<_>>().join(" "))
}

/// Words as they are meant. Between two that were encoded no space is meant.
fn decoded(value: &str) -> String {
    let mut said = String::new();
    let mut was_encoded = false;
    for (n, word) in value.split(' ').enumerate() {
        let meant = encoded(word);
        if n > 0 && !(was_encoded && meant.is_some()) {
            said.push(' ');
        }
        was_encoded = meant.is_some();
        said.push_str(meant.as_deref().unwrap_or(word));
    }
    said
}

fn encoded(word: &str) -> Option<String> {
    let inner = word.strip_prefix("=?utf-8?b?")?.strip_suffix("?=")?;
    String::from_utf8(STANDARD.decode(inner).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Protects whoever tries the demo from letters that look broken.
    #[test]
    fn parts_within_parts_and_encoded_words_are_read_back() {
        let letter = "To: =?utf-8?b?QmVnb8OxYQ==?= =?utf-8?b?IE7DusOxZXo=?=\r\n \
            <begona@elm.example>\r\nSubject: Your\r\n turns\r\n\
            Content-Type: multipart/mixed; boundary=\"a\"\r\n\r\n--a\r\n\
            Content-Type: multipart/alternative;\r\n boundary=\"a-b\"\r\n\r\n--a-b\r\n\
            Content-Type: text/plain; charset=utf-8\r\n\r\nHello.\r\n\r\nBye.\r\n\r\n--a-b\r\n\
            Content-Type: text/html; charset=utf-8\r\n\r\n<p>Hello.</p>\r\n--a-b--\r\n--a\r\n\
            Content-Type: text/calendar\r\n\r\nBEGIN:VCALENDAR\r\n--a--\r\n";
        let opened = Opened::read(letter).unwrap();
        assert_eq!(opened.to, "Begoña Núñez <begona@elm.example>");
        assert_eq!(opened.subject, "Your turns");
        assert_eq!(opened.text, "Hello.\r\n\r\nBye.");
        assert_eq!(opened.html.as_deref(), Some("<p>Hello.</p>"));
        assert!(Opened::read("nothing").is_none());
    }
}
