//! Quantities in JSON: numbers with few decimals, taken exactly.
//!
//! A JSON number arrives as a double. Its shortest decimal text is what the client meant
//! (0.1 is one tenth, though no double is); that text is counted in whole small units, so
//! that nothing is ever rounded. A number with more decimals is refused rather than cut.

use serde::de::{Deserialize, Deserializer, Error, Visitor};
use std::fmt;
use wormrota_domain::units::Grams;

/// The largest amount in one request: far above any bin, far below any overflow.
pub const MOST_GRAMS: i64 = 50_000;

/// An amount of food or bedding: more than 0, at most 50 kg, at most three decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AmountKg(pub Grams);

/// A volume in litres with at most three decimals, in millilitres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct VolumeL(pub i32);

/// An area in square metres with at most four decimals, in square centimetres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AreaM2(pub i32);

impl<'de> Deserialize<'de> for AmountKg {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let grams = deserializer.deserialize_f64(Exact {
            decimals: 3,
            least: 1,
            most: MOST_GRAMS,
            bounds: "must be more than 0 and at most 50 kilograms",
        })?;
        Ok(Self(Grams(grams)))
    }
}

/// An amount that may be absent or 0: at most 50 kg, at most three decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct NoneOrKg(pub Grams);

impl<'de> Deserialize<'de> for NoneOrKg {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let grams = deserializer.deserialize_f64(Exact {
            decimals: 3,
            least: 0,
            most: MOST_GRAMS,
            bounds: "must be 0 to 50 kilograms",
        })?;
        Ok(Self(Grams(grams)))
    }
}

impl<'de> Deserialize<'de> for VolumeL {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let millilitres = deserializer.deserialize_f64(Exact {
            decimals: 3,
            least: 1,
            most: 2_000_000,
            bounds: "must be more than 0 and at most 2000 litres",
        })?;
        i32::try_from(millilitres).map(Self).map_err(Error::custom)
    }
}

impl<'de> Deserialize<'de> for AreaM2 {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let square_centimetres = deserializer.deserialize_f64(Exact {
            decimals: 4,
            least: 1,
            most: 1_000_000,
            bounds: "must be more than 0 and at most 100 square metres",
        })?;
        i32::try_from(square_centimetres)
            .map(Self)
            .map_err(Error::custom)
    }
}

/// A whole number. JSON has one kind of number only: 4.0 is as whole as 4.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Whole(pub u32);

impl<'de> Deserialize<'de> for Whole {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_f64(WholeNumber).map(Self)
    }
}

struct WholeNumber;

impl Visitor<'_> for WholeNumber {
    type Value = u32;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a whole number")
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<u32, E> {
        u32::try_from(value).map_err(|_| E::custom("must be a smaller whole number"))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<u32, E> {
        exactly(value, 0)
            .and_then(|whole| u32::try_from(whole).ok())
            .ok_or_else(|| E::custom("must be a whole number, not negative"))
    }
}

/// Grams as the number that a client reads: exact to the gram.
#[must_use]
pub fn kg(grams: Grams) -> f64 {
    grams.kg().0
}

/// Millilitres as litres.
#[must_use]
pub fn litres(millilitres: i32) -> f64 {
    f64::from(millilitres) / 1_000.0
}

/// Square centimetres as square metres.
#[must_use]
pub fn square_metres(square_centimetres: i32) -> f64 {
    f64::from(square_centimetres) / 10_000.0
}

struct Exact {
    decimals: usize,
    /// In units of the last decimal.
    least: i64,
    most: i64,
    bounds: &'static str,
}

