//! The service around the domain: everything that acts on the world.
//!
//! A module may use those above it in this list, never those below; a test reads the
//! `use` lines and keeps it so.
//!
//! - [`settings`], [`clock`], [`telemetry`]: what the service is told, and what it tells
//! - [`private_postgres`]: a Postgres of our own where none is given
//! - [`store`]: the only place that knows tables
//! - [`desk`]: the use cases, a file for each deed
//! - [`work`]: what is done without being asked
//! - [`wording`]: from codes and numbers to sentences
//! - `html`: the frame of letters and pages
//! - [`api`]: HTTP in and out; holds no rule
//! - [`letters`]: what is owed by e-mail, written into a folder
//! - [`demo`]: an invented year, played through the use cases
//! - [`cli`]: the program's commands

pub mod api;
pub mod cli;
pub mod clock;
pub mod demo;
pub mod desk;
mod html;
pub mod letters;
pub mod private_postgres;
pub mod settings;
pub mod store;
pub mod telemetry;
pub mod wording;
pub mod work;
