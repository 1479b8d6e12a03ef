//! From codes and numbers to sentences.
//!
//! The domain decides in codes and numbers. A [`Voice`] says the same thing to one reader, in
//! their language and units: the one sentence, and the steps that follow from it, that pages,
//! letters and the API show alike.
//!
//! The texts stand in Fluent files beside this one, two for each language: `food-….ftl` names
//! foods, measures and reasons; `….ftl` holds the sentences. They are compiled in. A further
//! language is a variant of [`wormrota_domain::site::Language`], its pair of files, and a
//! line in `texts.rs`.
//!
//! ```
//! use wormrota::wording::{Rounding, Voice};
//! use wormrota_domain::food::Paper;
//! use wormrota_domain::site::{Language, UnitSystem};
//! use wormrota_domain::units::Grams;
//!
//! let voice = Voice {
//!     language: Language::Spanish,
//!     units: UnitSystem::Metric,
//!     zone: "America/Bogota".parse()?,
//!     paper: Paper::Letter,
//!     containers: Vec::new(),
//! };
//! assert_eq!(voice.amount(Grams(1_960), Rounding::Down), "1,9 kg");
//! # Ok::<(), wormrota_domain::calendar::UnknownZone>(())
//! ```
//!
//! What is shown never promises more than what was reckoned: room is rounded down in every
//! unit and measure, what is asked for (bedding, water) is rounded up.

mod aftermath;
mod amounts;
mod conditions;
mod days;
mod decision;
mod foods;
mod knowing;
mod measures;
mod phrase;
mod printed;
mod reasons;
mod refusal;
mod room;
mod rota;
mod rules;
mod sheet;
mod texts;
mod voice;

#[cfg(test)]
mod tests;

pub use amounts::Rounding;
pub use decision::Spoken;
pub use sheet::{SheetOf, SheetWords};
pub use voice::{Names, Voice};
