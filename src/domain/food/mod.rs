//! What may go in, how much it weighs, and what the mix needs.
use crate::units::Kg;
/// What a mass of food or bedding is made of.
#[derive(Debug, Clone, Copy, PartialEq, Default, serde::Serialize, serde::Deserialize)]
pub struct Composition {
    /// All.
    pub mass: Kg,
    /// Water.
    pub water: Kg,
    /// Carbon.
    pub carbon: Kg,
    /// Nitrogen.
    pub nitrogen: Kg,
}
