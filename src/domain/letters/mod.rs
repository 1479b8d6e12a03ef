//! Letters that are owed: which kinds there are, what may become of one, and at what hour
//! people are written to.

mod kind;
mod life;
mod quiet;
mod week;

pub use kind::{LetterDeed, LetterGroup, LetterKind, Manner};
pub use life::{LetterState, Next, Reason, Tried};
pub use quiet::{QuietHours, QuietRefusal};
pub use week::Week;
