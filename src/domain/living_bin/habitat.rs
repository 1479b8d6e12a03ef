//! What a bin is and where it stands: all that the model needs beside the bin's history.

use super::climate::{BedReading, BedTemperature, Climate, bed_temperature};
use super::settings::ModelSettings;
use crate::site::Spot;
use crate::units::{Fraction, Kg, Litres, SquareMetres};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// The measures of one bin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BinShape {
    /// The surface that can be fed, square metres.
    pub surface: SquareMetres,
    /// What all trays in use (or the tub) hold together, litres.
    pub volume: Litres,
    /// Where it stands.
    pub spot: Spot,
}

/// A bin's surroundings and the constants by which it is reckoned.
#[derive(Debug, Clone, PartialEq)]
pub struct Habitat {
    /// The model's constants.
    pub settings: ModelSettings,
    /// The bin's measures.
    pub shape: BinShape,
    /// The site's air through the year.
    pub climate: Climate,
}

/// What the weather of one moment does to eating and to the worms.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pace {
    /// Share of the best eating speed, 0 to 1: temperature and moisture together.
    pub eating: f64,
    /// Metabolism relative to 20 degrees Celsius.
    pub metabolism: f64,
    /// Days without food after which worms begin to lose mass.
    pub unfed_days: f64,
    /// Rate at which worms die of heat or frost, per day.
    pub lethal: f64,
    /// The bed's temperature.
    pub temperature: BedTemperature,
    /// How much not knowing the temperature widens ln(eating speed): from the middle to the
    /// less favourable end of one standard deviation, at most 1.
    pub spread: f64,
}

impl Habitat {
    /// The bed's temperature at an instant, read or assumed.
    #[must_use]
    pub fn bed_temperature(&self, reading: Option<BedReading>, t: DateTime<Utc>) -> BedTemperature {
        bed_temperature(&self.settings, &self.climate, self.shape.spot, reading, t)
    }

    pub(crate) fn pace(
        &self,
        reading: Option<BedReading>,
        moisture: Fraction,
        t: DateTime<Utc>,
    ) -> Pace {
        let s = &self.settings;
        let temperature = self.bed_temperature(reading, t);
        let bed = temperature.bed;
        let deadly = bed > s.lethal_above || bed < s.lethal_below;
        let eating = s.eating_by_temperature.at(bed.0) * s.eating_by_moisture.at(moisture.0);
        Pace {
            eating,
            metabolism: s.metabolism(bed) / s.metabolism(crate::units::Celsius(20.0)),
            unfed_days: s.unfed_days.at(bed.0),
            lethal: if deadly { s.lethal_loss_per_day } else { 0.0 },
            temperature,
            spread: self.temperature_spread(temperature),
        }
    }

    fn temperature_spread(&self, bed: BedTemperature) -> f64 {
        let curve = &self.settings.eating_by_temperature;
        let middle = curve.at(bed.bed.0);
        let worse = libm::fmin(curve.at(bed.bed.0 - bed.sd), curve.at(bed.bed.0 + bed.sd));
        if worse <= 0.0 || middle <= 0.0 {
            return 1.0;
        }
        libm::fmax(libm::fmin(libm::log(middle / worse), 1.0), 0.0)
    }

    /// The stock that the surface carries in the end.
    pub(crate) fn carrying_capacity(&self) -> Kg {
        Kg(self.settings.worms_kg_per_m2 * self.shape.surface.0)
    }

    /// The most food that may lie on the fed pocket without a layer too deep.
    pub(crate) fn depth_limit(&self) -> Kg {
        let s = &self.settings;
        let litres_per_m2 = s.depth_m * 1000.0;
        Kg(litres_per_m2 * self.shape.surface.0 * s.pocket * s.scrap_kg_per_litre)
    }

    /// The most food that the area rule lets in at once: a week's worth.
    pub(crate) fn area_limit(&self) -> Kg {
        Kg(self.settings.area_kg_per_m2_week * self.shape.surface.0)
    }

    /// The most food that fits beside what the vessel already holds.
    pub(crate) fn fill_limit(&self, solids: Litres) -> Kg {
        let s = &self.settings;
        let free = self.shape.volume.0 * s.fill - solids.0;
        Kg(libm::fmax(free, 0.0) * s.scrap_kg_per_litre)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn habitat(surface_m2: f64) -> Habitat {
        Habitat {
            settings: ModelSettings::default(),
            shape: BinShape {
                surface: SquareMetres(surface_m2),
                volume: Litres(60.0),
                spot: Spot::Indoors,
            },
            climate: Climate::default(),
        }
    }

    /// Check value 44: 2.5 cm of scraps at 455 kg/m3 are 11.4 kg on a square metre
    /// (reckoned); our limit is twice that layer, over a quarter of the surface.
    #[test]
    fn a_layer_weighs_what_its_depth_and_density_say() {
        let limit = habitat(1.0).depth_limit().0;
        assert!((limit - 2.0 * 11.375 / 4.0).abs() < 1e-9, "{limit}");
    }

    /// Check value 9: 30 lb a day on five school days need 150 ft2 at 1 lb/ft2 a week
    /// (68.0 kg on 13.9 m2; Project HOPE Art educational page).
    #[test]
    fn a_school_kitchen_needs_the_published_surface() {
        let square_feet_150 = 150.0 * crate::units::SQUARE_METRES_PER_SQUARE_FOOT;
        let weekly = habitat(square_feet_150).area_limit().0;
        let offered = 150.0 * crate::units::KG_PER_POUND;
        assert!((square_feet_150 - 13.9).abs() < 0.05);
        assert!((offered - 68.0).abs() < 0.05);
        assert!(
            (weekly - offered).abs() < 0.01 * offered,
            "{weekly} against {offered}"
        );
    }
}
