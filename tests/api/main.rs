//! The API, tried over HTTP against a real Postgres. Each test has a database of its own.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

mod bad_offers;
mod bins;
mod bodies;
mod bookings;
mod care;
mod classes;
mod feedings;
mod frame;
mod history;
mod idempotency;
mod import;
mod knowing;
mod letters;
mod logs;
mod matrix;
mod migrations;
mod notices;
mod openapi;
mod outage;
mod own_data;
mod people;
mod problems;
mod signing_in;
mod sites;
mod spine;
mod stocking;
mod store;

mod telling;
mod trail;
