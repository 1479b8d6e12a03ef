//! Every constant of the model, each with its meaning, unit and source.
//!
//! The defaults are the handbook's. A service may override any of them in its
//! configuration; [`ModelSettings::revision`] then changes, and every state that is
//! stored says under which revision it was reckoned.
//!
//! Marks: *read* means the named text was read; *from memory* was not checked against a
//! text; *our suggestion* is a design choice without a published source; *common
//! practice* is what keepers do, without a source.

use super::curve::Curve;
use crate::food::MixTarget;
use crate::units::{Celsius, Fraction, KG_PER_POUND, SQUARE_METRES_PER_SQUARE_FOOT};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The version of the equations. A new version is dated forward: states already stored
/// keep theirs, and what happens later is reckoned anew.
pub const MODEL_VERSION: i32 = 1;

/// How an unmeasured bed follows the air outside.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FollowsAir {
    /// What the bed would have if the air did not reach it, degrees Celsius.
    pub base: Celsius,
    /// The air's share, 0 to 1.
    pub share: f64,
}

/// The constants of the living bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ModelSettings {
    /// Median of the feeding speed before a bin is known: kg of wet food per kg of worms
    /// per day at the best temperature and moisture. The geometric middle of 0.14 (an
    /// extension bulletin's 1 lb a week per lb, read) and 0.50 (Grand Traverse County and
    /// Virginia Cooperative Extension, read); NC State's 0.25 to 0.33 (LS-007-08, 2020,
    /// read) lies around it.
    pub speed_median: f64,
    /// Standard deviation of the speed's natural logarithm: makes 0.14 to 0.50 the 90 %
    /// band (reckoned).
    pub speed_log_sd: f64,
    /// How many standard deviations below the middle admission reckons: 1.645 is the
    /// 5 % quantile of a normal distribution.
    pub caution: f64,
    /// No speed above this is ever believed: 0.75, the best vermicompost of Ndegwa,
    /// Thompson & Das 2000 (abstract read; biosolids and paper).
    pub speed_cap: f64,
    /// How much the variance of the logarithm grows on each day without a check (our
    /// suggestion).
    pub speed_drift_per_day: f64,

    /// Standard error of somebody's eye for what is left, as a share of the last meal (our
    /// suggestion).
    pub check_error: f64,
    /// How much a bin's speed may wander between two checks: standard deviation of the
    /// logarithm (our suggestion).
    pub check_wander: f64,
    /// Chance that somebody fed without logging since the last check (our suggestion).
    pub unlogged_chance: f64,
    /// Share of the last meal that should be left when somebody is asked to look. Our
    /// suggestion, found by trying 0.5, 0.4, 0.35 and 0.3 side by side on 600 synthetic
    /// bins: later looks teach more, as long as not all is eaten.
    pub check_when_left: f64,
    /// Days after which a hold that nobody checked becomes "a handful only" (our
    /// suggestion).
    pub hold_days: f64,
    /// Least days between the two clear checks that open a held bin (our suggestion).
    pub clear_days: f64,
    /// Least days between two handfuls while nobody looks at a held bin (our suggestion).
    pub handful_days: f64,
    /// Food that goes in within so many days is one meal to the eye (our suggestion).
    pub one_meal_days: f64,
    /// Nobody is asked to look again before so many days have passed (our suggestion).
    pub look_again_days: f64,

    /// All that lies in the bin must be eaten within this many days at the cautious
    /// speed. Common practice feeds about once a week; food left after seven days is the
    /// sign of overfeeding.
    pub uneaten_days: f64,
    /// Share of the full amount in the first, second, … week after stocking (our
    /// suggestion; common practice: a couple of handfuls at first, more from the third
    /// or fourth week on). Later weeks are full.
    pub ramp: Vec<f64>,
    /// Most food per area and week, kg/m2: 1 lb/ft2 (G. Dickerson, New Mexico State
    /// University, read).
    pub area_kg_per_m2_week: f64,
    /// Deepest layer of uneaten food over the fed surface, metres: twice the 2.5 cm
    /// layer of NC State (read); 5 cm as a maximum is from memory.
    pub depth_m: f64,
    /// Share of the surface that one feeding lies on (our suggestion).
    pub pocket: f64,
    /// Density of kitchen scraps, kg per litre: 3.8 lb per US gallon (US EPA factors of
    /// 2016, read in a republication).
    pub scrap_kg_per_litre: f64,
    /// Share of the vessel that may be full before there is no more room (our
    /// suggestion).
    pub fill: f64,
    /// Wet castings that a kilogram of wet food becomes, kg (from memory; 0.25 to 0.60).
    pub castings_yield: f64,
    /// Density of moist castings, kg per litre (from memory; 0.5 to 0.8).
    pub castings_kg_per_litre: f64,
    /// Dry bedding in a litre of settled damp bed, kg (our suggestion; loose dry
    /// newspaper is 0.040 kg/L after Grand Traverse County, and settles to a third).
    pub bedding_kg_per_litre: f64,
    /// Days in which half of the bedding is used up (our suggestion).
    pub bedding_half_life_days: f64,
    /// Most of what lies in the bin that may be food of the sparing list (our
    /// suggestion).
    pub sparing_share: f64,
    /// Most of what lies in the bin that may be coffee and tea (our suggestion).
    pub coffee_share: f64,
    /// "A handful", kg: the middle of 0.05 to 0.10 (from memory).
    pub handful_kg: f64,

    /// Share of the best eating speed at a bed temperature, degrees Celsius (our
    /// suggestion between the limits 4 and 30 of Earthworm Ecology, ch. 18, table 18.3,
    /// read).
    pub eating_by_temperature: Curve,
    /// Share of the best eating speed at a bed moisture, 0 to 1 (our suggestion around
    /// Kaplan et al. 1980: best weight gain at 70 to 85 %, abstract read).
    pub eating_by_moisture: Curve,
    /// Above this bed temperature nothing may be fed, degrees Celsius (limit of table
    /// 18.3, read).
    pub heat_closes_above: Celsius,
    /// Below this bed temperature a bin that was too hot opens again, degrees Celsius
    /// (our suggestion).
    pub heat_reopens_below: Celsius,
    /// Above this bed temperature people are warned, degrees Celsius (our suggestion).
    pub warm_above: Celsius,
    /// Below this bed temperature people are warned, degrees Celsius (our suggestion; common
    /// practice: liked from 10).
    pub cold_below: Celsius,
    /// Bed temperature above which worms die, degrees Celsius (from memory; common
    /// practice: above 35 bring the bin into the cool).
    pub lethal_above: Celsius,
    /// Bed temperature below which worms die, degrees Celsius (common practice: freezing
    /// kills).
    pub lethal_below: Celsius,
    /// Rate at which worms die beyond those limits, per day (our suggestion).
    pub lethal_loss_per_day: f64,
    /// Bed moisture taken for granted until one was measured (default after Kaplan et
    /// al. 1980 and table 18.3, read).
    pub assumed_moisture: Fraction,

    /// Activation energy of the metabolism, electronvolts (Meehan 2006 as cited by
    /// Johnston et al. 2014, read).
    pub activation_ev: f64,
    /// Growth of a well fed stock at its best, per day: doubles in 90 days (from memory).
    pub growth_per_day: f64,
    /// Worms that a square metre carries in the end, kg: 1 lb/ft2 (NC State, read).
    pub worms_kg_per_m2: f64,
    /// Fewer live worms than this are none: the bin takes nothing and may be stocked anew, kg
    /// (our suggestion: some forty worms).
    pub fewest_worms_kg: f64,
    /// Days without food after which worms begin to lose mass, by bed temperature in
    /// degrees Celsius (reckoned from the parameters of Johnston et al. 2014 for breeding
    /// adults).
    pub unfed_days: Curve,
    /// Mass that unfed worms lose, per day at 20 degrees Celsius (reckoned likewise).
    pub unfed_loss_per_day: f64,
    /// Days at 20 degrees Celsius without a visit after which the bed begins to dry out
    /// (common practice: three weeks are fine).
    pub unattended_days: f64,
    /// Worms lost to drying after that, per day (our suggestion: it makes about two
    /// months the end of a bin, which is common practice).
    pub drying_loss_per_day: f64,

    /// How an unmeasured bed indoors follows the air outside: base in degrees Celsius, and
    /// the air's share (our suggestion). The bed is base (1 - share) + air share.
    pub bed_indoors: FollowsAir,
    /// The same for a sheltered spot (our suggestion).
    pub bed_sheltered: FollowsAir,
    /// The same outdoors (our suggestion).
    pub bed_outdoors: FollowsAir,
    /// Spread of the bed temperature when nobody measured, degrees Celsius, one standard
    /// deviation (our suggestion).
    pub assumed_temperature_sd: f64,
    /// The same just after a reading (our suggestion).
    pub read_temperature_sd: f64,
    /// A bed temperature that differs by less from the last one that counted is no news until
    /// [`Self::news_after_days`] have passed, degrees Celsius (our suggestion).
    pub news_celsius: f64,
    /// The same for moisture, 0 to 1 (our suggestion).
    pub news_moisture: f64,
    /// Days after which the same value counts again (our suggestion).
    pub news_after_days: f64,
    /// Days in which a reading's news fades towards what is assumed (our suggestion).
    pub reading_fades_days: f64,

    /// What a mix of food and bedding should come to: carbon to nitrogen, moisture.
    pub mix: MixTarget,
    /// Moisture of the mix below which water is asked for (Kaplan et al. 1980, abstract
    /// read: weight gain is best from 70 %).
    pub mix_driest: Fraction,
    /// Amounts of bedding below this are not worth asking for, kg (our suggestion).
    pub bedding_worth_asking_kg: f64,
}

