//! From which network address a request came.

use crate::settings::Networks;
use actix_web::HttpRequest;
use std::net::{IpAddr, Ipv4Addr};

/// The address of whoever asks. What a proxy says of it is believed as long as the proxy is
/// one of the trusted: from the end of X-Forwarded-For, the first address that is none.
pub(super) fn address_of(request: &HttpRequest, trusted: &Networks) -> IpAddr {
    let nowhere = IpAddr::V4(Ipv4Addr::UNSPECIFIED);
    let peer = request.peer_addr().map_or(nowhere, |peer| peer.ip());
    let said: Vec<&str> = request
        .headers()
        .get_all("X-Forwarded-For")
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .collect();
    client(peer, &said, trusted)
}

fn client(peer: IpAddr, said: &[&str], trusted: &Networks) -> IpAddr {
    let mut address = peer;
    for said in said.iter().rev() {
        if !trusted.contains(address) {
            break;
        }
        match said.trim().parse() {
            Ok(before) => address = before,
            Err(_) => break,
        }
    }
    address
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Settings;

    #[test]
    fn only_trusted_proxies_are_believed() {
        let env = [
            ("WORMROTA__DATA_FOLDER", "/nonexistent"),
            ("WORMROTA__SERVER__TRUSTED_PROXIES", "10.0.0.0/8"),
        ];
        let env = env.map(|(key, value)| (key.to_owned(), value.to_owned()));
        let trusted = Settings::load(&env.into()).unwrap().server.trusted_proxies;
        for (peer, said, expected) in [
            ("192.0.2.1", &["203.0.113.9"][..], "192.0.2.1"),
            ("10.0.0.1", &["203.0.113.9"], "203.0.113.9"),
            ("10.0.0.1", &["6.6.6.6", " 203.0.113.9"], "203.0.113.9"),
            ("10.0.0.1", &["203.0.113.9", "10.1.1.1"], "203.0.113.9"),
            ("10.0.0.1", &["unknown"], "10.0.0.1"),
            ("10.0.0.1", &[], "10.0.0.1"),
        ] {
            let found = client(peer.parse().unwrap(), said, &trusted);
            assert_eq!(
                found,
                expected.parse::<IpAddr>().unwrap(),
                "{peer} {said:?}"
            );
        }
    }
}
