//! Access tokens: JSON Web Tokens (RFC 7519) signed with HMAC-SHA-256, good for minutes.
//!
//! A token says only which account signed in and in which session. Whether the session goes
//! on, and what the account may do, is read from the database on each request.

use crate::desk::DeskError;
use crate::settings::{SignIn, SigningKey, SigningKeys};
use chrono::{DateTime, TimeDelta, Utc};
use jsonwebtoken::{
    Algorithm, DecodingKey, EncodingKey, Header, Validation, decode, decode_header, encode,
};
use serde::{Deserialize, Serialize};
use std::fmt;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, SessionId};

const ISSUER: &str = "wormrota";
const AUDIENCE: &str = "wormrota-api";
/// A token longer than this was not made here.
const LONGEST: usize = 1_024;

/// A signed token with the instant at which it expires. Its `Debug` output hides it.
pub struct AccessToken {
    /// What the client sends back.
    pub text: String,
    /// When it stops being good.
    pub expires_at: DateTime<Utc>,
}

impl fmt::Debug for AccessToken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "AccessToken(hidden, until {})", self.expires_at)
    }
}

/// Why a token is not taken. Which of the checks failed is nobody's business, except that
/// a client should know when it merely has to sign in again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TokenRefused {
    /// Not made here, not meant for us, or changed on the way.
    #[error("not a token of this service")]
    Invalid,
    /// Was good once.
    #[error("expired")]
    Expired,
}

#[derive(Debug, Serialize, Deserialize)]
struct Claims {
    iss: String,
    aud: String,
    sub: Uuid,
    sid: Uuid,
    iat: i64,
    exp: i64,
}

/// Whom a token was made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bearer {
    /// The account.
    pub account: AccountId,
    /// The session.
    pub session: SessionId,
}

/// Signs and checks access tokens.
pub struct Tokens {
    signing: EncodingKey,
    header: Header,
    verifying: Vec<(String, DecodingKey)>,
    validation: Validation,
    lifetime: TimeDelta,
}

impl fmt::Debug for Tokens {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Tokens")
    }
}

impl Tokens {
    /// Signs with the first key and takes tokens of all of them.
    #[must_use]
    pub fn new(settings: &SignIn, keys: &SigningKeys) -> Self {
        // The algorithm is fixed here; what a token's header says is only compared with it.
        let mut validation = Validation::new(Algorithm::HS256);
        validation.set_issuer(&[ISSUER]);
        validation.set_audience(&[AUDIENCE]);
        validation.set_required_spec_claims(&["exp", "iss", "aud", "sub"]);
        // The expiry is checked below against the time that is passed in.
        validation.validate_exp = false;
        let mut header = Header::new(Algorithm::HS256);
        header.kid = Some(keys.first.kid.clone());
        Self {
            signing: EncodingKey::from_secret(&keys.first.secret),
            header,
            verifying: keys
                .all()
                .map(|SigningKey { kid, secret }| (kid.clone(), DecodingKey::from_secret(secret)))
                .collect(),
            validation,
            lifetime: TimeDelta::minutes(i64::from(settings.access_token_minutes)),
        }
    }

    /// Makes a token for a session of an account. `wall` is the machine's time.
    ///
    /// # Errors
    /// [`DeskError::Broken`] when signing fails.
    pub fn issue(&self, bearer: Bearer, wall: DateTime<Utc>) -> Result<AccessToken, DeskError> {
        let expires_at = wall + self.lifetime;
        let claims = Claims {
            iss: ISSUER.to_owned(),
            aud: AUDIENCE.to_owned(),
            sub: bearer.account.0,
            sid: bearer.session.0,
            iat: wall.timestamp(),
            exp: expires_at.timestamp(),
        };
        encode(&self.header, &claims, &self.signing)
            .map(|text| AccessToken { text, expires_at })
            .map_err(|error| DeskError::broken(format!("signing a token: {error}")))
    }