impl Default for ModelSettings {
    fn default() -> Self {
        Self {
            speed_median: 0.265,
            speed_log_sd: 0.39,
            caution: 1.645,
            speed_cap: 0.75,
            speed_drift_per_day: 0.0004,
            check_error: 0.10,
            check_wander: 0.03,
            unlogged_chance: 0.2,
            check_when_left: 0.3,
            hold_days: 7.0,
            clear_days: 3.0,
            handful_days: 3.0,
            one_meal_days: 1.0,
            look_again_days: 3.0,
            uneaten_days: 7.0,
            ramp: vec![0.25, 0.25, 0.25, 0.5, 0.75],
            area_kg_per_m2_week: 4.9,
            depth_m: 0.05,
            pocket: 0.25,
            scrap_kg_per_litre: 0.455,
            fill: 0.9,
            castings_yield: 0.40,
            castings_kg_per_litre: 0.65,
            bedding_kg_per_litre: 0.12,
            bedding_half_life_days: 60.0,
            sparing_share: 0.15,
            coffee_share: 0.25,
            handful_kg: 0.075,
            eating_by_temperature: Curve::new(&[
                (4.0, 0.0),
                (10.0, 0.60),
                (15.0, 0.71),
                (20.0, 0.90),
                (25.0, 1.0),
                (30.0, 0.3),
                (35.0, 0.0),
            ]),
            eating_by_moisture: Curve::new(&[
                (0.45, 0.0),
                (0.70, 1.0),
                (0.85, 1.0),
                (0.90, 0.5),
                (0.95, 0.0),
            ]),
            heat_closes_above: Celsius(30.0),
            heat_reopens_below: Celsius(28.0),
            warm_above: Celsius(27.0),
            cold_below: Celsius(10.0),
            lethal_above: Celsius(35.0),
            lethal_below: Celsius(0.0),
            lethal_loss_per_day: 0.5,
            assumed_moisture: Fraction(0.80),
            activation_ev: 0.25,
            growth_per_day: 0.0077,
            worms_kg_per_m2: KG_PER_POUND / SQUARE_METRES_PER_SQUARE_FOOT,
            fewest_worms_kg: 0.02,
            unfed_days: Curve::new(&[(10.0, 13.0), (15.0, 11.0), (20.0, 9.0), (25.0, 8.0)]),
            unfed_loss_per_day: 0.0055,
            unattended_days: 21.0,
            drying_loss_per_day: 0.03,
            bed_indoors: FollowsAir {
                base: Celsius(20.5),
                share: 0.10,
            },
            bed_sheltered: FollowsAir {
                base: Celsius(14.0),
                share: 0.60,
            },
            bed_outdoors: FollowsAir {
                base: Celsius(13.0),
                share: 0.90,
            },
            assumed_temperature_sd: 4.0,
            read_temperature_sd: 1.0,
            news_celsius: 0.5,
            news_moisture: 0.03,
            news_after_days: 0.5,
            reading_fades_days: 4.0,
            mix: MixTarget::default(),
            mix_driest: Fraction(0.70),
            bedding_worth_asking_kg: 0.020,
        }
    }
}

