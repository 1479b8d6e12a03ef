//! Linear programs: the dual simplex method, and bounds from it that hold in whole numbers.

mod asked;
pub(super) mod bound;
pub(super) mod dual;
mod factor;
pub(super) mod relaxation;
mod separate;
