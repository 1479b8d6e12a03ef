//! How requests are taken.

use super::{Networks, Rule};
use serde::Deserialize;
use std::net::SocketAddr;

/// How requests are taken.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Server {
    /// Address and port to listen on.
    pub address: SocketAddr,
    /// Bytes that the body of a request may have.
    pub body_limit_bytes: usize,
    /// Seconds in which a request must have arrived in full.
    pub request_timeout_s: u64,
    /// Threads that answer requests; 0 takes one for each core.
    pub workers: usize,
    /// Seconds that running requests get to end.
    pub shutdown_timeout_s: u64,
    /// Requests in a minute from one account; 0 sets no limit.
    pub requests_per_minute: u32,
    /// Requests in a minute from one address that is not signed in; 0 sets no limit.
    pub anonymous_requests_per_minute: u32,
    /// The proxies whose word about addresses is taken.
    pub trusted_proxies: Networks,
}

impl Server {
    /// The rules that types cannot hold.
    pub(super) fn rules(&self) -> [Rule; 4] {
        [
            (
                "server.body_limit_bytes",
                (1_024..=16_777_216).contains(&self.body_limit_bytes),
                "1024 to 16777216 bytes",
            ),
            (
                "server.request_timeout_s",
                (1..=600).contains(&self.request_timeout_s),
                "1 to 600 seconds",
            ),
            (
                "server.workers",
                self.workers <= 256,
                "0 (one for each core) to 256",
            ),
            (
                "server.shutdown_timeout_s",
                self.shutdown_timeout_s <= 600,
                "0 to 600 seconds",
            ),
        ]
    }
}
