//! What may go in, how much it weighs, and what the mix needs.
