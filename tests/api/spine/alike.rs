//! When two states are the same.

use super::recording::Reckoned;
use serde_json::Value;

/// How far apart two numbers of the same state may lie, kg and the like.
pub(super) const TOLERANCE: f64 = 1e-9;

/// Insists that two values are the same but for the rounding of sums.
#[track_caller]
pub(crate) fn assert_alike(a: &Value, b: &Value, tolerance: f64) {
    match (a, b) {
        (Value::Number(x), Value::Number(y)) => {
            let apart = (x.as_f64().unwrap() - y.as_f64().unwrap()).abs();
            assert!(apart <= tolerance, "{x} and {y} are {apart} apart");
        }
        (Value::Array(x), Value::Array(y)) => {
            assert_eq!(x.len(), y.len());
            x.iter()
                .zip(y)
                .for_each(|(x, y)| assert_alike(x, y, tolerance));
        }
        (Value::Object(x), Value::Object(y)) => {
            assert!(x.keys().eq(y.keys()), "{x:?} {y:?}");
            x.iter()
                .for_each(|(key, x)| assert_alike(x, &y[key], tolerance));
        }
        _ => assert_eq!(a, b),
    }
}

#[track_caller]
pub(super) fn assert_all_alike(a: &[Reckoned], b: &[Reckoned]) {
    let instants =
        |states: &[Reckoned]| -> Vec<_> { states.iter().map(|state| state.occurred_at).collect() };
    assert_eq!(instants(a), instants(b));
    for (a, b) in a.iter().zip(b) {
        assert_alike(&a.json, &b.json, TOLERANCE);
    }
}
