//! Who may do what.
