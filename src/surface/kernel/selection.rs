use pulp::Simd;

use super::vantage::Vantage;
use crate::surface::Point;

/// A way to find the n-th smallest distance.
pub(super) trait Selection<S: Simd> {
    /// The nearest (if it is wanted) and the n-th squared distance of samples, at least n of them.
    fn among<V: Vantage<S>>(&mut self, simd: S, from: V, points: &[Point]) -> [S::f64s; 2];
}