    /// Whom a token was made for. `wall` is the machine's time.
    ///
    /// # Errors
    /// [`TokenRefused`].
    pub fn verify(&self, text: &str, wall: DateTime<Utc>) -> Result<Bearer, TokenRefused> {
        if text.len() > LONGEST {
            return Err(TokenRefused::Invalid);
        }
        let header = decode_header(text).map_err(|_| TokenRefused::Invalid)?;
        let kid = header.kid.ok_or(TokenRefused::Invalid)?;
        let (_, key) = self
            .verifying
            .iter()
            .find(|(known, _)| *known == kid)
            .ok_or(TokenRefused::Invalid)?;
        let claims = decode::<Claims>(text, key, &self.validation)
            .map_err(|_| TokenRefused::Invalid)?
            .claims;
        if claims.exp <= wall.timestamp() {
            return Err(TokenRefused::Expired);
        }
        Ok(Bearer {
            account: AccountId(claims.sub),
            session: SessionId(claims.sid),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use base64::Engine;
    use base64::engine::general_purpose::URL_SAFE_NO_PAD;

    fn key(kid: &str, byte: u8) -> SigningKey {
        SigningKey {
            kid: kid.to_owned(),
            secret: vec![byte; 32],
        }
    }

    fn tokens(first: SigningKey, older: Vec<SigningKey>) -> Tokens {
        let settings = crate::desk::credentials::test_settings();
        Tokens::new(&settings, &SigningKeys { first, older })
    }

    fn noon() -> DateTime<Utc> {
        "2026-11-25T12:00:00Z".parse().unwrap()
    }

    fn bearer() -> Bearer {
        Bearer {
            account: AccountId(Uuid::from_u128(7)),
            session: SessionId(Uuid::from_u128(8)),
        }
    }

    fn signed(header: &Header, claims: &serde_json::Value, byte: u8) -> String {
        encode(header, claims, &EncodingKey::from_secret(&[byte; 32])).unwrap()
    }

    fn claims() -> serde_json::Value {
        serde_json::json!({
            "iss": ISSUER, "aud": AUDIENCE, "sub": bearer().account.0, "sid": bearer().session.0,
            "iat": noon().timestamp(), "exp": noon().timestamp() + 900,
        })
    }

    fn header() -> Header {
        let mut header = Header::new(Algorithm::HS256);
        header.kid = Some("a".to_owned());
        header
    }

    #[test]
    fn a_token_is_good_for_its_minutes_and_no_longer() {
        let tokens = tokens(key("a", 1), vec![]);
        let token = tokens.issue(bearer(), noon()).unwrap();
        assert_eq!(token.expires_at, noon() + TimeDelta::minutes(15));
        let last_second = token.expires_at - TimeDelta::seconds(1);
        assert_eq!(tokens.verify(&token.text, last_second), Ok(bearer()));
        assert_eq!(
            tokens.verify(&token.text, token.expires_at),
            Err(TokenRefused::Expired)
        );
    }

    #[test]
    fn an_old_key_verifies_until_it_is_taken_away() {
        let token = tokens(key("old", 1), vec![])
            .issue(bearer(), noon())
            .unwrap();
        let turned = tokens(key("new", 2), vec![key("old", 1)]);
        assert_eq!(turned.verify(&token.text, noon()), Ok(bearer()));
        let gone = tokens(key("new", 2), vec![]);
        assert_eq!(gone.verify(&token.text, noon()), Err(TokenRefused::Invalid));
    }

    #[test]
    fn a_key_is_not_taken_under_the_name_of_another() {
        let tokens = tokens(key("a", 1), vec![key("b", 2)]);
        let text = signed(&header(), &claims(), 2);
        assert_eq!(tokens.verify(&text, noon()), Err(TokenRefused::Invalid));
        assert_eq!(
            tokens.verify(&signed(&header(), &claims(), 1), noon()),
            Ok(bearer())
        );
    }

    #[test]
    fn other_algorithms_are_refused_whatever_the_header_says() {
        let tokens = tokens(key("a", 1), vec![]);
        let mut other = header();
        other.alg = Algorithm::HS512;
        let text = signed(&other, &claims(), 1);
        assert_eq!(tokens.verify(&text, noon()), Err(TokenRefused::Invalid));

        let part = |value: &serde_json::Value| URL_SAFE_NO_PAD.encode(value.to_string());
        for alg in ["none", "None", "NONE", "RS256", ""] {
            let head = serde_json::json!({ "alg": alg, "typ": "JWT", "kid": "a" });
            for signature in ["", "AAAA"] {
                let text = format!("{}.{}.{signature}", part(&head), part(&claims()));
                assert_eq!(
                    tokens.verify(&text, noon()),
                    Err(TokenRefused::Invalid),
                    "{alg} {signature}"
                );
            }
        }
    }

    #[test]
    fn tokens_for_others_or_without_their_claims_are_refused() {
        let tokens = tokens(key("a", 1), vec![]);
        for (name, value) in [
            ("iss", Some("somebody-else")),
            ("aud", Some("another-api")),
            ("sub", Some("not-a-uuid")),
            ("iss", None),
            ("aud", None),
            ("sub", None),
            ("sid", Some("not-a-uuid")),
            ("sid", None),
            ("exp", None),
            ("exp", Some("tomorrow")),
        ] {
            let mut claims = claims();
            match value {
                Some(value) => claims[name] = value.into(),
                None => {
                    claims.as_object_mut().unwrap().remove(name);
                }
            }
            let text = signed(&header(), &claims, 1);
            assert_eq!(
                tokens.verify(&text, noon()),
                Err(TokenRefused::Invalid),
                "{name} {value:?}"
            );
        }
    }

    #[test]
    fn a_changed_token_is_refused() {
        let tokens = tokens(key("a", 1), vec![]);
        let text = tokens.issue(bearer(), noon()).unwrap().text;
        for at in 0..text.len() {
            let mut bytes = text.clone().into_bytes();
            bytes[at] = if bytes[at] == b'A' { b'B' } else { b'A' };
            let changed = String::from_utf8(bytes).unwrap();
            // The last character of a base64 part holds bits that mean nothing.
            if tokens.verify(&changed, noon()).is_ok() {
                let decoded = |text: &str| {
                    text.split('.')
                        .map(|part| URL_SAFE_NO_PAD.decode(part).ok())
                        .collect::<Vec<_>>()
                };
                assert_eq!(decoded(&changed), decoded(&text), "byte {at}");
            }
        }
        for nonsense in ["", ".", "..", "a.b.c", &"x".repeat(5_000)] {
            assert_eq!(tokens.verify(nonsense, noon()), Err(TokenRefused::Invalid));
        }
    }

    #[test]
    fn no_token_is_printed() {
        let token = tokens(key("a", 1), vec![]).issue(bearer(), noon()).unwrap();
        assert!(!format!("{token:?}").contains(&token.text));
    }
}
