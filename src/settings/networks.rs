//! Networks that are named in the settings, such as those of trusted proxies.

use serde::{Deserialize, Deserializer, de};
use std::net::IpAddr;

/// Some networks. Reads `10.0.0.7, 10.0.0.0/8, fd00::/8`; nothing is no network.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Networks(Vec<(IpAddr, u32)>);

impl Networks {
    /// Whether an address lies in one of them.
    #[must_use]
    pub fn contains(&self, address: IpAddr) -> bool {
        let address = address.to_canonical();
        self.0
            .iter()
            .any(|(network, bits)| match (network, address) {
                (IpAddr::V4(network), IpAddr::V4(address)) => {
                    let differing = network.to_bits() ^ address.to_bits();
                    differing.leading_zeros() >= *bits
                }
                (IpAddr::V6(network), IpAddr::V6(address)) => {
                    let differing = network.to_bits() ^ address.to_bits();
                    differing.leading_zeros() >= *bits
                }
                _ => false,
            })
    }

    fn parse(text: &str) -> Option<Self> {
        let parts = text
            .split(',')
            .map(str::trim)
            .filter(|part| !part.is_empty());
        parts.map(network).collect::<Option<_>>().map(Self)
    }
}

fn network(text: &str) -> Option<(IpAddr, u32)> {
    let (address, bits) = match text.split_once('/') {
        Some((address, bits)) => (address, Some(bits)),
        None => (text, None),
    };
    let address: IpAddr = address.parse().ok()?;
    let most = if address.is_ipv4() { 32 } else { 128 };
    let bits = bits.map_or(Some(most), |bits| bits.parse().ok())?;
    (bits <= most).then_some((address, bits))
}

impl<'de> Deserialize<'de> for Networks {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).ok_or_else(|| de::Error::custom("not a list of networks"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_in_its_networks_and_in_no_other() {
        let networks = Networks::parse("10.0.0.7, 192.168.0.0/16,fd00::/8").unwrap();
        for (address, within) in [
            ("10.0.0.7", true),
            ("::ffff:10.0.0.7", true),
            ("10.0.0.8", false),
            ("192.168.255.1", true),
            ("192.169.0.1", false),
            ("fd12::1", true),
            ("fe80::1", false),
        ] {
            assert_eq!(
                networks.contains(address.parse().unwrap()),
                within,
                "{address}"
            );
        }
        let everywhere = Networks::parse("0.0.0.0/0").unwrap();
        assert!(everywhere.contains("1.2.3.4".parse().unwrap()));
    }

    #[test]
    fn nothing_is_no_network_and_nonsense_is_refused() {
        assert_eq!(Networks::parse(" "), Some(Networks::default()));
        for bad in ["proxy", "10.0.0.0/33", "10.0.0/8", "::/129", "10.0.0.1/-1"] {
            assert_eq!(Networks::parse(bad), None, "{bad}");
        }
    }
}
