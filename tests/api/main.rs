//! The API, tried over HTTP against a real Postgres. Each test has a database of its own.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

mod absences;
mod account_links;
mod apart_pairs;
mod attacks;
mod bad_offers;
mod bins;
mod bodies;
mod bookings;
mod care;
mod class_duty;
mod class_patterns;
mod classes;
mod closures;
mod cover;
mod cover_at_once;
mod cover_at_random;
mod cover_clocks;
mod cover_ground;
mod cover_links;
mod deputy;
mod escalation;
mod feedings;
mod frame;
mod history;
mod households;
mod idempotency;
mod import;
mod invitations;
mod joining;
mod knowing;
mod letters;
mod letters_seen;
mod lids;
mod limits;
mod logs;
mod mail_peer;
mod matrix;
mod me;
mod members;
mod migrations;
mod notices;
mod openapi;
mod outage;
mod own_data;
mod passwords;
mod patterns;
mod place_amounts;
mod place_ground;
mod place_rules;
mod places;
mod places_at_once;
mod places_at_random;
mod post_office;
mod problems;
mod rate_limits;
mod rhythm;
mod rotas;
mod sending;
mod sending_twice;
mod series;
mod sessions;
mod signing_in;
mod sites;
mod slips;
mod spine;
mod stocking;
mod store;
mod telling;
mod trades;
mod trail;
mod turn_races;
mod turns;
