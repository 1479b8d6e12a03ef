//! What somebody wants to put in, or has put in.

use super::composition::Composition;
use super::find;
use super::item::FoodItem;
use super::measure::Estimate;
use crate::units::{Fraction, Grams, Kg, Litres};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The most food in one offer (own suggestion).
///
/// A large school's daily scraps of 30 lb fit three times over; more is a slip of the key.
pub const MAX_OFFER: Grams = Grams(50_000);
/// The most lines in one offer, before equal foods are put together (own suggestion).
pub const MAX_LINES: usize = 40;

/// One food of an offer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "StoredLine", into = "StoredLine")]
pub struct OfferLine {
    /// The food.
    pub item: &'static FoodItem,
    /// How much, rounded up if it was a guess.
    pub amount: Grams,
    /// Relative standard error of the amount.
    pub spread: Fraction,
}

impl OfferLine {
    /// A line from a measured or weighed amount.
    #[must_use]
    pub const fn new(item: &'static FoodItem, estimate: Estimate) -> Self {
        Self {
            item,
            amount: estimate.amount,
            spread: estimate.spread,
        }
    }

    /// What it is made of.
    #[must_use]
    pub fn composition(&self) -> Composition {
        self.item.composition(self.amount.kg())
    }
}

/// A line as it is stored: the food by its key.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StoredLine {
    item: String,
    amount_g: Grams,
    spread: Fraction,
}

impl TryFrom<StoredLine> for OfferLine {
    type Error = UnknownFood;
    fn try_from(line: StoredLine) -> Result<Self, Self::Error> {
        let item = find(&line.item).ok_or(UnknownFood(line.item))?;
        Ok(Self {
            item,
            amount: line.amount_g,
            spread: line.spread,
        })
    }
}

impl From<OfferLine> for StoredLine {
    fn from(line: OfferLine) -> Self {
        Self {
            item: line.item.key.to_owned(),
            amount_g: line.amount,
            spread: line.spread,
        }
    }
}

/// A stored line names a food that the catalogue doesn't have.
#[derive(Debug, Error)]
#[error("no food is called {0:?}")]
struct UnknownFood(String);

/// A checked offer: at least one line, each food once, each amount above zero, no more than
/// [`MAX_OFFER`] in all. Stored as its lines, and checked again when read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<OfferLine>", into = "Vec<OfferLine>")]
pub struct Offer {
    lines: Vec<OfferLine>,
}

impl Offer {
    /// Checks the lines and puts equal foods together, in the order of first mention.
    ///
    /// A line's number in an error is its place in `lines`, from 0.
    pub fn parse(lines: Vec<OfferLine>) -> Result<Self, OfferError> {
        if lines.is_empty() {
            return Err(OfferError::Empty);
        }
        if lines.len() > MAX_LINES {
            return Err(OfferError::TooManyLines { got: lines.len() });
        }
        let mut total = Grams::ZERO;
        let mut merged: Vec<OfferLine> = Vec::with_capacity(lines.len());
        for (index, line) in lines.into_iter().enumerate() {
            if line.amount <= Grams::ZERO {
                return Err(OfferError::NotPositive { line: index });
            }
            if !(0.0..=1.0).contains(&line.spread.0) {
                return Err(OfferError::Spread { line: index });
            }
            total = total + line.amount;
            if total > MAX_OFFER {
                return Err(OfferError::TooMuch { line: index });
            }
            match merged.iter_mut().find(|one| one.item.key == line.item.key) {
                Some(one) => {
                    one.spread = spread_of(&[*one, line]);
                    one.amount = one.amount + line.amount;
                }
                None => merged.push(line),
            }
        }
        Ok(Self { lines: merged })
    }

    /// The lines, each food once.
    #[must_use]
    pub fn lines(&self) -> &[OfferLine] {
        &self.lines
    }

    /// All of it.
    #[must_use]
    pub fn total(&self) -> Grams {
        self.lines.iter().map(|line| line.amount).sum()
    }

    /// Relative standard error of the total, the lines' errors being independent.
    #[must_use]
    pub fn spread(&self) -> Fraction {
        spread_of(&self.lines)
    }

