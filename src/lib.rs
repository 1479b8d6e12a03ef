//! The service around the domain: everything that acts on the world.

pub mod private_postgres;
