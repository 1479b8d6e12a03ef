//! Letters that a domain answers for (DKIM, RFC 6376).

use crate::mail_peer::MailPeer;
use crate::post_office::{PostOffice, to_peer};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

/// The private key of RFC 8463, appendix A.2.
const KEY: &str = "nWGxne/9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A=";

async fn signed(peer: &MailPeer) -> PostOffice {
    PostOffice::with(|letters| {
        to_peer(letters, peer.port);
        "Worm bins <bins@mail.example.org>".clone_into(&mut letters.from);
        "example.org".clone_into(&mut letters.dkim.domain);
        "2026a".clone_into(&mut letters.dkim.selector);
        letters.dkim.key = Some(KEY.to_owned().into());
    })
    .await
}

/// A tag of a signature (RFC 6376, section 3.2).
fn tag<'a>(signature: &'a str, name: &str) -> &'a str {
    let mut tags = signature.split(';').map(str::trim);
    tags.find_map(|tag| tag.strip_prefix(name)?.strip_prefix('='))
        .unwrap()
}

/// RFC 6376, section 3.4.4.
fn relaxed(body: &str) -> String {
    let line = |line: &str| {
        let indent = if line.starts_with([' ', '\t']) {
            " "
        } else {
            ""
        };
        let words: Vec<&str> = line
            .split([' ', '\t'])
            .filter(|word| !word.is_empty())
            .collect();
        if words.is_empty() {
            String::new()
        } else {
            format!("{indent}{}", words.join(" "))
        }
    };
    let lines: Vec<String> = body.split("\r\n").map(line).collect();
    lines.join("\r\n").trim_end_matches("\r\n").to_owned() + "\r\n"
}

/// Protects letters from being taken for somebody else's, and what is said in them, and where
/// it is answered or ended, from being changed on the way.
#[tokio::test]
async fn a_signature_covers_what_a_reader_goes_by() {
    let peer = MailPeer::start().await;
    let office = signed(&peer).await;
    let (_, _, letters) = office.invite(&["bo"]).await;
    assert_eq!(office.send().await, 1);
    let message = peer.received().remove(0).message;
    let (head, body) = message.split_once("\r\n\r\n").unwrap();
    let head = head.replace("\r\n ", " ");
    let signatures: Vec<&str> = head
        .split("\r\n")
        .filter_map(|line| line.strip_prefix("DKIM-Signature: "))
        .collect();
    assert_eq!(signatures.len(), 1, "{head}");
    let signature = signatures[0];
    for (name, value) in [
        ("v", "1"),
        ("a", "ed25519-sha256"),
        ("c", "relaxed/relaxed"),
        ("d", "example.org"),
        ("s", "2026a"),
    ] {
        assert_eq!(tag(signature, name), value, "{name}");
    }
    let covered: Vec<&str> = tag(signature, "h").split(':').collect();
    for name in [
        "to",
        "subject",
        "date",
        "message-id",
        "mime-version",
        "content-type",
        "list-unsubscribe",
        "list-unsubscribe-post",
    ] {
        assert!(covered.contains(&name), "{name}: {covered:?}");
    }
    let senders = covered.iter().filter(|name| **name == "from");
    assert_eq!(
        senders.count(),
        2,
        "a second From could be put before the first"
    );
    // What the library writes with the parts, below the signature, it does not sign.
    let kind = head.find("\r\nContent-Type: ").unwrap();
    assert!(kind < head.find("\r\nDKIM-Signature: ").unwrap(), "{head}");
    let hash = STANDARD.encode(Sha256::digest(relaxed(body)));
    assert_eq!(tag(signature, "bh"), hash);
    assert_eq!(STANDARD.decode(tag(signature, "b")).unwrap().len(), 64);
    assert!(head.contains(&format!("Message-ID: <{}@mail.example.org>", letters[0])));
}

/// Protects whoever passes letters on by hand from signatures that nobody needs.
#[tokio::test]
async fn a_letter_without_a_domain_that_answers_for_it_is_not_signed() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    office.invite(&["bo"]).await;
    assert_eq!(office.send().await, 1);
    assert!(!peer.received()[0].message.contains("DKIM-Signature"));
}
