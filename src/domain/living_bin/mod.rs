//! The living bin.
