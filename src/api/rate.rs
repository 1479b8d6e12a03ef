//! How often somebody may ask: each account, and each address that is not signed in. One
//! copy of the service counts for itself; this keeps a runaway client from starving others.

use super::problem::{self, Problem};
use crate::settings::Server;
use actix_web::HttpRequest;
use governor::clock::{Clock, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use std::hash::Hash;
use std::net::{IpAddr, Ipv4Addr};
use std::num::NonZeroU32;
use wormrota_domain::ids::AccountId;

/// Counters are swept when there are more than this.
const MANY_KEYS: usize = 10_000;

/// Counts requests; `None` where the settings set no limit.
#[derive(Debug)]
pub struct RateLimits {
    accounts: Option<DefaultKeyedRateLimiter<AccountId>>,
    addresses: Option<DefaultKeyedRateLimiter<IpAddr>>,
}

impl RateLimits {
    /// As the settings say.
    #[must_use]
    pub fn new(settings: &Server) -> Self {
        Self {
            accounts: limiter(settings.requests_per_minute),
            addresses: limiter(settings.anonymous_requests_per_minute),
        }
    }

    /// Counts a request of somebody who is signed in.
    ///
    /// # Errors
    /// A problem that says when to come back.
    pub fn count_account(&self, account: AccountId) -> Result<(), Problem> {
        count(self.accounts.as_ref(), &account)
    }

    /// Counts a request of somebody who is not signed in (yet).
    ///
    /// # Errors
    /// A problem that says when to come back.
    pub fn count_address(&self, request: &HttpRequest) -> Result<(), Problem> {
        let nowhere = IpAddr::V4(Ipv4Addr::UNSPECIFIED);
        let address = request.peer_addr().map_or(nowhere, |peer| peer.ip());
        count(self.addresses.as_ref(), &address)
    }
}

fn limiter<K: Hash + Eq + Clone>(a_minute: u32) -> Option<DefaultKeyedRateLimiter<K>> {
    NonZeroU32::new(a_minute).map(|most| RateLimiter::keyed(Quota::per_minute(most)))
}

fn count<K: Hash + Eq + Clone>(
    limiter: Option<&DefaultKeyedRateLimiter<K>>,
    key: &K,
) -> Result<(), Problem> {
    let Some(limiter) = limiter else {
        return Ok(());
    };
    if limiter.len() > MANY_KEYS {
        limiter.retain_recent();
    }
    limiter.check_key(key).map_err(|early| {
        let wait = early
            .wait_time_from(DefaultClock::default().now())
            .as_secs()
            + 1;
        Problem::new(
            &problem::TOO_MANY_REQUESTS,
            format!("That was too often; come back in {wait} seconds."),
        )
        .come_back_in(wait)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn limits(a_minute: u32) -> RateLimits {
        RateLimits {
            accounts: limiter(a_minute),
            addresses: None,
        }
    }

    #[test]
    fn whoever_asks_too_often_waits_and_others_do_not() {
        let limits = limits(3);
        let (busy, calm) = (AccountId(Uuid::from_u128(1)), AccountId(Uuid::from_u128(2)));
        let codes: Vec<_> = (0..4)
            .map(|_| {
                limits
                    .count_account(busy)
                    .map_err(|problem| problem.kind.status)
            })
            .collect();
        assert_eq!(codes, [Ok(()), Ok(()), Ok(()), Err(429)]);
        assert!(limits.count_account(calm).is_ok());
    }

    #[test]
    fn nought_means_no_limit() {
        let limits = limits(0);
        let busy = AccountId(Uuid::from_u128(1));
        assert!((0..10_000).all(|_| limits.count_account(busy).is_ok()));
    }
}