    /// Standard error of the total in kilograms.
    #[must_use]
    pub fn uncertainty(&self) -> Kg {
        self.total().kg() * self.spread().0
    }

    /// What all of it is made of.
    #[must_use]
    pub fn composition(&self) -> Composition {
        self.lines.iter().map(OfferLine::composition).sum()
    }

    /// The room that it takes, not pressed.
    #[must_use]
    pub fn volume(&self) -> Litres {
        self.lines
            .iter()
            .map(|line| line.item.density.fill(line.amount.kg()))
            .sum()
    }

    /// So much of the usual mix: how a promise or an unnamed amount enters the model.
    pub fn of_usual_mix(estimate: Estimate) -> Result<Self, OfferError> {
        Self::parse(
            find("usual-mix")
                .map(|item| OfferLine::new(item, estimate))
                .into_iter()
                .collect(),
        )
    }
}

impl TryFrom<Vec<OfferLine>> for Offer {
    type Error = OfferError;
    fn try_from(lines: Vec<OfferLine>) -> Result<Self, Self::Error> {
        Self::parse(lines)
    }
}

impl From<Offer> for Vec<OfferLine> {
    fn from(offer: Offer) -> Self {
        offer.lines
    }
}

/// Root of the sum of squares of the lines' standard errors, over their sum.
fn spread_of(lines: &[OfferLine]) -> Fraction {
    let total: Kg = lines.iter().map(|line| line.amount.kg()).sum();
    let squares: f64 = lines
        .iter()
        .map(|line| line.amount.kg().0 * line.spread.0)
        .map(|error| error * error)
        .sum();
    Fraction(libm::sqrt(squares) / total.0)
}

/// Why an offer was not taken, before any bin is looked at. Lines count from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum OfferError {
    /// No line at all.
    #[error("an offer needs at least one food")]
    Empty,
    /// More lines than [`MAX_LINES`].
    #[error("an offer has at most {MAX_LINES} foods, not {got}")]
    TooManyLines {
        /// How many there were.
        got: usize,
    },
    /// An amount of zero or below.
    #[error("line {line}: an amount must be more than zero")]
    NotPositive {
        /// The line.
        line: usize,
    },
    /// A spread that is not a part of the amount.
    #[error("line {line}: a spread lies between 0 and 1")]
    Spread {
        /// The line.
        line: usize,
    },
    /// With this line the offer comes to more than [`MAX_OFFER`].
    #[error("line {line}: an offer is at most {max} kg in all", max = MAX_OFFER.kg().0)]
    TooMuch {
        /// The line.
        line: usize,
    },
}

