//! Linear programs: the dual simplex method, and bounds from it that hold in whole numbers.

pub(super) mod dual;
pub(super) mod bound;
mod factor;
pub(super) mod relaxation;
