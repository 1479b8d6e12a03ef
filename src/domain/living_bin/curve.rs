//! A line through given points.

use serde::{Deserialize, Serialize};

/// A piecewise linear function; before the first and after the last point it stays level.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<(f64, f64)>", into = "Vec<(f64, f64)>")]
pub struct Curve {
    points: Vec<(f64, f64)>,
}

impl Curve {
    /// From points whose first coordinates rise.
    pub(crate) fn new(points: &[(f64, f64)]) -> Self {
        Self {
            points: points.to_vec(),
        }
    }

    /// The value at `x`.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let after = self.points.partition_point(|&(px, _)| px <= x);
        let last = self.points.len().saturating_sub(1);
        match (
            after.checked_sub(1).and_then(|i| self.points.get(i)),
            self.points.get(after),
        ) {
            (Some(&(x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
            (None, Some(&(_, y))) => y,
            (_, None) => self.points.get(last).map_or(0.0, |&(_, y)| y),
        }
    }
}

impl TryFrom<Vec<(f64, f64)>> for Curve {
    type Error = String;

    fn try_from(points: Vec<(f64, f64)>) -> Result<Self, String> {
        let finite = points
            .iter()
            .all(|(x, y)| x.is_finite() && *y >= 0.0 && y.is_finite());
        let rising = points
            .windows(2)
            .all(|pair| matches!(pair, [a, b] if a.0 < b.0));
        if points.is_empty() || !finite || !rising {
            return Err(
                "a curve is a list of [x, y] points with rising x and y of 0 or more".into(),
            );
        }
        Ok(Self { points })
    }
}

impl From<Curve> for Vec<(f64, f64)> {
    fn from(curve: Curve) -> Self {
        curve.points
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_level_outside_and_linear_between() {
        let curve = Curve::new(&[(4.0, 0.0), (10.0, 0.6), (20.0, 1.0)]);
        assert!((curve.at(-3.0) - 0.0).abs() < 1e-12);
        assert!((curve.at(7.0) - 0.3).abs() < 1e-12);
        assert!((curve.at(10.0) - 0.6).abs() < 1e-12);
        assert!((curve.at(99.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn points_out_of_order_are_refused() {
        assert!(Curve::try_from(vec![(2.0, 1.0), (1.0, 1.0)]).is_err());
        assert!(Curve::try_from(vec![]).is_err());
    }
}