impl OfferError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Empty => "offer_empty",
            Self::TooManyLines { .. } => "offer_too_many_lines",
            Self::NotPositive { .. } => "offer_amount_not_positive",
            Self::Spread { .. } => "offer_spread",
            Self::TooMuch { .. } => "offer_too_much",
        }
    }

    /// The line it speaks of, if it is about one.
    #[must_use]
    pub const fn line(&self) -> Option<usize> {
        match self {
            Self::Empty | Self::TooManyLines { .. } => None,
            Self::NotPositive { line } | Self::Spread { line } | Self::TooMuch { line } => {
                Some(*line)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::catalogue;
    use super::*;
    use proptest::prelude::*;

    fn line(key: &str, grams: i64, spread: f64) -> OfferLine {
        OfferLine {
            item: find(key).unwrap(),
            amount: Grams(grams),
            spread: Fraction(spread),
        }
    }

    #[test]
    fn an_offer_adds_up() {
        let offer =
            Offer::parse(vec![line("carrot", 300, 0.2), line("eggshell", 20, 0.02)]).unwrap();
        assert_eq!(offer.total(), Grams(320));
        assert!((offer.composition().mass.0 - 0.320).abs() < 1e-12);
        let litres = 0.300 / 0.65 + 0.020 / 0.50;
        assert!((offer.volume().0 - litres).abs() < 1e-12);
    }

    /// Reckoned: 3 kg and 4 kg, each known to a tenth, are off by 0.3 and 0.4 kg, together
    /// by 0.5 kg of 7.
    #[test]
    fn independent_errors_add_as_squares() {
        let offer =
            Offer::parse(vec![line("carrot", 3000, 0.1), line("apple", 4000, 0.1)]).unwrap();
        assert!((offer.spread().0 - 0.5 / 7.0).abs() < 1e-12);
        assert!((offer.uncertainty().0 - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_food_named_twice_becomes_one_line() {
        let offer = Offer::parse(vec![
            line("carrot", 3000, 0.1),
            line("apple", 100, 0.2),
            line("carrot", 4000, 0.1),
        ])
        .unwrap();
        assert_eq!(offer.lines().len(), 2);
        assert_eq!(offer.lines()[0].amount, Grams(7000));
        assert!((offer.lines()[0].spread.0 - 0.5 / 7.0).abs() < 1e-12);
        assert_eq!(offer.total(), Grams(7100));
    }

    #[test]
    fn a_wrong_line_is_named() {
        let good = line("carrot", 100, 0.2);
        for (lines, error) in [
            (vec![], OfferError::Empty),
            (vec![good; 41], OfferError::TooManyLines { got: 41 }),
            (
                vec![good, line("apple", 0, 0.2)],
                OfferError::NotPositive { line: 1 },
            ),
            (
                vec![line("apple", -5, 0.2), good],
                OfferError::NotPositive { line: 0 },
            ),
            (
                vec![good, good, line("apple", 5, f64::NAN)],
                OfferError::Spread { line: 2 },
            ),
            (vec![line("apple", 5, -0.1)], OfferError::Spread { line: 0 }),
            (
                vec![line("apple", 49_900, 0.0), good, good],
                OfferError::TooMuch { line: 2 },
            ),
            (
                vec![good, line("apple", i64::MAX, 0.0)],
                OfferError::TooMuch { line: 1 },
            ),
        ] {
            assert_eq!(Offer::parse(lines), Err(error), "{error}");
        }
        assert!(Offer::parse(vec![good; 40]).is_ok());
        assert!(Offer::parse(vec![line("apple", 50_000, 0.0)]).is_ok());
    }

    #[test]
    fn the_usual_mix_can_be_promised() {
        let estimate = Estimate {
            amount: Grams(900),
            spread: Fraction(0.2),
        };
        let offer = Offer::of_usual_mix(estimate).unwrap();
        assert_eq!(offer.lines(), [line("usual-mix", 900, 0.2)]);
    }

    #[test]
    fn a_stored_offer_comes_back_and_a_bad_one_does_not() {
        let offer = Offer::parse(vec![line("carrot", 300, 0.2), line("apple", 50, 0.35)]).unwrap();
        let text = serde_json::to_string(&offer).unwrap();
        assert_eq!(
            text,
            r#"[{"item":"carrot","amount_g":300,"spread":0.2},{"item":"apple","amount_g":50,"spread":0.35}]"#
        );
        assert_eq!(serde_json::from_str::<Offer>(&text).unwrap(), offer);
        for bad in [
            "[]".to_owned(),
            text.replace("300", "-300"),
            text.replace("apple", "appel"),
        ] {
            assert!(serde_json::from_str::<Offer>(&bad).is_err(), "{bad}");
        }
    }

    proptest! {
        #[test]
        fn a_total_is_known_at_least_as_well_as_its_worst_line(
            parts in prop::collection::vec((0..catalogue().len(), 1_i64..1000, 0.0..=1.0_f64), 1..40),
        ) {
            let lines: Vec<_> = parts
                .iter()
                .map(|(index, grams, spread)| OfferLine {
                    item: &catalogue()[*index],
                    amount: Grams(*grams),
                    spread: Fraction(*spread),
                })
                .collect();
            let worst = lines.iter().map(|l| l.spread.0).fold(0.0, libm::fmax);
            let sum: i64 = lines.iter().map(|l| l.amount.0).sum();
            let direct = spread_of(&lines);
            let offer = Offer::parse(lines).unwrap();
            prop_assert_eq!(offer.total(), Grams(sum));
            prop_assert!(offer.spread().0 <= worst + 1e-12);
            prop_assert!((offer.spread().0 - direct.0).abs() < 1e-9);
        }
    }
}