/// A constant outside the range in which the model means anything.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("living_bin.{name} is {value}; it must lie between {least} and {most}")]
pub struct SettingOutOfRange {
    /// The setting's name.
    pub name: &'static str,
    /// What it was set to.
    pub value: f64,
    /// The smallest sensible value.
    pub least: f64,
    /// The largest sensible value.
    pub most: f64,
}

/// A constant's name, its value, and between what it must lie.
type Range = (&'static str, f64, f64, f64);
/// How many constants are single numbers.
const RANGES: usize = 56;

impl ModelSettings {
    /// The settings, if every constant is within the range in which the equations hold.
    ///
    /// # Errors
    /// Names the first constant that is not.
    pub fn checked(self) -> Result<Self, SettingOutOfRange> {
        let wrong = |&(_, value, least, most): &Range| !(value >= least && value <= most);
        let ranges = self.ranges();
        if let Some(&(name, value, least, most)) = ranges.iter().find(|r| wrong(r)) {
            return Err(SettingOutOfRange {
                name,
                value,
                least,
                most,
            });
        }
        if let Some(&value) = self.ramp.iter().find(|share| !(0.0..=1.0).contains(*share)) {
            return Err(SettingOutOfRange {
                name: "ramp",
                value,
                least: 0.0,
                most: 1.0,
            });
        }
        Ok(self)
    }

    /// Each constant with its name, its least and its most.
    #[expect(clippy::too_many_lines, reason = "one table of all constants")]
    fn ranges(&self) -> [Range; RANGES] {
        [
            ("speed_median", self.speed_median, 0.05, self.speed_cap),
            ("speed_log_sd", self.speed_log_sd, 0.01, 1.5),
            ("caution", self.caution, 0.0, 3.0),
            ("speed_cap", self.speed_cap, 0.05, 1.0),
            ("speed_drift_per_day", self.speed_drift_per_day, 0.0, 0.1),
            ("check_error", self.check_error, 0.01, 0.5),
            ("check_wander", self.check_wander, 0.0, 0.3),
            ("unlogged_chance", self.unlogged_chance, 0.0, 0.9),
            ("check_when_left", self.check_when_left, 0.05, 0.95),
            ("hold_days", self.hold_days, 1.0, 60.0),
            ("handful_days", self.handful_days, 0.0, 30.0),
            ("one_meal_days", self.one_meal_days, 0.0, 7.0),
            ("look_again_days", self.look_again_days, 0.0, 30.0),
            (
                "warm_above",
                self.warm_above.0,
                15.0,
                self.heat_closes_above.0,
            ),
            ("cold_below", self.cold_below.0, 0.0, self.warm_above.0),
            ("news_celsius", self.news_celsius, 0.0, 5.0),
            ("news_moisture", self.news_moisture, 0.0, 0.5),
            ("news_after_days", self.news_after_days, 0.0, 7.0),
            ("bed_indoors.base", self.bed_indoors.base.0, -10.0, 40.0),
            ("bed_indoors.share", self.bed_indoors.share, 0.0, 1.0),
            ("bed_sheltered.base", self.bed_sheltered.base.0, -10.0, 40.0),
            ("bed_sheltered.share", self.bed_sheltered.share, 0.0, 1.0),
            ("bed_outdoors.base", self.bed_outdoors.base.0, -10.0, 40.0),
            ("bed_outdoors.share", self.bed_outdoors.share, 0.0, 1.0),
            ("clear_days", self.clear_days, 0.0, 30.0),
            ("uneaten_days", self.uneaten_days, 1.0, 14.0),
            ("area_kg_per_m2_week", self.area_kg_per_m2_week, 0.1, 14.6),
            ("depth_m", self.depth_m, 0.005, 0.1),
            ("pocket", self.pocket, 0.05, 1.0),
            ("scrap_kg_per_litre", self.scrap_kg_per_litre, 0.1, 1.0),
            ("fill", self.fill, 0.1, 1.0),
            ("castings_yield", self.castings_yield, 0.0, 1.0),
            (
                "castings_kg_per_litre",
                self.castings_kg_per_litre,
                0.1,
                1.5,
            ),
            ("bedding_kg_per_litre", self.bedding_kg_per_litre, 0.02, 1.0),
            (
                "bedding_half_life_days",
                self.bedding_half_life_days,
                1.0,
                1000.0,
            ),
            ("sparing_share", self.sparing_share, 0.0, 1.0),
            ("coffee_share", self.coffee_share, 0.0, 1.0),
            ("handful_kg", self.handful_kg, 0.0, 0.2),
            ("heat_closes_above", self.heat_closes_above.0, 20.0, 35.0),
            (
                "heat_reopens_below",
                self.heat_reopens_below.0,
                15.0,
                self.heat_closes_above.0,
            ),
            (
                "lethal_above",
                self.lethal_above.0,
                self.heat_closes_above.0,
                45.0,
            ),
            ("lethal_below", self.lethal_below.0, -5.0, 4.0),
            ("lethal_loss_per_day", self.lethal_loss_per_day, 0.0, 10.0),
            ("assumed_moisture", self.assumed_moisture.0, 0.45, 0.95),
            ("activation_ev", self.activation_ev, 0.0, 1.0),
            ("growth_per_day", self.growth_per_day, 0.0, 0.1),
            ("worms_kg_per_m2", self.worms_kg_per_m2, 0.1, 10.0),
            ("fewest_worms_kg", self.fewest_worms_kg, 0.0, 0.5),
            ("unfed_loss_per_day", self.unfed_loss_per_day, 0.0, 0.5),
            ("unattended_days", self.unattended_days, 7.0, 60.0),
            ("drying_loss_per_day", self.drying_loss_per_day, 0.0, 0.5),
            (
                "assumed_temperature_sd",
                self.assumed_temperature_sd,
                0.0,
                15.0,
            ),
            (
                "read_temperature_sd",
                self.read_temperature_sd,
                0.0,
                self.assumed_temperature_sd,
            ),
            ("reading_fades_days", self.reading_fades_days, 0.1, 60.0),
            (
                "mix_driest",
                self.mix_driest.0,
                0.45,
                self.mix.moisture_goal().0,
            ),
            (
                "bedding_worth_asking_kg",
                self.bedding_worth_asking_kg,
                0.0,
                1.0,
            ),
        ]
    }

    /// A short fingerprint of all constants: FNV-1a over their bits, in hexadecimal. Equal
    /// settings give equal fingerprints on every machine.
    #[must_use]
    pub fn revision(&self) -> String {
        let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
        for byte in format!("{self:?}").bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
        format!("{MODEL_VERSION}-{hash:016x}")
    }

    /// Share of the full amount allowed so many days after stocking.
    #[must_use]
    pub(crate) fn ramp_at(&self, days_since_stocking: f64) -> f64 {
        if days_since_stocking < 0.0 {
            return self.ramp.first().copied().unwrap_or(1.0);
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and a cast saturates"
        )]
        let week = libm::floor(days_since_stocking / 7.0) as usize;
        self.ramp.get(week).copied().unwrap_or(1.0)
    }

    /// Metabolic speed at a temperature, as a share of that at 25 degrees Celsius:
    /// `exp(-E/k (1/T - 1/298.15 K))` (the published form, Johnston et al. 2014, read).
    #[must_use]
    pub fn metabolism(&self, bed: Celsius) -> f64 {
        const BOLTZMANN_EV_PER_K: f64 = 8.62e-5;
        let kelvin = libm::fmax(bed.0 + 273.15, 1.0);
        libm::exp(-self.activation_ev / BOLTZMANN_EV_PER_K * (1.0 / kelvin - 1.0 / 298.15))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(value: f64, expected: f64, within: f64) {
        assert!(
            (value - expected).abs() <= within,
            "{value} is not {expected} within {within}"
        );
    }

    /// The sourced 0.14 to 0.50 is the 90 % band of the prior (reckoned).
    #[test]
    fn the_prior_spans_what_the_handbooks_say() {
        let s = ModelSettings::default();
        close(
            s.speed_median * libm::exp(-1.645 * s.speed_log_sd),
            0.14,
            0.005,
        );
        close(
            s.speed_median * libm::exp(1.645 * s.speed_log_sd),
            0.50,
            0.005,
        );
    }

    /// Check values 19 and 20: Johnston et al. 2014 with E = 0.25 eV give 0.713 at 15,
    /// 0.597 at 10 and 0.847 at 20 degrees Celsius, and a Q10 of 1.40 from 15 to 25.
    #[test]
    fn metabolism_follows_the_published_curve() {
        let s = ModelSettings::default();
        close(s.metabolism(Celsius(10.0)), 0.597, 0.0005);
        close(s.metabolism(Celsius(15.0)), 0.713, 0.0005);
        close(s.metabolism(Celsius(20.0)), 0.847, 0.0005);
        close(
            s.metabolism(Celsius(25.0)) / s.metabolism(Celsius(15.0)),
            1.40,
            0.005,
        );
    }

    /// Check value 14: one pound on a square foot is 4.882 kg/m2 (reckoned from the exact
    /// units).
    #[test]
    fn a_pound_on_a_square_foot_in_metric() {
        close(ModelSettings::default().worms_kg_per_m2, 4.882, 0.0005);
    }

    /// Check value 24: a stock that doubles in 90 days grows by ln 2 / 90 a day (from
    /// memory), 16.6-fold in a year if nothing limits it.
    #[test]
    fn growth_doubles_in_ninety_days() {
        let s = ModelSettings::default();
        close(libm::exp(s.growth_per_day * 365.0), 16.6, 0.1);
    }

    /// Common practice, no source: a couple of handfuls at first, more from the third or
    /// fourth week on.
    #[test]
    fn the_ramp_starts_small_and_ends_full() {
        let s = ModelSettings::default();
        close(s.ramp_at(0.0), 0.25, 0.0);
        close(s.ramp_at(20.9), 0.25, 0.0);
        close(s.ramp_at(21.0), 0.5, 0.0);
        close(s.ramp_at(35.0), 1.0, 0.0);
        close(s.ramp_at(4000.0), 1.0, 0.0);
    }

    #[test]
    fn a_wrong_constant_is_named() {
        let wrong = ModelSettings {
            depth_m: f64::NAN,
            ..ModelSettings::default()
        };
        assert_eq!(wrong.checked().unwrap_err().name, "depth_m");
        assert!(ModelSettings::default().checked().is_ok());
    }

    #[test]
    fn a_changed_constant_changes_the_revision() {
        let changed = ModelSettings {
            caution: 2.0,
            ..ModelSettings::default()
        };
        assert_ne!(changed.revision(), ModelSettings::default().revision());
    }
}
