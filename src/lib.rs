//! The service around the domain: everything that acts on the world.
