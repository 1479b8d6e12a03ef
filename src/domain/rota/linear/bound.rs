//! Bounds that hold in whole numbers.
//!
//! The simplex method works with rounded numbers. Any prices of the rows give a bound,
//! though, so its prices are rounded to fixed point and the bound is reckoned from them
//! without rounding anything again.

use super::relaxation::Relaxation;

/// Fixed point: this many parts of one.
const PARTS: f64 = 16_777_216.0;
const WHOLE: i128 = 1 << 24;
/// Prices beyond this are not worth a bound.
const DEAREST: f64 = 1e15;

#[allow(
    clippy::cast_possible_truncation,
    reason = "kept within range by the clamp; a clamped price still gives a bound"
)]
fn fixed(price: f64) -> i128 {
    if price.is_nan() {
        return 0;
    }
    (price.clamp(-DEAREST, DEAREST) * PARTS).round() as i128
}

/// The least that the aim under work can be within these boxes, without what it is worth
/// beside its columns.
pub(in super::super) fn within(relaxation: &mut Relaxation, boxes: &[(i64, i64)]) -> i64 {
    let scale = relaxation.scale;
    let prices = relaxation.dual.prices();
    let mut left: Vec<i128> = (relaxation.costs.iter())
        .map(|cost| i128::from(*cost) * WHOLE)
        .collect();
    let mut bound = 0_i128;
    for (row, price) in relaxation.rows.iter().zip(prices) {
        let price = fixed(price * row.scale / scale);
        if price == 0 {
            continue;
        }
        bound += price * i128::from(if price > 0 { row.low } else { row.high });
        for (column, value) in &row.entries {
            left[*column] -= price * i128::from(*value);
        }
    }
    for (cost, (low, high)) in left.into_iter().zip(boxes) {
        bound += cost * i128::from(if cost > 0 { *low } else { *high });
    }
    // Upwards: the aim is a whole number.
    let up = bound.div_euclid(WHOLE) + i128::from(bound.rem_euclid(WHOLE) > 0);
    i64::try_from(up).unwrap_or(if up > 0 { i64::MAX / 2 } else { i64::MIN / 2 })
}
