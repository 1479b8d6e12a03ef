//! What is to be done on a turn.

use crate::coded::coded;

coded! {
    /// What is due.
    Duty {
        /// Food goes in.
        Feeding = "feeding",
        /// The bed is watered.
        Watering = "watering",
        /// Somebody looks into the bin.
        Looking = "looking",
        /// Castings come out.
        Harvest = "harvest",
        /// The place around the bin is tidied.
        Tidying = "tidying",
    }
}
