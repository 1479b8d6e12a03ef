//! The API, tried over HTTP against a real Postgres. Each test has a database of its own.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

mod absences;
mod account_links;
mod apart_pairs;
mod asked_whether_fed;
mod attacks;
mod bad_offers;
mod bins;
mod bodies;
mod bookings;
mod calendar_addresses;
mod care;
mod class_duty;
mod class_patterns;
mod classes;
mod closures;
mod demo_letters;
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
mod letter_wishes;
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
mod months_ground;
mod notices;
mod openapi;
mod outage;
mod own_data;
mod pages;
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
mod reminders;
mod rhythm;
mod rotas;
mod sending;
mod sending_signed;
mod sending_twice;
mod series;
mod sessions;
mod signing_in;
mod sites;
mod slips;
mod spine;
mod stocking;
mod stopping_letters;
mod store;
mod telling;
mod told_ground;
mod told_of_changes;
mod told_of_rotas;
mod trades;
mod trail;
mod turn_races;
mod turns;
mod twelve_months;