impl Visitor<'_> for Exact {
    type Value = i64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a number with at most {} decimals", self.decimals)
    }

    fn visit_i64<E: Error>(self, _: i64) -> Result<i64, E> {
        // Only negative numbers come here.
        Err(E::custom(self.bounds))
    }

    fn visit_u64<E: Error>(self, value: u64) -> Result<i64, E> {
        i64::try_from(value)
            .ok()
            .and_then(|whole| whole.checked_mul(self.unit()))
            .filter(|units| (self.least..=self.most).contains(units))
            .ok_or_else(|| E::custom(self.bounds))
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<i64, E> {
        // Keeps absurd numbers from becoming texts of hundreds of digits.
        if !(0.0..=1e9).contains(&value) {
            return Err(E::custom(self.bounds));
        }
        let units = exactly(value, self.decimals)
            .ok_or_else(|| E::custom(format!("must have at most {} decimals", self.decimals)))?;
        if (self.least..=self.most).contains(&units) {
            Ok(units)
        } else {
            Err(E::custom(self.bounds))
        }
    }
}

impl Exact {
    fn unit(&self) -> i64 {
        (0..self.decimals).fold(1, |unit, _| unit * 10)
    }
}

/// `value` in units of the last decimal, if it has no further ones.
fn exactly(value: f64, decimals: usize) -> Option<i64> {
    // `Display` writes the shortest text that reads back as the same double, without
    // an exponent.
    let text = value.to_string();
    let (whole, fraction) = text.split_once('.').unwrap_or((&text, ""));
    (fraction.len() <= decimals)
        .then(|| format!("{whole}{fraction:0<decimals$}").parse().ok())
        .flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn amount(json: &str) -> Result<i64, String> {
        serde_json::from_str::<AmountKg>(json)
            .map(|amount| amount.0.0)
            .map_err(|error| error.to_string())
    }

    #[test]
    fn amounts_are_taken_to_the_gram() {
        for (json, grams) in [
            ("0.001", 1),
            ("0.1", 100),
            ("0.29", 290),
            ("0.3", 300),
            ("1", 1_000),
            ("1.005", 1_005),
            ("1e-3", 1),
            ("2.5e1", 25_000),
            ("50", 50_000),
            ("50.000", 50_000),
        ] {
            assert_eq!(amount(json), Ok(grams), "{json}");
        }
    }

    #[test]
    fn every_gram_up_to_the_most_goes_there_and_back() {
        for grams in 1..=MOST_GRAMS {
            let json = serde_json::to_string(&kg(Grams(grams))).unwrap();
            assert_eq!(amount(&json), Ok(grams), "{json}");
        }
    }

    #[test]
    fn amounts_that_cannot_be_meant_are_refused() {
        for json in [
            "0",
            "0.0",
            "-0",
            "-1",
            "-0.001",
            "50.001",
            "51",
            "400",
            "1e300",
            "1e9",
            "18446744073709551615",
            "9007199254740993",
            "0.0001",
            "0.1234",
            "1e-9",
            "5e-324",
            "\"1\"",
            "null",
            "true",
            "[1]",
            "{}",
            "NaN",
            "1e999",
        ] {
            assert!(amount(json).is_err(), "{json}");
        }
        assert!(amount("0.0001").unwrap_err().contains("at most 3 decimals"));
        assert!(amount("400").unwrap_err().contains("50 kilograms"));
    }

    #[test]
    fn a_whole_number_is_one_however_it_is_written() {
        let whole = |json| serde_json::from_str::<Whole>(json).map(|whole| whole.0);
        for json in ["4", "4.0", "0.4e1"] {
            assert_eq!(whole(json).unwrap(), 4, "{json}");
        }
        for json in ["4.5", "-4", "-4.0", "1e300", "4294967296", "\"4\"", "null"] {
            assert!(whole(json).is_err(), "{json}");
        }
    }

    #[test]
    fn areas_have_four_decimals() {
        let area = |json| serde_json::from_str::<AreaM2>(json).map(|area| area.0);
        assert_eq!(area("0.1625").unwrap(), 1_625);
        assert!(area("0.16255").is_err());
        let volume = |json| serde_json::from_str::<VolumeL>(json).map(|volume| volume.0);
        assert_eq!(volume("18.9").unwrap(), 18_900);
        assert!(volume("2000.001").is_err());
    }
}
