//! Local days and instants.
